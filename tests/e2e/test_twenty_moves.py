"""Twenty moves by finger to named targets on a tablet, touched and dragged: all land, all are taken back."""

import pytest
from playwright.sync_api import Page, expect

from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import (
    LIFT_PX,
    Finger,
    grip,
    is_in_sight,
    pane,
    place,
    visible_target,
    wait_for_answers,
    wait_for_catch,
    wait_for_shape,
)

MOVES = 20
MOST_MISSED = 1
PAN_PX = 100
BUS, BAR = "Main negative bus", "Main panel"


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def test_twenty_moves_land_where_they_were_aimed_and_are_all_undone(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    wait_for_shape(page)
    move_to(page, "negative-bus")
    expect(page.locator("#change")).to_contain_text(BUS)
    missed = 0

    for number in range(1, MOVES):
        target, name = (("panel", BAR), ("negative-bus", BUS))[number % 2 == 0]
        (drag_to, move_to)[number % 4 < 2](page, target)  # each target both ways
        missed += name not in page.locator("#change-title").inner_text().split("→")[-1]

    assert missed <= MOST_MISSED
    revision = page.locator("form:has(#undo) input[name='revision']")
    for _ in range(MOVES):
        now = revision.input_value()
        page.locator("#undo").click()
        expect(revision).not_to_have_value(now)
    expect(page.locator("#undo")).to_be_disabled()
    expect(page.locator("#findings")).to_contain_text("autopilot restarts")


def bring_into_sight(page: Page, target: str) -> None:
    """Pan with one finger, as a person would, until some place of the target stands well inside the pane."""
    for pan in (0, *3 * (PAN_PX,), *6 * (-PAN_PX,)):
        _, top, right, bottom = pane(page)
        middle = right - 24, (top + bottom) / 2
        if pan:
            finger = Finger.on(page)
            finger.down(middle)
            finger.slide(middle, (middle[0], middle[1] + pan), 6)
            finger.up()
        if is_in_sight(page, target, margin=36):
            return


def move_to(page: Page, target: str) -> None:
    """Touch the grip, then the target."""
    bring_into_sight(page, target)
    x, y = place(page, grip("autopilot", "negative"))
    page.touchscreen.tap(x, y)
    wait_for_answers(page, "autopilot", "negative")
    _, at = visible_target(page, target, margin=20)
    with page.expect_response(lambda answer: "/put-down" in answer.url):
        page.touchscreen.tap(*at)
    expect(page.locator("#taps form")).to_have_count(0)


def drag_to(page: Page, target: str) -> None:
    """Carry the lead under one finger and let it go over the target."""
    bring_into_sight(page, target)
    finger, start = Finger.on(page), place(page, grip("autopilot", "negative"))
    near = (start[0] + 14, start[1] + 10)
    finger.down(start)
    finger.slide(start, near, 3)
    wait_for_answers(page, "autopilot", "negative")
    _, (x, y) = visible_target(page, target, margin=20)
    finger.slide(near, (x, y + LIFT_PX))
    wait_for_catch(page)
    with page.expect_response(lambda answer: "/put-down" in answer.url):
        finger.up()
    expect(page.locator("#taps form")).to_have_count(0)

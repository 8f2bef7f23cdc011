"""A hand that stays on a bar may choose the stud: by drag, by touch and touch, and from the list."""

import pytest
from playwright.sync_api import Page, expect

from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import (
    LIFT_PX,
    Finger,
    Point,
    grip,
    place,
    visible_target,
    wait_for_answers,
    wait_for_catch,
    wait_for_shape,
)

FAN = ".stud-fan"
LEAST_PX = 48
STUD = "stud 2, 1 on it"


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def open_bench(page: Page) -> None:
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    wait_for_shape(page)
    page.locator("#scene").scroll_into_view_if_needed()


def middle_of(page: Page, stud: str) -> Point:
    cell = page.locator(".stud", has_text=stud)
    box = cell.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= LEAST_PX
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def expect_on_stud(page: Page) -> None:
    """The cable list of the option that was opened names the very stud."""
    expect(page.locator("#change")).to_contain_text("Main negative bus")
    page.locator("#place-lists").click()
    expect(page.locator("#cable-autopilot-neg")).to_contain_text("Main negative bus: stud 2")


def held_on_the_bar(page: Page) -> tuple[Finger, Point]:
    """A finger that stays with a lead on the negative bus, whose studs are fanned out; and its place."""
    finger, start = Finger.on(page), place(page, grip("autopilot", "negative"))
    near = (start[0] + 14, start[1] + 10)
    finger.down(start)
    finger.slide(start, near, 3)
    wait_for_answers(page, "autopilot", "negative")
    _, (x, y) = visible_target(page, "negative-bus", margin=20)
    finger.slide(near, (x, y + LIFT_PX))
    wait_for_catch(page)
    expect(page.locator(FAN)).to_be_visible()
    return finger, (x, y)


def test_holding_a_carried_lead_on_a_bar_fans_its_studs_out(open_page: OpenPage) -> None:
    page = open_page("tablet")
    open_bench(page)
    finger, (x, y) = held_on_the_bar(page)
    to_x, to_y = middle_of(page, STUD)

    finger.slide((x, y + LIFT_PX), (to_x, to_y + LIFT_PX))
    expect(page.locator(".stud-caught")).to_have_text(STUD)
    finger.up()

    expect_on_stud(page)


def test_lifting_on_the_bar_itself_takes_its_nearest_free_stud(open_page: OpenPage) -> None:
    """Whoever stays only to read the answer gets the studs, and need not choose one."""
    page = open_page("tablet")
    open_bench(page)
    finger, _ = held_on_the_bar(page)
    finger.up()

    expect(page.locator(FAN)).not_to_be_attached()
    expect(page.locator("#change")).to_contain_text("Main negative bus")


def test_holding_a_finger_on_a_bar_fans_its_studs_out_for_a_second_touch(open_page: OpenPage) -> None:
    page = open_page("tablet")
    open_bench(page)
    page.touchscreen.tap(*place(page, grip("autopilot", "negative")))
    wait_for_answers(page, "autopilot", "negative")
    _, at = visible_target(page, "negative-bus", margin=20)
    finger = Finger.on(page)
    finger.down(at)
    expect(page.locator(FAN)).to_be_visible()
    finger.up()

    page.touchscreen.tap(*middle_of(page, STUD))

    expect_on_stud(page)


def test_a_touch_beside_the_studs_folds_them_away_with_the_lead_still_held(open_page: OpenPage) -> None:
    page = open_page("tablet")
    open_bench(page)
    page.touchscreen.tap(*place(page, grip("autopilot", "negative")))
    wait_for_answers(page, "autopilot", "negative")
    _, at = visible_target(page, "negative-bus", margin=20)
    finger = Finger.on(page)
    finger.down(at)
    expect(page.locator(FAN)).to_be_visible()
    finger.up()
    fan = page.locator(FAN).bounding_box()
    assert fan is not None
    page.touchscreen.tap(fan["x"] - 20, fan["y"] + fan["height"] / 2)

    expect(page.locator(FAN)).not_to_be_attached()
    expect(page.locator("#held-lead")).to_be_attached()
    expect(page.locator("#taps form").first).to_be_attached()


def test_the_stud_is_chosen_in_the_list_by_keys(open_page: OpenPage) -> None:
    page = open_page("desk")
    open_bench(page)
    page.locator("#selected .lead .button").first.click()
    expect(page.locator("#taps-title")).to_be_focused()
    row = page.locator("#taps form", has_text="Main negative bus").first  # wherever the ranking puts it
    row.locator(".tap-studs > summary").focus()
    page.keyboard.press("Enter")
    row.locator("select").select_option(label=STUD)
    row.locator("button").press("Enter")

    expect_on_stud(page)

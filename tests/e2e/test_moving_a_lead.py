"""The autopilot's fault found, its lead moved in every way there is, undone, and kept over a reload."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.e2e.calm import still
from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import (
    LIFT_PX,
    Finger,
    grip,
    place,
    visible_target,
    wait_for_answers,
    wait_for_catch,
    wait_for_shape,
)

BENCH = "/boats/sloop?mode=starting&event=engine-start&selected=autopilot"
PILOT = grip("autopilot", "negative")
RESTARTS = re.compile("the autopilot restarts", re.IGNORECASE)
NEEDS_ROOM = 8


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def open_bench(page: Page) -> None:
    page.goto(BENCH)
    wait_for_shape(page)
    expect(page.locator("#findings")).to_contain_text(RESTARTS)
    expect(page.locator(PILOT)).to_be_attached()
    page.locator("#scene").scroll_into_view_if_needed()


def expect_cleared(page: Page) -> None:
    expect(page.locator("#change")).to_contain_text("keeps running")
    expect(page.locator("#findings")).not_to_contain_text(RESTARTS)
    expect(page.locator("#change")).to_contain_text("Engine → Main negative bus")


def by_mouse(page: Page) -> None:
    x, y = place(page, PILOT)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 12, y + 6, steps=3)
    wait_for_answers(page, "autopilot", "negative")
    _, (to_x, to_y) = visible_target(page, "negative-bus")
    page.mouse.move(to_x, to_y, steps=6)
    wait_for_catch(page)
    page.mouse.up()


def by_finger(page: Page) -> None:
    finger, start = Finger.on(page), place(page, PILOT)
    finger.down(start)
    finger.slide(start, (start[0] + 14, start[1] + 10), 3)
    wait_for_answers(page, "autopilot", "negative")
    _, (to_x, to_y) = visible_target(page, "negative-bus")
    finger.slide((start[0] + 14, start[1] + 10), (to_x, to_y + LIFT_PX))
    wait_for_catch(page)
    finger.up()


def by_touch_and_touch(page: Page) -> None:
    x, y = place(page, PILOT)
    page.touchscreen.tap(x, y)
    wait_for_answers(page, "autopilot", "negative")
    _, (to_x, to_y) = visible_target(page, "negative-bus", margin=20)
    page.touchscreen.tap(to_x, to_y)


def by_keys(page: Page) -> None:
    page.locator("#load-autopilot").focus()
    page.keyboard.press("Enter")
    expect(page.locator(PILOT)).to_be_attached()
    page.locator(PILOT).focus()
    page.keyboard.press("Enter")
    wait_for_answers(page, "autopilot", "negative")
    row_of_the_bus(page).focus()
    page.keyboard.press("Enter")


def by_list(page: Page) -> None:
    page.get_by_role("button", name="Move this lead").or_(
        page.get_by_role("link", name="Move this lead")
    ).first.click()
    wait_for_answers(page, "autopilot", "negative")
    row_of_the_bus(page).click()


def row_of_the_bus(page: Page) -> Locator:
    return page.locator("#taps form button", has_text="Main negative bus").first


DESK = pytest.mark.parametrize("way", [by_mouse, by_keys, by_list])
TABLET = pytest.mark.parametrize("way", [by_finger, by_touch_and_touch, by_list])


@DESK
def test_at_a_desk_the_lead_moves_and_the_finding_goes(
    open_page: OpenPage, way: Callable[[Page], None]
) -> None:
    moved_undone_and_kept(open_page("desk"), way)


@TABLET
def test_on_a_tablet_the_lead_moves_and_the_finding_goes(
    open_page: OpenPage, way: Callable[[Page], None]
) -> None:
    moved_undone_and_kept(open_page("tablet"), way)


def moved_undone_and_kept(page: Page, way: Callable[[Page], None]) -> None:
    open_bench(page)
    way(page)
    expect_cleared(page)
    page.reload()
    still(page)
    expect(page.locator("#findings")).not_to_contain_text(RESTARTS)

    page.locator("#undo").click()

    expect(page.locator("#findings")).to_contain_text(RESTARTS)
    page.locator("#redo").click()
    expect(page.locator("#findings")).not_to_contain_text(RESTARTS)


def test_escape_holds_a_dragged_lead_and_a_second_one_puts_it_back(open_page: OpenPage) -> None:
    page = open_page("desk")
    open_bench(page)
    x, y = place(page, PILOT)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y + 10, steps=3)
    wait_for_answers(page, "autopilot", "negative")

    page.keyboard.press("Escape")
    page.mouse.up()

    expect(page.locator("#held-lead")).to_be_attached()
    page.keyboard.press("Escape")
    expect(page.locator("#held-lead")).not_to_be_attached()
    expect(page.locator("#answer-line-1")).to_contain_text("Put back")
    expect(page.locator("#findings")).to_contain_text(RESTARTS)


def test_a_cancelled_touch_keeps_the_lead_in_hand(open_page: OpenPage) -> None:
    page = open_page("tablet")
    open_bench(page)
    finger, start = Finger.on(page), place(page, PILOT)
    finger.down(start)
    finger.slide(start, (start[0] + 30, start[1] + 10), 4)
    wait_for_answers(page, "autopilot", "negative")

    finger.cancel()

    expect(page.locator("#held-lead")).to_be_attached()
    page.locator("#lead-back").click()
    expect(page.locator("#held-lead")).not_to_be_attached()


def test_put_down_on_nothing_goes_back_and_says_so(open_page: OpenPage) -> None:
    page = open_page("desk")
    open_bench(page)
    x, y = place(page, PILOT)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 60, y - 60, steps=4)
    page.mouse.up()

    expect(page.locator("#answer-line-1")).to_contain_text("Put down on nothing")
    expect(page.locator("#held-lead")).not_to_be_attached()
    expect(page.locator("#findings")).to_contain_text(RESTARTS)


def test_a_slow_network_does_not_hold_the_lead(open_page: OpenPage) -> None:
    """With 800 ms of delay the lead follows the hand at once; the answers come when they come."""
    page = open_page("desk")
    open_bench(page)
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    session.send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": 800, "downloadThroughput": -1, "uploadThroughput": -1},
    )
    x, y = place(page, PILOT)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 90, y - 30, steps=3)
    end = page.locator("#held-lead .held-end")
    before = end.get_attribute("cx")
    page.mouse.move(x - 110, y - 50, steps=2)
    assert end.get_attribute("cx") != before
    wait_for_answers(page, "autopilot", "negative")
    _, (to_x, to_y) = visible_target(page, "negative-bus")
    page.mouse.move(to_x, to_y, steps=4)
    wait_for_catch(page)
    page.mouse.up()

    expect_cleared(page)

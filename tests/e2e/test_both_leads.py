"""One grip for both leads of a load: dragged or touched, from the list or by keys, upright too."""

import pytest
from playwright.sync_api import Page, expect

from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import (
    LIFT_PX,
    Finger,
    Point,
    pane,
    place,
    wait_for_answers,
    wait_for_catch,
    wait_for_shape,
)

LOAD = "star-engine-control"
BENCH = f"/boats/workboat?mode=starting&event=star-start&selected={LOAD}"
GRIP = f"#grip-{LOAD}--both"
SIGN = "#mark-both--panel"
PANEL = "Wheelhouse panel"
WORSE = "too close to call"


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def open_bench(page: Page) -> None:
    page.goto(BENCH)
    wait_for_shape(page)
    expect(page.locator(GRIP)).to_be_attached()
    page.locator("#scene").scroll_into_view_if_needed()


_HIGH_IN_THE_PANE = """selector => {
  const { x, top } = document.querySelector(selector).dataset;
  const y = new DOMPoint(+x, +top).matrixTransform(document.querySelector('#diagram').getScreenCTM()).y;
  return y < document.querySelector('#scene').getBoundingClientRect().bottom - 160; }"""


def on_the_bar(page: Page) -> Point:
    """A point of the panel's bar that is in sight: anywhere along it will do."""
    left, top, right, bottom = pane(page)
    x, low, high = page.evaluate(
        """selector => {
          const { x, top, bottom } = document.querySelector(selector).dataset;
          const matrix = document.querySelector('#diagram').getScreenCTM();
          const ends = [top, bottom].map(y => new DOMPoint(+x, +y).matrixTransform(matrix));
          return [ends[0].x, ends[0].y, ends[1].y]; }""",
        SIGN,
    )
    y = (max(low, top + 24) + min(high, bottom - 24)) / 2
    assert left < x < right
    assert low <= y <= high
    return x, y


def expect_both_moved_by_one_edit(page: Page) -> None:
    expect(page.locator("#change-title")).to_contain_text(f"both leads → {PANEL}")
    expect(page.locator("#held-lead")).not_to_be_attached()
    page.locator("#undo-change").click()
    expect(page.locator("#undo")).to_be_disabled()
    expect(page.locator(f"#load-{LOAD}")).to_contain_text(WORSE)


def test_both_leads_are_dragged_onto_a_panel_by_mouse(open_page: OpenPage) -> None:
    page = open_page("desk")
    open_bench(page)
    x, y = place(page, GRIP)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 12, y + 6, steps=3)
    wait_for_answers(page, LOAD, "both")
    expect(page.locator("#held-lead line")).to_have_count(2)
    _, _, _, bottom = pane(page)
    page.mouse.move(x - 12, bottom - 4, steps=6)  # at its edge the picture comes to meet the hand
    page.wait_for_function(_HIGH_IN_THE_PANE, arg=SIGN)
    page.mouse.move(*on_the_bar(page), steps=6)
    wait_for_catch(page)
    expect(page.locator("#answer-line-1")).to_contain_text(PANEL)
    page.mouse.up()

    expect_both_moved_by_one_edit(page)


def test_upright_a_finger_drags_both_leads_and_the_picture_turns_to_the_panels(open_page: OpenPage) -> None:
    page = open_page("tablet")
    open_bench(page)
    finger, start = Finger.on(page), place(page, GRIP)
    near = (start[0] + 14, start[1] + 10)
    finger.down(start)
    finger.slide(start, near, 3)
    wait_for_answers(page, LOAD, "both")
    expect(page.locator("#diagram .turn")).to_have_attribute("data-side", "negative")
    x, y = on_the_bar(page)
    finger.slide(near, (x, y + LIFT_PX))
    wait_for_catch(page)
    finger.up()

    expect_both_moved_by_one_edit(page)


def test_both_leads_are_taken_by_a_touch_and_put_down_by_another(open_page: OpenPage) -> None:
    page = open_page("tablet")
    open_bench(page)
    page.touchscreen.tap(*place(page, GRIP))
    wait_for_answers(page, LOAD, "both")
    page.touchscreen.tap(*on_the_bar(page))

    expect_both_moved_by_one_edit(page)


def test_both_leads_are_moved_by_keys_alone(open_page: OpenPage) -> None:
    page = open_page("desk")
    open_bench(page)
    page.locator(GRIP).focus()
    page.keyboard.press("Enter")
    wait_for_answers(page, LOAD, "both")
    page.locator("#taps").get_by_role("button", name=PANEL).focus()
    page.keyboard.press("Enter")

    expect_both_moved_by_one_edit(page)


def test_escape_puts_both_leads_back(open_page: OpenPage) -> None:
    page = open_page("desk")
    open_bench(page)
    page.mouse.click(*place(page, GRIP))
    wait_for_answers(page, LOAD, "both")
    page.keyboard.press("Escape")

    expect(page.locator("#held-lead")).not_to_be_attached()
    expect(page.locator("#taps form")).to_have_count(0)
    expect(page.locator("#undo")).to_be_disabled()

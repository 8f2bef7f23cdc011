"""The picture at the cursor of an event's chart, and the two probes held to the picture by hand."""

import pytest
from playwright.sync_api import Page, expect

from server.drawing.chart import COLUMNS
from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import Point, place, wait_for_shape
from tests.e2e.test_events import shown

PILOT = "#load-autopilot"
BLOCK, BAR = "engine.stud-3", "negative-bus.stud-9"
INSTANT = "#diagram-place[data-instant]"


_STOP_ON_THE_WAY = """() => {
  const [play, slider] = ["event-play", "event-at"].map(id => document.getElementById(id));
  if (slider.value === "0" || play.textContent !== "Stop") return false;
  play.click();
  return true; }"""


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def at_column(page: Page, column: int) -> None:
    """Take the cursor of the chart to a column."""
    page.locator("#event-at").fill(str(column))


def where(page: Page, terminal: str) -> Point:
    """Where a terminal stands on the screen."""
    return place(page, f"#tap-{terminal.replace('.', '--')}")


def test_the_picture_follows_the_cursor_until_the_button_is_pressed_again(open_page: OpenPage) -> None:
    page = open_page("tablet")
    shown(page)
    wait_for_shape(page)
    page.locator("#event-in-picture").tap()
    expect(page.locator(INSTANT)).to_be_visible()
    expect(page.locator("#event-in-picture")).to_have_attribute("aria-pressed", "true")

    at_column(page, 200)
    expect(page.locator("#picture-instant")).to_have_text("The boat 14 ms after the press")
    expect(page.locator(PILOT)).to_contain_text("7.3 V now")
    expect(page.locator(PILOT)).to_contain_text("below its 9.0 V")
    at_column(page, 10)
    expect(page.locator("#picture-instant")).to_contain_text("before the press")
    expect(page.locator(PILOT)).to_contain_text("12.3 V now")

    page.locator("#event-in-picture").tap()
    expect(page.locator(INSTANT)).not_to_be_attached()
    expect(page.locator(PILOT)).to_contain_text("restarts")


def test_the_picture_stays_above_the_chart_while_it_follows(open_page: OpenPage) -> None:
    page = open_page("desk")
    shown(page)
    page.locator("#event-at").scroll_into_view_if_needed()
    page.locator("#event-in-picture").click()

    expect(page.locator(INSTANT)).to_be_visible()
    expect(page.locator(PILOT)).to_be_in_viewport()
    expect(page.locator("#event-at")).to_be_in_viewport()


def test_a_lead_in_the_hand_brings_the_whole_event_back(open_page: OpenPage) -> None:
    page = open_page("desk")
    shown(page)
    page.locator("#event-in-picture").click()
    expect(page.locator(INSTANT)).to_be_visible()
    page.locator("#selected .lead .button").first.click()

    expect(page.locator(INSTANT)).not_to_be_attached()


def test_a_played_event_takes_the_picture_along(open_page: OpenPage) -> None:
    page = open_page("desk")
    shown(page)
    at_column(page, 470)
    page.locator("#event-in-picture").click()
    expect(page.locator(INSTANT)).to_be_visible()
    page.locator("#event-play").click()

    expect(page.locator("#picture-instant")).to_have_text("The boat 0.24 s after the release")


def test_probes_are_held_to_the_picture_by_touch_and_touch(open_page: OpenPage) -> None:
    page = open_page("tablet")
    shown(page)
    wait_for_shape(page)
    page.locator("#event-probes-title").tap()
    page.locator("#event-plus-tip").tap()
    expect(page.locator("#probe-told")).to_contain_text("plus probe")
    page.touchscreen.tap(*where(page, BLOCK))
    expect(page.locator("#event-plus")).to_have_value(BLOCK)
    expect(page.locator("#event-minus-tip")).to_have_attribute("aria-pressed", "true")
    page.touchscreen.tap(*where(page, BAR))

    expect(page.locator("#event-strip .event-verdict")).to_contain_text("Engine against Main negative bus")
    expect(page.locator("#diagram .probe-mark")).to_have_count(2)
    expect(page.locator("#selected h2")).to_contain_text("Autopilot")


def test_a_probe_is_dragged_onto_a_load_and_takes_the_lead_of_its_polarity(open_page: OpenPage) -> None:
    page = open_page("desk")
    shown(page)
    page.locator("#event-probes-title").click()
    page.locator("#event-minus-tip").scroll_into_view_if_needed()
    tip = page.locator("#event-minus-tip").bounding_box()
    assert tip
    page.mouse.move(tip["x"] + 20, tip["y"] + 20)
    page.mouse.down()
    page.mouse.move(tip["x"] + 20, tip["y"] - 20)
    plate = page.locator(f"{PILOT} .plate").bounding_box()
    assert plate
    page.mouse.move(plate["x"] + plate["width"] / 2, plate["y"] + plate["height"] / 2, steps=4)
    page.mouse.up()

    expect(page.locator("#event-minus")).to_have_value("autopilot.negative")
    expect(page.locator("#event-plus-tip")).to_have_attribute("aria-pressed", "true")
    page.keyboard.press("Escape")
    expect(page.locator("#event-plus-tip")).to_have_attribute("aria-pressed", "false")
    expect(page.locator("#probe-told")).to_be_empty()


def test_a_key_on_a_tip_leads_to_its_list(open_page: OpenPage) -> None:
    page = open_page("desk")
    shown(page)
    page.locator("#event-probes-title").click()
    page.locator("#event-plus-tip").focus()
    page.keyboard.press("Enter")

    expect(page.locator("#event-plus")).to_be_focused()


def test_a_played_event_is_stopped_where_it_is(open_page: OpenPage) -> None:
    page = open_page("desk")
    shown(page)
    at_column(page, 0)
    play, slider = page.locator("#event-play"), page.locator("#event-at")
    play.click()
    page.wait_for_function(_STOP_ON_THE_WAY)  # in the page itself: on a busy machine a hand came too late

    expect(play).to_have_text("Play")
    stands = slider.input_value()
    page.wait_for_function("start => performance.now() - start > 200", arg=page.evaluate("performance.now()"))
    assert slider.input_value() == stands
    assert int(stands) < COLUMNS - 1

"""An event in time in the browser: seen to restart, moved, seen to keep running; read by finger and keys."""

from typing import Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from server.drawing.chart import COLUMNS, LEFT, RIGHT, WIDTH
from tests.e2e.calm import still
from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import wait_for_shape
from tests.e2e.test_access import RULES

BENCH = "/boats/sloop?mode=starting&event=engine-start&selected=autopilot"
ALONE = "/boats/sloop/event?mode=starting&event=engine-start"
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
CURVE = "#event-chart [data-role=chosen] path"


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def shown(page: Page, address: str = BENCH) -> None:
    """Open the workbench and wait until its event is computed, and nothing comes any more."""
    page.goto(address)
    expect(page.locator("#event-chart")).to_be_visible()
    still(page)


def test_an_autopilot_that_restarts_is_moved_and_keeps_running_without_a_reload(open_page: OpenPage) -> None:
    page = open_page("tablet")
    shown(page)
    wait_for_shape(page)
    page.evaluate("window.kept = true")
    expect(page.locator(".event-verdict")).to_contain_text("restarts Autopilot falls from")
    before = page.locator(CURVE).first.get_attribute("d")
    lowest = page.locator("#event-chart [data-role=chosen] .chart-curve-words").text_content()
    page.locator("#selected .lead .button").first.tap()
    page.locator("#taps form button").first.tap()

    expect(page.locator(".event-change")).to_contain_text("restarts; now: lowest")
    expect(page.locator(".event-verdict")).to_contain_text("keeps running Autopilot")
    assert page.locator(CURVE).first.get_attribute("d") != before
    assert page.locator("#event-chart [data-role=earlier] .chart-curve-words").text_content() == lowest
    assert page.evaluate("window.kept")


def test_the_cursor_follows_keys_and_finger_and_stays_when_the_boat_changes(open_page: OpenPage) -> None:
    page = open_page("tablet")
    shown(page)
    wait_for_shape(page)
    slider = page.locator("#event-at")
    slider.focus()
    at = int(slider.input_value())
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")

    expect(page.locator("#event-time")).to_contain_text("ms after the press")
    assert float(str(page.locator(".chart-cursor").get_attribute("x1"))) == LEFT + at + 2.5
    said = str(slider.get_attribute("aria-valuetext"))
    assert "after the press" in said
    assert "Autopilot" in said

    chart = page.locator("#event-chart")
    chart.scroll_into_view_if_needed()
    box = chart.bounding_box()
    assert box
    chart.tap(position={"x": box["width"] * (RIGHT - 0.5) / WIDTH, "y": box["height"] / 3})
    expect(page.locator("#event-time")).to_contain_text("after the release")
    assert slider.input_value() == str(COLUMNS - 1)

    page.locator("#selected .lead .button").first.tap()
    page.locator("#taps form button").first.tap()
    expect(page.locator(".event-change")).to_be_visible()
    assert slider.input_value() == str(COLUMNS - 1)


def test_the_mouse_moves_the_cursor_and_focus_stays_in_the_table(open_page: OpenPage) -> None:
    page = open_page("desk")
    shown(page)
    chart = page.locator("#event-chart")
    chart.hover(position={"x": 100, "y": 100})

    expect(page.locator("#event-time")).to_contain_text("press")
    page.locator("#event-extremes a").nth(1).focus()
    page.keyboard.press("Enter")
    expect(page.locator("#event-extremes a[aria-current=true]")).to_be_focused()


def test_the_strip_breaks_no_rule_of_access_in_light_and_dark(open_page: OpenPage) -> None:
    page = open_page("tablet")
    shown(page)
    wait_for_shape(page)
    page.evaluate("for (const one of document.querySelectorAll('#event-strip details')) one.open = true")
    events = page.locator("#event-heavies tbody tr")
    expect(events.filter(has_text="Engine start")).to_contain_text("Autopilot")
    still(page)

    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page, "#event-strip", {"runOnly": RULES}).response["violations"]
        assert [f"{one['id']}: {[node['target'] for node in one['nodes'][:3]]}" for one in found] == []


def test_without_script_the_page_reads_an_instant_and_two_probes(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto("/")
    browser = page.context.browser
    assert browser is not None
    plain = browser.new_context(java_script_enabled=False)
    bare = plain.new_page()
    bare.goto(page.evaluate("location.origin") + ALONE)
    bare.locator("#event-t").fill("3 ms")
    bare.locator("#event-look").click()
    expect(bare.locator("#event-time")).to_have_text("3 ms after the press")
    bare.locator("#event-probes > summary").click()
    bare.locator("#event-plus").select_option("autopilot.supply")
    bare.locator("#event-minus").select_option("autopilot.negative")
    bare.locator("#event-read").click()

    expect(bare.locator("#event-row-probe")).to_be_visible()
    expect(bare.locator("#event-clear")).to_be_visible()
    plain.close()

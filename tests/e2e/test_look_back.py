"""Before and after a move: held down for a look, pressed once to stay."""

import pytest
from playwright.sync_api import Page, expect

from tests.e2e.calm import still
from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import Finger, grip, short_click, wait_for_shape

PILOT = "#load-autopilot"
RESTARTS, RUNS = "rung load restarts selected", "rung load keeps-running selected"


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def move_the_lead(page: Page) -> None:
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    wait_for_shape(page)
    page.locator("#selected .lead .button").first.click()
    page.locator("#taps form button").first.click()
    expect(page.locator("#change")).to_contain_text("keeps running")
    expect(page.locator(PILOT)).to_have_class(RUNS)


def test_held_down_by_a_finger_it_shows_the_boat_before_and_let_go_the_boat_now(open_page: OpenPage) -> None:
    page = open_page("tablet")
    move_the_lead(page)
    button = page.locator("#show-before")
    still(page)
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    assert box is not None
    finger = Finger.on(page)

    finger.down((box["x"] + box["width"] / 2, box["y"] + box["height"] / 2))
    expect(page.locator(PILOT)).to_have_class(RESTARTS)
    expect(page.locator(".before-told")).to_be_visible()
    expect(page.locator(".guide-sentence")).to_be_hidden()
    page.wait_for_function("start => performance.now() - start > 400", arg=page.evaluate("performance.now()"))
    finger.up()

    expect(page.locator(PILOT)).to_have_class(RUNS)
    expect(page.locator(".before-told")).to_be_hidden()
    expect(page.locator(".guide-sentence")).to_be_visible()
    expect(button).to_have_attribute("aria-pressed", "false")


def test_pressed_once_it_stays_and_nothing_can_be_picked_up_meanwhile(open_page: OpenPage) -> None:
    page = open_page("desk")
    move_the_lead(page)
    short_click(page, page.locator("#show-before"))
    expect(page.locator(PILOT)).to_have_class(RESTARTS)
    page.locator(grip("autopilot", "negative")).focus()
    page.keyboard.press("Enter")

    expect(page.locator("#held-lead")).not_to_be_attached()
    page.locator("#show-before").focus()
    page.keyboard.press("Enter")
    expect(page.locator(PILOT)).to_have_class(RUNS)
    page.keyboard.press("Enter")
    expect(page.locator(PILOT)).to_have_class(RESTARTS)
    page.locator("#selected .lead .button").first.click()
    expect(page.locator(PILOT)).to_have_class(RUNS)

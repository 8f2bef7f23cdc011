"""Two options compared by touch: begun, a lead moved, side by side, the one before held down, taken over."""

import re
from datetime import datetime, timedelta

from playwright.sync_api import Page, expect

from tests.e2e.calm import still
from tests.e2e.conftest import OpenPage
from tests.e2e.hand import Finger, wait_for_shape

VIEW = "mode=starting&event=engine-start&selected=autopilot"
PILOT = "#load-autopilot"


def begin(page: Page, name: str) -> str:
    """A new option of the sloop; the address of its workbench."""
    page.goto("/boats/sloop/options")
    page.locator("#new-name").fill(name)
    page.locator("#new-open").tap()
    page.wait_for_url(re.compile(r"/boats/b[0-9a-f]+$"))
    return page.url


def move_the_pilot(page: Page, bench: str, place: int) -> None:
    page.goto(f"{bench}?{VIEW}")
    wait_for_shape(page)
    page.locator("#selected .lead .button").first.tap()
    expect(page.locator("#taps form").first).to_be_attached()
    still(page)  # the places are in their last order
    page.locator("#taps form button").nth(place).tap()
    expect(page.locator("#change")).to_contain_text("Autopilot")


def test_two_options_are_compared_by_touch_and_the_better_one_taken_over(open_page: OpenPage) -> None:
    page = open_page("tablet")
    first = begin(page, "As it hangs")
    second = begin(page, "Pilot to the panel")
    move_the_pilot(page, second, 0)
    page.goto("/boats/sloop/options")
    expect(page.locator(".option")).to_have_count(3)
    expect(page.locator(".options")).to_contain_text("everything that is on keeps running")
    page.locator("#pick-left").select_option(first.rpartition("/")[2])
    page.locator("#pick-right").select_option(second.rpartition("/")[2])
    page.locator("#pick-compare").tap()
    page.wait_for_url(re.compile("/compare"))

    expect(page.locator("#compare-headline")).to_have_text(
        re.compile("^Autopilot: .*restarts → .*keeps running")
    )
    expect(page.locator("#compare-findings")).to_contain_text("the autopilot restarts")
    expect(page.locator("#compare-steps tbody tr")).to_have_count(2)
    page.locator(PILOT).press("Enter")
    expect(page.locator(PILOT)).to_have_class(re.compile("selected"))
    button = page.locator("#show-before")
    still(page)
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    assert box is not None
    finger = Finger.on(page)
    finger.down((box["x"] + box["width"] / 2, box["y"] + box["height"] / 2))
    expect(page.locator(PILOT)).to_have_class(re.compile("restarts.*selected"))
    expect(page.locator(".before-told")).to_have_text("Before: As it hangs")
    page.wait_for_function("start => performance.now() - start > 400", arg=page.evaluate("performance.now()"))
    finger.up()
    expect(page.locator(PILOT)).to_have_class(re.compile("keeps-running"))

    page.locator("#to-take-over").tap()
    page.locator("#take-over-whole").tap()
    page.wait_for_url(re.compile(r"/boats/sloop\?since=1"))
    expect(page.locator("#change-title")).to_have_text("Taken over: Pilot to the panel")


INDIA = timedelta(hours=5, minutes=30)
"""What Asia/Kolkata is ahead of UTC, the whole year (IANA time zone database)."""


def test_by_keys_a_lead_is_moved_from_its_card_and_the_history_says_who_and_when(
    open_page: OpenPage,
) -> None:
    page = open_page("desk")
    zone = page.context.new_cdp_session(page)
    zone.send("Emulation.setTimezoneOverride", {"timezoneId": "Asia/Kolkata"})
    page.goto("/boats/sloop/history")
    page.locator("#own-name-typed").fill("Ida")
    page.keyboard.press("Enter")
    expect(page.locator("#own-name-told")).to_contain_text("“Ida”")
    page.goto("/boats/sloop?mode=starting&event=engine-start")
    still(page)
    page.locator(PILOT).focus()
    page.keyboard.press("Enter")
    expect(page.locator("#selected-title")).to_be_attached()
    still(page)
    for key in ("Tab", "Enter"):
        page.keyboard.press(key)
    expect(page.locator("#selected-title")).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.locator(PILOT)).to_be_focused()
    for key in ("Tab", "Enter", "Tab", "Tab"):
        page.keyboard.press(key)
    expect(page.locator("#pick-up-autopilot--negative")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#taps-title")).to_be_focused()
    still(page)
    page.locator("#taps form button").first.press("Enter")
    expect(page.locator("#change")).to_contain_text("Autopilot")
    option = page.url.partition("?")[0]
    page.goto(f"{option}/history")

    row = page.locator("#revision-2")
    at = datetime.fromisoformat(row.locator("time").get_attribute("datetime") or "") + INDIA
    expect(row.locator("time")).to_have_text(f"{at:%H:%M}")
    expect(page.locator(".history-day").first).to_have_text(f"{at:%Y-%m-%d}")
    expect(row).to_contain_text("Ida")

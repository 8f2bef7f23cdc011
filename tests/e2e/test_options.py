"""Two options compared by touch: begun, a lead moved, side by side, the one before held down, taken over."""

import re

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

"""Putting a fuse into a cable and wiring two terminals in the picture: by touch, and by keys alone."""

import re

from playwright.sync_api import Page, expect

from tests.e2e.calm import still
from tests.e2e.conftest import OpenPage
from tests.e2e.hand import Finger, wait_for_shape

_MIDDLE = """selector => { const box = document.querySelector(selector).getBoundingClientRect();
  return [box.left + box.width / 2, box.top + box.height / 2]; }"""


def middle(page: Page, selector: str) -> tuple[float, float]:
    """The middle of a thing in the picture, on the screen."""
    x, y = page.evaluate(_MIDDLE, selector)
    return x, y


def test_a_fuse_is_put_into_a_cable_and_two_terminals_are_wired_by_touch(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.goto("/boats/sloop?selected=panel-feed")
    wait_for_shape(page)
    still(page)
    expect(page.locator("#conductor-panel-feed.chosen")).to_be_attached()  # the picture has turned to it
    still(page)
    page.touchscreen.tap(*middle(page, "#conductor-panel-feed"))
    still(page)
    page.locator("#do-put").tap()
    expect(page.locator("#here-rating-a")).to_be_visible()
    still(page)
    page.locator("#here-rating-a").fill("60")
    page.locator("#here-distance").fill("0.2")
    page.locator("#doing-go").tap()

    expect(page.locator("#change-title")).to_contain_text("inserted into")
    expect(page.locator("#thing-title")).to_contain_text("Fuse")
    still(page)
    page.locator("#find").fill("House positive bus")
    page.locator("#find-go").tap()
    expect(page.locator("#thing-title")).to_have_text("House positive bus")
    still(page)
    page.locator("#do-wire").tap()
    expect(page.locator("#thing[data-wires-from^='house-bus.']")).to_be_attached()
    still(page)
    start = middle(page, "#wire-from circle")
    end = (middle(page, "#part-panel--dc")[0], start[1])
    finger = Finger.on(page)
    finger.down(start)
    finger.slide(start, end)
    finger.up()
    expect(page.locator("#here-head")).to_have_value(re.compile("^Main panel: way"))
    still(page)
    page.locator("#here-size").fill("2/0 AWG")
    page.locator("#here-length").fill("0.5")
    page.locator("#here-length").press("Enter")  # the key of the tablet's own keyboard
    still(page)

    expect(page.locator("#change-title")).to_contain_text("Put in a cable")
    still(page)
    page.locator("#undo-change").tap()
    still(page)
    expect(page.locator("#undo")).to_have_attribute("title", re.compile("^Fuse, cable 15 inserted"))


def test_a_part_is_found_wired_moved_and_taken_out_by_keys_alone(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto("/boats/sloop")
    wait_for_shape(page)
    still(page)
    page.locator("#load-vhf").focus()
    page.keyboard.press("/")
    expect(page.locator("#find")).to_be_focused()
    page.keyboard.type("main negative bus")
    page.keyboard.press("Enter")
    expect(page.locator("#thing-title")).to_be_focused()
    expect(page.locator("#part-negative-bus.chosen")).to_be_attached()
    still(page)
    page.locator("#do-wire").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#doing-title")).to_be_focused()
    still(page)
    page.locator("#part-engine").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#here-head")).not_to_have_value("")
    still(page)
    page.locator("#doing-go").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#change-title")).to_be_focused()
    expect(page.locator("#change-title")).to_contain_text("Put in a cable")

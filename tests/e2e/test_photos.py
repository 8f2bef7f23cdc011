"""A photo put on by touch: it waits while the server is away, gets a pin, and the pin becomes a conductor."""

import re
from io import BytesIO

from PIL import Image
from playwright.sync_api import FilePayload, Page, expect

from tests.e2e.conftest import OpenPage
from tests.e2e.hand import Finger, Point

CLOSED = """const real = window.fetch;
window.wayIsClosed = true;
window.fetch = (...asked) => window.wayIsClosed ? Promise.reject(new TypeError("no way")) : real(...asked);"""
"""The page's own requests meet no server, as without a network; the browser itself would complain aloud."""


def photo() -> FilePayload:
    out = BytesIO()
    Image.new("RGB", (800, 600), "gray").save(out, "JPEG")
    return {"name": "bus.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def point(page: Page, x: float, y: float) -> Point:
    """Where a share of the photo's width and height lies on the screen."""
    page.locator("#photo-svg").scroll_into_view_if_needed()
    box = page.locator("#photo-svg").bounding_box()
    assert box
    return box["x"] + x * box["width"], box["y"] + y * box["height"]


def told(page: Page, words: str) -> None:
    expect(page.locator("#photo-told")).to_have_text(words)


def test_a_photo_waits_for_the_network_and_its_pin_becomes_a_conductor(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.add_init_script(CLOSED)
    page.goto("/boats/sloop/photos")
    page.locator("#photo-file").set_input_files(photo())
    page.locator("#photo-subject").fill("Main negative bus")
    page.locator("#photo-caption").fill("Bus")
    page.locator("#photo-in").tap()
    expect(page.locator("outbox-count")).to_contain_text("1 photo waiting on this device")
    expect(page.locator("#photo-grid img")).to_have_count(0)
    page.goto("/boats")
    expect(page.locator("outbox-count")).to_contain_text("1 photo waiting on this device")

    page.evaluate("window.wayIsClosed = false")
    page.locator("outbox-count button").tap()
    expect(page.locator("outbox-count p")).to_have_count(0)
    page.goto("/boats/sloop/photos")
    expect(page.locator("#photo-grid img")).to_have_count(1)
    page.locator("#photo-grid a").tap()
    expect(page.locator("#photo-title")).to_have_text("Bus")

    page.touchscreen.tap(*point(page, 0.25, 0.5))
    expect(page.locator("#pin-new-x")).to_have_value(re.compile(r"2[45]\.\d"))
    page.locator("#pin-new-what").fill("Main negative bus: stud 3")
    page.locator("#pin-new-set").tap()
    told(page, "Pin 1 is on.")
    expect(page.locator("#pin-new-x")).to_have_value("")
    finger = Finger.on(page)
    start, end = point(page, 0.25, 0.5), point(page, 0.5, 0.25)
    finger.down(start)
    finger.slide(start, end)
    finger.up()
    told(page, "Pin 1 is changed.")
    expect(page.locator("#pin-1-x")).to_have_value(re.compile(r"(49|50)\.\d"))

    page.touchscreen.tap(*point(page, 0.5, 0.25))
    page.locator("#pin-1-conductor").tap()
    told(page, "A conductor with a loose end stands in the lists now.")
    page.locator("#place-lists").tap()
    page.wait_for_url("**/lists")
    row = page.locator("#cable-list tr", has_text="Pin 1 of the photo “Bus”")
    expect(row).to_contain_text("Main negative bus: stud 3")
    expect(row).to_contain_text("loose end")

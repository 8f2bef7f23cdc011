"""An upright tablet: a load's way is walked as a list, and its lead is put down from there."""

from playwright.sync_api import expect

from tests.e2e.conftest import OpenPage
from tests.e2e.hand import wait_for_shape

TOUCH_PX = 44
NEGATIVES = "getComputedStyle(document.querySelector('.diagram .conductor.negative')).stroke"


def test_the_way_is_walked_and_the_lead_put_down_by_one_touch(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    wait_for_shape(page)
    place = page.get_by_role("button", name="Put the negative lead on Main negative bus: 10.8 V")
    box = place.bounding_box()
    assert box is not None
    assert box["height"] >= TOUCH_PX

    place.tap()

    expect(page.locator("#change")).to_contain_text("7.3 V, restarts → 10.8 V, keeps running")
    expect(page.locator("#change-title")).to_be_focused()
    expect(page.locator("#selected")).to_contain_text("the negative lead lies here now")


def test_negatives_are_printed_black_whatever_the_look_of_the_screen(open_page: OpenPage) -> None:
    """On a dark screen negatives are yellow; on paper they are black."""
    page = open_page("desk")
    page.emulate_media(color_scheme="dark")
    page.goto("/boats/outboard")
    assert page.evaluate(NEGATIVES) != "rgb(0, 0, 0)"

    page.emulate_media(color_scheme="dark", media="print")

    assert page.evaluate(NEGATIVES) == "rgb(0, 0, 0)"

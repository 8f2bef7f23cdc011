"""An upright tablet: a load's way is walked as a list, and its lead is put down from there."""

from playwright.sync_api import Page, expect

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


def test_a_value_that_is_set_shows_what_that_changed_and_one_refused_keeps_the_focus(
    page: Page, expected_statuses: set[int]
) -> None:
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    wait_for_shape(page)
    field = page.locator("#selected > form.field").first
    name, value = field.get_attribute("id"), field.locator("input:not([type=hidden])").first
    value.fill("6.5")
    field.get_by_role("button").click()
    expect(page.locator("#change-title")).to_be_focused()
    expect(page.locator("#change-title")).to_be_in_viewport()
    expect(page.locator("#load-autopilot")).to_be_in_viewport()

    expected_statuses.add(422)
    page.locator(f"#{name}-value").fill("no figure")
    page.locator(f"#{name}-set").click()
    expect(page.locator(f"#{name}-error")).to_be_visible()
    expect(page.locator("#change-title")).not_to_be_focused()


def test_negatives_are_printed_black_whatever_the_look_of_the_screen(open_page: OpenPage) -> None:
    """On a dark screen negatives are yellow; on paper they are black."""
    page = open_page("desk")
    page.emulate_media(color_scheme="dark")
    page.goto("/boats/outboard")
    assert page.evaluate(NEGATIVES) != "rgb(0, 0, 0)"

    page.emulate_media(color_scheme="dark", media="print")

    assert page.evaluate(NEGATIVES) == "rgb(0, 0, 0)"


def test_paper_has_the_wide_picture_with_both_polarities_and_the_screen_its_own_again(
    open_page: OpenPage,
) -> None:
    page = open_page("tablet")
    page.set_viewport_size({"width": 794, "height": 1123})  # A4 upright at 96 px an inch (ISO 216)
    page.goto("/boats/sloop")
    wait_for_shape(page)
    expect(page.locator("#diagram")).to_have_class("diagram portrait")

    page.emulate_media(media="print")
    expect(page.locator("#diagram")).to_have_class("diagram")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    drawn = page.locator("#diagram").bounding_box()
    assert drawn is not None
    assert drawn["x"] >= 0
    assert drawn["x"] + drawn["width"] <= 794
    expect(page.locator("#place-boats")).to_be_hidden()

    page.emulate_media(media="screen")
    expect(page.locator("#diagram")).to_have_class("diagram portrait")

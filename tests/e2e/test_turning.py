"""A narrow upright picture shows one polarity; it is turned by touch, by key, and by what is picked up."""

import pytest
from playwright.sync_api import Page, Route, expect

from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import grip, wait_for_answers, wait_for_shape

BENCH = "/boats/sloop?mode=starting&event=engine-start&selected=autopilot"
NEGATIVE, POSITIVE = grip("autopilot", "negative"), grip("autopilot", "supply")


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def upright(open_page: OpenPage) -> Page:
    page = open_page("tablet")
    page.goto(BENCH)
    wait_for_shape(page)
    expect(page.locator(NEGATIVE)).to_be_attached()
    expect(page.locator(POSITIVE)).not_to_be_attached()
    return page


def test_the_picture_turns_to_the_other_polarity_and_stays_over_a_reload(open_page: OpenPage) -> None:
    page = upright(open_page)
    turn = page.locator("#diagram .turn")
    turn.focus()
    page.keyboard.press("Enter")

    expect(page.locator(POSITIVE)).to_be_attached()
    expect(page.locator(NEGATIVE)).not_to_be_attached()
    page.reload()
    wait_for_shape(page)
    expect(page.locator(POSITIVE)).to_be_attached()


def test_a_touch_on_the_strip_of_the_other_polarity_turns_to_it(open_page: OpenPage) -> None:
    page = upright(open_page)
    page.locator("#scene").scroll_into_view_if_needed()
    strip, plate = (
        page.locator("#diagram .turn").bounding_box(),
        page.locator("#load-autopilot").bounding_box(),
    )
    assert strip is not None
    assert plate is not None

    page.touchscreen.tap(strip["x"] + strip["width"] / 2, plate["y"] + plate["height"] / 2)

    expect(page.locator(POSITIVE)).to_be_attached()


def test_a_button_beside_the_picture_turns_it_there_and_back(open_page: OpenPage) -> None:
    page = upright(open_page)
    button = page.locator("#turn-over")
    expect(button).to_have_text("Show the positive side")
    button.tap()
    expect(page.locator(POSITIVE)).to_be_attached()
    expect(button).to_have_text("Show the negative side")

    button.tap()

    expect(page.locator(NEGATIVE)).to_be_attached()


def test_picking_up_a_lead_turns_to_its_side(open_page: OpenPage) -> None:
    page = upright(open_page)

    page.locator("#pick-up-autopilot--supply").tap()

    wait_for_answers(page, "autopilot", "supply")
    expect(page.locator(POSITIVE)).to_be_attached()
    expect(page.locator(NEGATIVE)).not_to_be_attached()


def test_turning_the_tablet_draws_the_other_picture(open_page: OpenPage) -> None:
    """Held across, both polarities are drawn; held upright again, one."""
    page = upright(open_page)
    page.set_viewport_size({"width": 1180, "height": 820})

    expect(page.locator(POSITIVE)).to_be_attached()
    expect(page.locator(NEGATIVE)).to_be_attached()
    page.set_viewport_size({"width": 820, "height": 1180})
    expect(page.locator(POSITIVE)).not_to_be_attached()


def test_the_upright_picture_does_not_wait_for_parts_that_come_late(open_page: OpenPage) -> None:
    """An event in time may take seconds: here its answer is kept back until the picture is drawn anew."""
    page = open_page("tablet")
    kept: list[Route] = []

    def keep(route: Route) -> None:
        kept.append(route)

    page.route("**/boats/sloop/event?*", keep)
    page.goto(BENCH)

    expect(page.locator("#scene[data-shape]")).to_be_attached()
    expect(page.locator(NEGATIVE)).to_be_attached()
    expect(page.locator(POSITIVE)).not_to_be_attached()
    assert kept
    page.unroute("**/boats/sloop/event?*", keep)
    page.reload()
    expect(page.locator("#event-strip")).to_contain_text("in time")

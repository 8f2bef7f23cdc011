"""The frame of every page, in a browser."""

import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from server.settings import Settings
from tests.e2e.conftest import OpenPage

AXE_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Without boats, the first page is the frame and little else."""
    return Settings(data_dir=tmp_path / "boats", port=0)


def violations(page: Page) -> list[str]:
    found = Axe().run(page, options={"runOnly": AXE_RULES}).response["violations"]
    return [f"{one['id']}: {one['help']}" for one in found]


def test_the_first_page_comes_with_htmx_2_and_without_outside_help(page: Page) -> None:
    page.goto("/")

    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert page.evaluate("htmx.version").startswith("2.")
    assert page.evaluate("htmx.config.allowEval") is False


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_first_page_is_accessible(page: Page, scheme: str) -> None:
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    page.goto("/")

    assert violations(page) == []


def test_an_error_page_is_accessible(page: Page, expected_statuses: set[int]) -> None:
    expected_statuses.add(404)
    page.goto("/nowhere")

    expect(page.locator("#content").get_by_role("link", name="Boats")).to_be_visible()
    assert violations(page) == []


@pytest.mark.parametrize("theme", ["light", "dark", "night"])
def test_a_look_is_chosen_and_kept(page: Page, theme: str) -> None:
    page.goto("/")
    page.get_by_label("Look").select_option(theme)
    page.get_by_role("button", name="Set").click()

    expect(page.locator("html")).to_have_attribute("data-theme", theme)
    page.goto("/")
    expect(page.get_by_label("Look")).to_have_value(theme)
    assert violations(page) == []


def test_everything_to_touch_is_large_enough_for_a_finger(page: Page) -> None:
    page.goto("/")

    for target in page.locator("header a, main a, button, select, input:not([type=hidden])").all():
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= 44
        assert box["width"] >= 44


def test_text_is_16_px_and_nothing_sticks_out_sideways(page: Page) -> None:
    page.goto("/")

    assert page.evaluate("getComputedStyle(document.querySelector('main')).fontSize") == "16px"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_printing_leaves_the_controls_out(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto("/")
    page.emulate_media(media="print")

    expect(page.get_by_role("button", name="Set")).to_be_hidden()
    expect(page.get_by_role("heading", level=1)).to_be_visible()


def test_the_keyboard_can_skip_to_the_content(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto("/")
    page.keyboard.press("Tab")
    expect(page.get_by_text("Skip to the content")).to_be_focused()
    page.keyboard.press("Enter")

    expect(page.locator("main")).to_be_focused()
    assert re.search("#content$", page.url)


def test_screens_are_kept_apart(open_page: OpenPage) -> None:
    """Two pages of one test are two people: a look chosen on one stays off the other."""
    one, two = open_page("desk"), open_page("tablet")
    one.goto("/")
    one.get_by_label("Look").select_option("night")
    one.get_by_role("button", name="Set").click()
    two.goto("/")

    expect(one.locator("html")).to_have_attribute("data-theme", "night")
    expect(two.locator("html")).to_have_attribute("data-theme", "auto")

"""One grip for both leads of a load."""

from playwright.sync_api import expect

from tests.e2e.conftest import OpenPage
from tests.e2e.hand import place, wait_for_shape


def test_the_grip_for_both_leads_opens_the_panels_and_one_touch_moves_both(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto("/boats/workboat?mode=starting&event=star-start&selected=star-engine-control")
    wait_for_shape(page)
    page.mouse.click(*place(page, "#grip-star-engine-control--both"))
    expect(page.locator("#taps-title")).to_have_text(
        "Where to put both leads of Engine control unit starboard"
    )
    page.get_by_role("button", name="Wheelhouse panel").press("Enter")

    expect(page.locator("#change")).to_contain_text("both leads → Wheelhouse panel")
    expect(page.locator("#change")).to_contain_text("keeps running")
    page.locator("#undo-change").click()
    expect(page.locator("#findings")).to_contain_text("engine control unit starboard restarts")

"""From the first page to a cleared finding, with nothing read before."""

from playwright.sync_api import Page, expect

from tests.e2e.calm import still
from tests.e2e.conftest import OpenPage
from tests.e2e.hand import wait_for_shape

MOST_TOUCHES = 6


def test_a_first_visit_clears_a_finding_in_six_touches(page: Page) -> None:
    touches = 0
    page.goto("/")
    expect(page.locator(".guide-sentence")).to_have_text("When the engine starts, the autopilot restarts.")
    wait_for_shape(page)

    for button in ("#show-why", "#selected .lead .button", "#taps form button"):
        page.locator(button).first.click()
        touches += 1

    expect(page.locator("#change")).to_contain_text("restarts → ")
    expect(page.locator("#change")).to_contain_text("keeps running")
    expect(page.locator("#change")).to_contain_text("Findings cleared")
    expect(page.locator("#undo-change")).to_be_visible()
    assert touches <= MOST_TOUCHES


def test_the_volts_of_the_loop_add_up_on_the_page(page: Page) -> None:
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")

    expect(page.locator("#selected")).to_contain_text("The shares add up to 5.06 V; the dip is 5.06 V.")


def test_a_page_reached_without_script_works_by_its_forms(page: Page) -> None:
    """The same way with script switched off: links and forms alone."""
    browser = page.context.browser
    assert browser is not None
    plain = browser.new_context(java_script_enabled=False, base_url=page.url or None)
    bare = plain.new_page()
    page.goto("/")
    bare.goto(page.evaluate("location.origin") + "/boats/sloop?mode=starting&event=engine-start")
    bare.locator("#show-why").click()
    bare.locator("#selected .lead .button").first.click()
    bare.locator("#taps form button").first.click()

    expect(bare.locator("#change")).to_contain_text("keeps running")
    bare.locator("#show-before").click()
    expect(bare.locator(".before-told")).to_be_visible()
    bare.locator("#show-before").click()
    expect(bare.locator(".before-told")).to_be_hidden()
    bare.locator("#undo-change").click()
    expect(bare.locator("#findings")).to_contain_text("autopilot restarts")
    bare.locator("#event").select_option("engine-start")
    bare.locator("#event-show").click()
    bare.locator("#sort-drop").click()
    expect(bare.locator("th[aria-sort='ascending']")).to_contain_text("Steady drop")
    plain.close()


def test_the_keyboard_alone_walks_from_the_first_page_to_a_cleared_finding(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto("/")
    press_until(page, "show-why")
    page.keyboard.press("Enter")
    expect(page.locator("#selected")).to_contain_text("Autopilot")
    press_until(page, "pick-up-")
    page.keyboard.press("Enter")
    expect(page.locator("#taps form").first).to_be_attached()
    press_until(page, "put-")
    page.keyboard.press("Enter")

    expect(page.locator("#change")).to_contain_text("keeps running")
    press_until(page, "undo")
    page.keyboard.press("Enter")
    expect(page.locator("#findings")).to_contain_text("autopilot restarts")


MOST_TABS = 200


def press_until(page: Page, beginning: str) -> None:
    """Press Tab until something whose id begins so has the focus."""
    still(page)
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id").startswith(beginning):
            return
    message = f"no Tab reaches {beginning}"
    raise AssertionError(message)

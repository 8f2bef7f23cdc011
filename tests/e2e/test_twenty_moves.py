"""Twenty moves by finger to named targets on a tablet: nothing lands beside, and all are taken back."""

from playwright.sync_api import Page, expect

from tests.e2e.conftest import OpenPage
from tests.e2e.hand import grip, place, visible_target, wait_for_answers

MOVES = 20
MOST_MISSED = 1
BUS, BAR = "Main negative bus", "Main panel"


def test_twenty_moves_land_where_they_were_aimed_and_are_all_undone(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    move_to(page, "negative-bus")
    expect(page.locator("#change")).to_contain_text(BUS)
    missed = 0

    for number in range(1, MOVES):
        target, name = (("panel", BAR), ("negative-bus", BUS))[number % 2 == 0]
        before = page.locator("#taps").get_attribute("data-rev")
        move_to(page, target)
        expect(page.locator("#taps")).not_to_have_attribute("data-rev", before or "")
        missed += name not in page.locator("#change-title").inner_text().split("→")[-1]

    assert missed <= MOST_MISSED
    for _ in range(MOVES):
        undo = page.locator("#undo")
        expect(undo).to_be_enabled()
        before = page.locator("#taps").get_attribute("data-rev")
        undo.click()
        expect(page.locator("#taps")).not_to_have_attribute("data-rev", before or "")
    expect(page.locator("#undo")).to_be_disabled()
    expect(page.locator("#findings")).to_contain_text("autopilot restarts")


def move_to(page: Page, target: str) -> None:
    """Touch the grip, then the target."""
    x, y = place(page, grip("autopilot", "negative"))
    page.touchscreen.tap(x, y)
    wait_for_answers(page, "autopilot", "negative")
    _, at = visible_target(page, target, margin=20)
    page.touchscreen.tap(*at)

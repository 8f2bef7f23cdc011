"""A survey by touch on an upright tablet: twenty rows with one thumb, and rows that wait for the network."""

import json

from playwright.sync_api import Page, expect

from tests.e2e.conftest import OpenPage

ROWS = 20
TAPS = ("Main negative bus: next free stud", "House positive bus: next free stud", "behind the tank", "")


def told(page: Page, words: str) -> None:
    """The list says how many rows there are."""
    expect(page.locator("#survey-title")).to_contain_text(words)


def test_twenty_rows_are_put_in_by_touch_with_what_usually_stays_kept(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.goto("/boats/sloop/survey")
    told(page, "57 rows")
    page.locator("#survey-number").fill("201")
    page.locator("#survey-size").fill("2.5 mm2")
    page.locator("#survey-colour").fill("brown")
    for n in range(ROWS):
        page.locator("#survey-what").fill(f"Light {n + 1}")
        page.locator("#survey-tail").fill(TAPS[n % len(TAPS)])
        page.locator("#survey-length").fill("" if n % 5 == 0 else f"{1 + n / 10:g}")
        page.locator("#survey-in").tap()
        told(page, f"{58 + n} rows")
        expect(page.locator("#survey-what")).to_be_focused()

    expect(page.locator("#survey-number")).to_have_value("221")
    expect(page.locator("#survey-size")).to_have_value("2.5 mm2")
    expect(page.locator("#survey-rows-table tbody tr").first).to_contain_text("220Light 20")
    page.goto("/boats/sloop/lists")
    expect(page.locator("#cable-list tr", has_text="Light 7")).to_contain_text("2.5 mm²")


def test_rows_wait_while_the_network_is_away_and_go_in_once(
    open_page: OpenPage, expected_statuses: set[int]
) -> None:
    expected_statuses.add(422)
    page = open_page("tablet")
    page.goto("/boats/sloop/survey")
    told(page, "57 rows")
    page.context.set_offline(True)
    page.locator("#survey-number").fill("301")
    for n, size in enumerate(("4 AWG", "10", "6 AWG")):
        page.locator("#survey-what").fill(f"Pump {n + 1}")
        page.locator("#survey-size").fill(size)
        page.locator("#survey-in").tap()
        expect(page.locator("outbox-count")).to_contain_text(f"{n + 1} row")
        expect(page.locator("#survey-what")).to_have_value("")
    expect(page.locator("outbox-count")).to_contain_text("3 rows waiting on this device")
    expect(page.locator("#survey-number")).to_have_value("304")

    page.context.set_offline(False)
    expect(page.locator("outbox-count")).to_contain_text("1 row refused: 10 may be 10 mm² or 10 AWG")
    told(page, "59 rows")
    page.locator(".waiting-mend button").tap()
    expect(page.locator("#survey-what")).to_have_value("Pump 2")
    page.locator("#survey-size").fill("10 mm2")
    page.locator("#survey-in").tap()
    told(page, "60 rows")
    expect(page.locator("outbox-count")).to_be_empty()
    cables = json.loads(page.request.get("/boats/sloop/export").text())["cables"]
    assert [one["number"] for one in cables if one["number"].startswith("30")] == ["30", "301", "303", "302"]

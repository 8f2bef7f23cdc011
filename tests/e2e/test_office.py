"""An office types its own table, mends what is wrong in place, and judges a boat by it, in a browser."""

from playwright.sync_api import Page, expect


def test_a_wrong_row_is_mended_in_place_and_the_table_used_on_a_boat(
    page: Page, expected_statuses: set[int]
) -> None:
    """The figures are made up."""
    expected_statuses.add(422)
    page.goto("/rules")
    page.locator("#office-enter-title").click()
    for name in ("standard", "edition", "clause", "typed-by"):
        page.locator(f"#own-{name}").fill(f"Made-up {name}")
    page.locator("#own-rows").fill("size\t70\t90\n6\t31\tmany\n")
    page.locator("#own-enter").click()

    expect(page.locator("#own-rows-problems")).to_contain_text("Row 2: “many” under 90 °C")
    expect(page.locator("#own-checked-by-error")).to_contain_text("is empty")
    expect(page.locator("#own-standard")).to_have_value("Made-up standard")
    page.locator("#own-checked-by").fill("Somebody else")
    page.locator("#own-rows").fill("size\t70\t90\n6\t31\t37\n")
    page.locator("#own-enter").click()

    expect(page.locator("#office")).to_contain_text("Made-up standard, edition Made-up edition")
    page.locator("#own-boat-workboat-table").select_option(label="Made-up standard, Made-up edition")
    page.locator("#own-boat-workboat-set").click()

    expect(page.locator("#own-boat-workboat")).to_contain_text("checked by Somebody else")

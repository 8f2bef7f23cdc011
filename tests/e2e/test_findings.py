"""A finding opened on the bench and on its page: mended by one button, taken back, chosen, let stand."""

from playwright.sync_api import Page, expect

from tests.e2e.hand import wait_for_shape

FUSE = "device-above-conductor-heater-pos-any-steady"
MORE = f"#finding-{FUSE}-more"
LATE_MS = 60_000


def opened(page: Page, address: str) -> None:
    page.goto(address)
    if page.locator("#scene").count():
        wait_for_shape(page)
    expect(page.locator(MORE)).to_be_attached(timeout=LATE_MS)
    page.locator(f"{MORE} > summary").click()
    expect(page.locator(f"#mend-{FUSE}-0")).to_be_visible(timeout=LATE_MS)


def test_a_finding_is_opened_mended_and_taken_back_on_the_bench(page: Page) -> None:
    opened(page, "/boats/sloop")
    expect(page.locator(f"#opened-{FUSE}")).to_contain_text("Largest device")

    page.locator(f"#mend-{FUSE}-0").click()
    expect(page.locator("#change-title")).to_contain_text("Fuse", timeout=LATE_MS)
    expect(page.locator("#change-title")).to_be_focused()
    expect(page.locator("#change-title")).to_be_in_viewport()
    expect(page.locator("#change-late")).to_contain_text("A dead short at the cabin heater", timeout=LATE_MS)
    expect(page.locator(MORE)).to_have_count(0)

    page.locator("#undo-change").click()
    expect(page.locator(MORE)).to_be_attached(timeout=LATE_MS)


def test_findings_are_chosen_in_place_and_the_address_keeps_the_choice(page: Page) -> None:
    page.goto("/boats/sloop/findings")
    page.select_option("#of-severity", "advice")

    expect(page.locator(MORE)).to_have_count(0, timeout=LATE_MS)
    expect(page.locator("#findings-advice")).to_be_visible()
    assert "of_severity=advice" in page.url


def test_a_finding_is_let_stand_and_comes_apart(page: Page) -> None:
    opened(page, "/boats/sloop/findings")
    page.locator(f"[id='accept-{FUSE}'] > summary").click()
    page.fill(f"[id='accept-{FUSE}-by']", "A. Surveyor")
    page.fill(f"[id='accept-{FUSE}-reason']", "The heater is taken out at haul-out.")
    page.locator(f"[id='accept-{FUSE}-button']").click()

    expect(page.locator("#findings-accepted")).to_contain_text("Accepted by A. Surveyor", timeout=LATE_MS)
    expect(page.locator("#findings-title")).to_contain_text("1 accepted")

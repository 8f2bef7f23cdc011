"""Taking boats in and out, and two people at one boat."""

import json
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.e2e.conftest import LiveServer, OpenPage
from tests.e2e.hand import wait_for_shape


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


def test_a_broken_file_is_refused_with_its_place_and_nothing_is_lost(
    page: Page, tmp_path: Path, expected_statuses: set[int]
) -> None:
    expected_statuses.add(422)
    page.goto("/boats")
    cards = page.locator(".card").count()
    broken = tmp_path / "broken.json"
    broken.write_text('{"format": "tapchart.boat", "version": 1, "name": "x", "nominal_voltage_v": "twelve"}')

    page.locator("#import-file").set_input_files(broken)
    page.locator("#import-send").click()

    expect(page.locator("#import-problems")).to_contain_text("nominal_voltage_v")
    expect(page.locator(".card")).to_have_count(cards)


def test_an_exported_boat_is_taken_in_again(page: Page, tmp_path: Path) -> None:
    page.goto("/boats")
    cards = page.locator(".card").count()
    exported = page.request.get("/boats/outboard/export")
    body = exported.body()
    copy = tmp_path / "copy.json"
    copy.write_bytes(body)
    assert json.loads(body)["format"] == "tapchart.boat"

    page.locator("#import-file").set_input_files(copy)
    page.locator("#import-send").click()

    page.goto("/boats")
    expect(page.locator(".card")).to_have_count(cards + 1)


DROP = """([name, text]) => {
  const files = new DataTransfer();
  files.items.add(new File([text], name, { type: "application/json" }));
  const fire = kind => document.querySelector("#import").dispatchEvent(
    new DragEvent(kind, { dataTransfer: files, bubbles: true, cancelable: true }));
  fire("dragover");
  const welcomed = document.querySelector("file-drop").hasAttribute("data-over");
  fire("drop");
  return welcomed;
}"""


def test_a_file_dropped_on_the_form_is_taken_in(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto("/boats")
    cards = page.locator(".card").count()
    boat = page.request.get("/boats/outboard/export").text()

    welcomed = page.evaluate(DROP, ["dropped.json", boat])

    page.wait_for_url("**/boats/*")
    assert welcomed
    expect(page.locator("h1")).to_contain_text("Dipper")
    page.goto("/boats")
    expect(page.locator(".card")).to_have_count(cards + 1)


def test_a_broken_file_dropped_on_the_form_says_what_is_wrong(
    open_page: OpenPage, expected_statuses: set[int]
) -> None:
    expected_statuses.add(422)
    page = open_page("desk")
    page.goto("/boats")

    page.evaluate(DROP, ["broken.json", '{"format": "tapchart.boat", "version": 1'])

    expect(page.locator("#import-problems")).to_contain_text("broken.json")


def test_a_stale_edit_shows_what_changed_and_loses_nothing(
    open_page: OpenPage, expected_statuses: set[int]
) -> None:
    expected_statuses.add(409)
    first, second = open_page("desk"), open_page("tablet")
    first.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    first.locator("#selected .lead .button").first.click()
    first.locator("#taps form button").first.click()
    expect(first.locator("#change")).to_contain_text("keeps running")
    second.goto(first.url)
    wait_for_shape(second)
    first.goto(first.url)
    set_need(first, "9.5")
    expect(first.locator("#selected")).to_contain_text("needs 9.5 V")

    set_need(second, "10")

    expect(second.locator("#conflict")).to_contain_text("nothing was overwritten")
    second.locator("#apply-on-top").click()
    expect(second.locator("#selected")).to_contain_text("needs 10.0 V")


def set_need(page: Page, volts: str) -> None:
    field = page.locator("#field-autopilot-supply-value")
    field.fill(volts)
    field.press("Enter")

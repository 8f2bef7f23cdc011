"""Joining from a tablet by the scanned address or by typing the code."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from server.settings import Settings
from tests.e2e.conftest import LiveServer


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(data_dir=tmp_path / "boats", lan=True, port=0)


def code_of(live_server: LiveServer) -> str:
    code: str = live_server.app.state.join_desk.code
    return code


def test_a_scanned_address_joins_by_itself_and_the_code_leaves_the_address(
    page: Page, live_server: LiveServer
) -> None:
    page.goto(f"/#c={code_of(live_server)}")

    expect(page).to_have_url(f"{live_server.url}/")
    expect(page.get_by_label("Code shown where Tapchart was started")).to_have_count(0)


def test_a_typed_code_joins_after_a_wrong_one(
    page: Page, live_server: LiveServer, expected_statuses: set[int]
) -> None:
    expected_statuses.add(422)
    page.goto("/")
    field = page.get_by_label("Code shown where Tapchart was started")
    field.fill("wrong")
    page.get_by_role("button", name="Join").click()
    expect(page.get_by_role("alert")).to_contain_text("That is not the code")
    expect(field).to_have_value("wrong")
    field.fill(code_of(live_server).lower())
    page.get_by_role("button", name="Join").click()

    expect(page).to_have_url(f"{live_server.url}/")

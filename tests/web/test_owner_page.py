"""The owner's sheet over HTTP: the workbench's figures in an owner's words."""

import json
import re

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, words
from tests.web.test_compare_pages import LIST, prices_in
from tests.web.test_options_pages import HTMX, moved


def test_the_sheet_of_an_option_says_what_it_mends_costs_and_leaves(sloop: TestClient) -> None:
    prices_in(sloop, LIST)
    option = moved(sloop, "sloop")
    sheet = sloop.get(f"/boats/{option}/owner").text
    names = ("start", "keeps", "work", "cost", "until", "danger")
    part = {name: words(element(sheet, f"owner-{name}")) for name in names}

    assert re.search(
        r"draws up to 38\d A for an instant, then about 16\d A at 10\.\d V while it turns", part["start"]
    )
    assert "battery charged 85 %, at 15 °C, aged" in part["start"]
    assert "everything that is on keeps running: " in part["keeps"]
    assert "Chart plotter" in part["keeps"]
    assert "Autopilot negative: Engine → Main panel, Negative bar" in part["work"]
    assert part["cost"] == "What it costs 1.25 hours of work; 106.48 EUR in all (without tax)."
    assert "Switch the autopilot off before the engine starts" in part["until"]
    assert "What is still a danger" in part["danger"]
    assert 'class="small"' in element(sheet, "owner-danger")


def test_the_sheet_of_a_boat_itself_costs_nothing(sloop: TestClient) -> None:
    sheet = sloop.get("/boats/sloop/owner").text

    assert "the autopilot restarts" in words(element(sheet, "owner-keeps"))
    assert "as the boat is now" in words(element(sheet, "owner-until"))
    assert 'id="owner-cost"' not in sheet
    assert 'id="owner-work"' not in sheet


def test_unstated_prices_are_said_to_be_missing(sloop: TestClient) -> None:
    option = moved(sloop, "sloop")

    assert "The yard has not yet stated everything" in words(
        element(sloop.get(f"/boats/{option}/owner").text, "owner-cost")
    )


def test_of_a_large_boat_the_sheet_follows_or_is_asked_for(
    sloop: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.actions.in_time.LARGEST_WAITED", 10)
    page = sloop.get("/boats/sloop/owner").text
    late = sloop.get("/boats/sloop/owner/sheet", headers=HTMX).text

    assert 'hx-get="/boats/sloop/owner/sheet"' in page
    assert element(late, "owner-sheet") in sloop.get("/boats/sloop/owner?waits=yes").text


def test_of_a_large_boat_work_and_cost_stand_there_at_once_and_what_is_known_is_not_awaited(
    sloop: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    prices_in(sloop, LIST)
    option = moved(sloop, "sloop")
    monkeypatch.setattr("server.actions.in_time.LARGEST_WAITED", 10)
    at_once = sloop.get(f"/boats/{option}/owner").text
    late = sloop.get(f"/boats/{option}/owner/sheet", headers=HTMX).text
    again = sloop.get(f"/boats/{option}/owner").text

    assert "Autopilot negative: Engine → Main panel" in words(element(at_once, "owner-work"))
    assert "106.48 EUR in all" in words(element(at_once, "owner-cost"))
    assert 'id="owner-start"' not in at_once
    assert f'hx-get="/boats/{option}/owner/sheet"' in at_once
    assert element(late, "owner-sheet") in again
    assert "hx-get" not in element(again, "owner-sheet")


def test_a_boat_with_nothing_in_it_tells_what_is_missing(sloop: TestClient) -> None:
    document = {
        "format": "tapchart.boat", "version": 1, "name": "Bare", "nominal_voltage_v": 12.0,
    }  # fmt: skip
    made = sloop.app.state.yard.store.create(  # type: ignore[attr-defined]
        body=json.dumps(document).encode(), name="Bare", role="working", author="Ida",
        request_id="bare-boat",
    )  # fmt: skip
    sheet = sloop.get(f"/boats/{made.id}/owner").text

    assert "no engine start is described" in words(element(sheet, "owner-start"))

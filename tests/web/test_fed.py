"""A boat fed by a published starting profile, over the web: a test wave, and every load's verdict over it."""

import re

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, words

HTMX = {"HX-Request": "true"}
FED = "/boats/sloop/supply?mode=under-way"


def test_the_strips_requirements_lead_to_the_page(bystander: TestClient) -> None:
    strip = bystander.get("/boats/sloop/event?mode=starting&event=engine-start", headers=HTMX).text
    link = re.search(r'<a id="event-fed" href="([^"]*)"', strip)

    assert link
    page = bystander.get(link[1].replace("&amp;", "&"))
    assert page.status_code == 200
    assert "A test wave, not this boat's battery." in words(element(page.text, "fed"))


def test_each_load_has_its_verdict_over_the_wave(bystander: TestClient) -> None:
    """The radio needs 9.6 V, more than the plateau of 9.5 V; the engine panel 6 V, less than the dip."""
    page = bystander.get(f"{FED}&level=I").text

    assert "At 12 V it falls to 8 V in 5 ms, stays there for 15 ms, rises to 9.5 V in 50 ms" in words(page)
    assert re.search(
        r"restarts 1\.7 V short of the 9\.6 V it needs 7\.9 V .* into the dip 1\.1 s",
        words(element(page, "fed-row-vhf-supply")),
    )
    assert "keeps running" in words(element(page, "fed-row-engine-panel-supply"))
    assert 'role="img"' in element(page, "event-chart")


def test_the_cursor_counts_from_the_dip(bystander: TestClient) -> None:
    assert words(element(bystander.get(f"{FED}&at=200").text, "event-time")).endswith("into the dip")
    assert words(element(bystander.get(f"{FED}&at=0").text, "event-time")).endswith("before the dip")


def test_without_a_level_the_mildest_is_shown(bystander: TestClient) -> None:
    page = bystander.get("/boats/sloop/supply").text

    assert '<option value="I" selected>I: a warm engine</option>' in page


def test_a_selected_load_comes_first(bystander: TestClient) -> None:
    page = bystander.get(f"{FED}&selected=engine-panel").text

    rows = re.findall(r'<tr id="fed-row-([a-z-]+)" class="(is-selected)?"', page)
    assert rows[0] == ("engine-panel-supply", "is-selected")


@pytest.mark.parametrize("query", ["mode=flying", "level=V", "mode=under-way&level=ii"])
def test_what_there_is_not_is_refused(bystander: TestClient, query: str) -> None:
    assert bystander.get(f"/boats/sloop/supply?{query}").status_code == 404
    assert bystander.get(f"/boats/sloop/supply/deck?{query}").status_code == 404


def test_the_deck_has_the_wave_as_its_corners(bystander: TestClient) -> None:
    page = bystander.get(f"{FED}&level=III").text
    link = re.search(r'<a id="fed-deck" href="([^"]*)" download>', page)

    assert link
    answer = bystander.get(link[1].replace("&amp;", "&"))
    assert answer.headers["Content-Disposition"] == "attachment; filename*=UTF-8''starting-profile-iii.cir"
    assert "a test wave, not this boat's batteries" in answer.text
    assert answer.text.count(" PWL(") == 5  # four batteries of 6 V and the start battery

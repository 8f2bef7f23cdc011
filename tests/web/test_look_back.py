"""The picture of the boat before the last change."""

import re

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, tap_forms, words

HTMX = {"HX-Request": "true"}
VIEW = "mode=starting&event=engine-start&selected=autopilot"
HELD = f"/boats/sloop/pick-up?{VIEW}&part=autopilot&terminal=negative"


@pytest.fixture
def moved(sloop: TestClient) -> str:
    """The page after the autopilot's negative was moved to the main negative bus."""
    best = tap_forms(sloop.get(HELD).text)[0]
    return sloop.get(sloop.post(best.action, data=best.fields).headers["location"]).text


def spoken(page: str) -> str:
    """What the autopilot's plate in the picture says."""
    found = re.search(r'aria-label="(Autopilot[^"]*)"', page)
    assert found
    return found[1]


def test_the_picture_before_the_change_has_the_old_figures_and_the_old_lead(
    sloop: TestClient, moved: str
) -> None:
    look = form_with(moved, "show-before")
    before = sloop.get(look.action, params=look.fields, headers=HTMX).text
    after = sloop.get(look.action, params=look.fields | {"show": "after"}, headers=HTMX).text

    assert "restarts" in spoken(before)
    assert "keeps running" in spoken(after)
    assert "data-before" in element(before, "diagram-place")
    assert "data-before" not in element(after, "diagram-place")
    assert "Where the lead was before" in after
    assert "Where the lead was before" not in before


def test_without_script_the_whole_page_comes_with_the_way_back(sloop: TestClient, moved: str) -> None:
    look = form_with(moved, "show-before")
    page = sloop.get(look.action, params=look.fields).text
    back = form_with(page, "show-before")

    assert "restarts" in spoken(element(page, "diagram-place"))
    assert (look.fields["show"], back.fields["show"]) == ("before", "after")
    assert 'aria-pressed="true"' in page
    assert "10.8 V, keeps running" in words(element(page, "change"))


def test_nothing_to_look_back_to_leaves_the_picture_as_it_is(sloop: TestClient) -> None:
    page = sloop.get("/boats/sloop/picture?show=before&mode=starting&event=engine-start", headers=HTMX).text

    assert "data-before" not in page
    assert "restarts" in spoken(page)


def test_an_event_that_was_not_there_before_is_drawn_without_figures(sloop: TestClient) -> None:
    """No figure is better than one of another event."""
    event = {
        "id": "cold-start",
        "name": "Cold start",
        "mode": "starting",
        "heavy": {"part": "starter", "input": "motor"},
        "steps": [],
        "conditions": {"temperature_c": 0},
    }
    added = sloop.post(
        "/api/boats/sloop/edits",
        json={"kind": "add-event", "event": event},
        headers={"If-Match": '"1"', "Idempotency-Key": "cold-start-1"},
    )
    assert added.status_code == 200, added.text
    look = {"mode": "starting", "event": "cold-start", "since": "1", "selected": "autopilot"}
    before = sloop.get("/boats/sloop/picture", params=look | {"show": "before"}, headers=HTMX).text
    after = sloop.get("/boats/sloop/picture", params=look, headers=HTMX).text

    assert " V" in spoken(after)
    assert " V" not in spoken(before)

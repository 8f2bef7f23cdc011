"""The picture of the boat at the cursor of an event's chart."""

import re

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element

HTMX = {"HX-Request": "true"}
VIEW = {"mode": "starting", "event": "engine-start"}
PICTURE = "/boats/sloop/event/picture"


def plate(page: str, part: str) -> str:
    """What a plate of the picture says to those who listen."""
    found = re.search(rf'id="load-{part}"[^>]*aria-label="([^"]*)"', page) or re.search(
        rf'aria-label="([^"]*)"[^>]*id="load-{part}"', page
    )
    assert found
    return found[1]


def test_at_an_instant_the_plates_say_what_stands_there_then(sloop: TestClient) -> None:
    shown = sloop.get(PICTURE, params=VIEW | {"t": "3 ms"}, headers=HTMX).text

    assert "data-instant" in element(shown, "diagram-place")
    assert "The boat 3 ms after the press" in element(shown, "picture-instant")
    assert re.search(r"Autopilot, \d+\.\d V now", plate(shown, "autopilot"))
    assert re.search(r"Engine starter, draws \d+ A now", plate(shown, "starter"))


def test_the_chart_and_the_picture_agree_in_every_column(sloop: TestClient) -> None:
    strip = sloop.get("/boats/sloop/event", params=VIEW | {"selected": "autopilot"}, headers=HTMX).text
    found = re.search(r'id="event-read-chosen"[^>]*data-values="([^"]*)"', strip)
    assert found
    columns = found[1].split(" ")
    for column in (5, 120, 200, 300, 480):
        shown = sloop.get(PICTURE, params=VIEW | {"at": str(column)}, headers=HTMX).text
        volts = re.search(r"(\d+\.\d) V now", plate(shown, "autopilot"))
        assert volts
        ends = [float(end) for end in columns[column].split("…")]
        assert min(ends) - 0.1 <= float(volts[1]) <= max(ends) + 0.1


def test_without_script_the_button_of_the_strip_leads_to_the_whole_page(sloop: TestClient) -> None:
    strip = sloop.get("/boats/sloop/event", params=VIEW).text
    assert f'formaction="{PICTURE}"' in strip

    page = sloop.get(PICTURE, params=VIEW | {"at": "200"}).text

    assert "data-instant" in element(page, "diagram-place")
    assert "The boat" in element(page, "picture-instant")


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({}, "Choose an event and an instant"),
        ({"t": "1000 s"}, "The event runs from"),
        ({"event": "nothing", "at": "3"}, "no event"),
    ],
)
def test_what_cannot_be_shown_is_said(sloop: TestClient, asked: dict[str, str], words: str) -> None:
    answer = sloop.get(PICTURE, params=VIEW | asked, headers=HTMX)

    assert answer.status_code == 404
    assert words in answer.text


def test_a_mode_in_which_nothing_heavy_starts_has_no_instant(sloop: TestClient) -> None:
    answer = sloop.get(PICTURE, params={"mode": "moored", "at": "3"}, headers=HTMX)

    assert answer.status_code == 404

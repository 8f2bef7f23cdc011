"""The event of a view as a circuit simulator's deck, from the strip."""

import re

from fastapi.testclient import TestClient

VIEW = {"mode": "starting", "event": "engine-start"}
DECK = "/boats/sloop/event/deck"


def test_the_strip_leads_to_the_deck_of_its_event(sloop: TestClient) -> None:
    strip = sloop.get("/boats/sloop/event", params=VIEW, headers={"HX-Request": "true"}).text
    link = re.search(r'<a id="event-deck" href="([^"]*)" download>', strip)

    assert link
    answer = sloop.get(link[1].replace("&amp;", "&"))
    assert answer.headers["Content-Type"].startswith("text/plain")
    assert answer.headers["Content-Disposition"] == "attachment; filename*=UTF-8''engine-start.cir"
    assert answer.text.startswith("* Marsh Wren, sloop of 10 m: Engine start, in time\n")
    assert "*   at_autopilot: Autopilot" in answer.text
    assert answer.text.rstrip().endswith(".end")


def test_a_mode_in_which_nothing_heavy_starts_has_no_deck(sloop: TestClient) -> None:
    answer = sloop.get(DECK, params={"mode": "moored"})

    assert answer.status_code == sloop.get(DECK, params={"mode": "flying"}).status_code == 404
    assert "Nothing heavy starts in this mode." in answer.text

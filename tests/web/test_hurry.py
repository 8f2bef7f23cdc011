"""After a change on a large boat some of the answer follows: marked as computing, fetched by the page."""

import re
from html import unescape

from fastapi.testclient import TestClient

from tests.web.reading import element, tap_forms, words

HTMX = {"HX-Request": "true"}
EVENT = "mode=starting&event=engine-start"
HELD = f"/boats/trawler/pick-up?part=radar&terminal=negative&selected=radar&{EVENT}"


def test_the_best_place_follows_a_put_down_and_is_what_the_page_would_have_said(sloop: TestClient) -> None:
    best = tap_forms(sloop.get(HELD, headers=HTMX).text)[0]
    put = sloop.post(best.action, data=best.fields, headers=HTMX)
    waiting = element(put.text, "best-place")
    assert words(waiting) == "computing …"

    address = re.search(r'hx-get="([^"]*)"', waiting)
    assert address
    came = sloop.get(unescape(address[1]), headers=HTMX)

    page = sloop.get(put.headers["hx-push-url"]).text
    assert re.fullmatch(r"\d+\.\d+ V", words(came.text))
    assert words(element(page, "best-place")) == words(came.text)
    assert 'hx-trigger="load"' not in element(page, "best-place")


def test_a_late_best_place_leaves_the_message_of_the_change_standing(sloop: TestClient) -> None:
    came = sloop.get(f"/boats/trawler/best-place?selected=radar&{EVENT}", headers=HTMX)

    assert 'id="message"' not in came.text


def test_without_a_selected_load_there_is_no_best_place(sloop: TestClient) -> None:
    came = sloop.get(f"/boats/trawler/best-place?{EVENT}", headers=HTMX)

    assert words(came.text) == "–"

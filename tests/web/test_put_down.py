"""A put-down that a page never offered, or offers no longer: refused in words, with nothing changed."""

import json
import re
from html import unescape

from fastapi.testclient import TestClient

from tests.web.reading import Form, form_with, tap_forms, words

HTMX = {"HX-Request": "true"}
VIEW = "mode=starting&event=engine-start&selected=autopilot"
PICK_UP = f"/boats/sloop/pick-up?{VIEW}&part=autopilot&terminal=negative"


def barred_form(client: TestClient, words_of_it: str, url: str = PICK_UP) -> Form:
    """The form of a barred place, whose button is disabled on the page."""
    page = client.get(url).text
    for found in re.finditer(r"<form\b[^>]*data-tap=.*?</form>", page, re.S):
        if words_of_it in words(found[0]) and 'data-refused=""' not in found[0]:
            button = re.search(r'id="(put-[^"]*)"', found[0])
            assert button
            return form_with(page, unescape(button[1]))
    raise AssertionError(f"nothing is barred with “{words_of_it}”")


def boats(client: TestClient) -> int:
    return len(client.get("/boats").text.split('class="card'))


def test_a_forged_put_down_to_a_barred_place_names_it_and_the_reason(sloop: TestClient) -> None:
    form, before = barred_form(sloop, "would not count it"), boats(sloop)

    answer = sloop.post(form.action, data=form.fields, headers=HTMX)

    assert answer.status_code == 422
    assert answer.headers["HX-Retarget"] == "#message"
    told = words(answer.text)
    assert "The negative lead of Autopilot cannot go on" in told
    assert "the battery monitor would not count it" in told
    assert "Nothing was changed" in told
    assert boats(sloop) == before


def test_without_script_the_same_comes_as_a_page(sloop: TestClient) -> None:
    form = barred_form(sloop, "would not count it")
    answer = sloop.post(form.action, data=form.fields)

    assert answer.status_code == 422
    assert "cannot go on" in words(answer.text)


def test_both_leads_are_judged_too(sloop: TestClient) -> None:
    url = f"/boats/sloop/pick-up-both?{VIEW}"
    page = sloop.get(url, headers=HTMX).text
    form = form_with(page, "put-both-panel")
    forged = form.fields | {"to_part_0": "engine", "to_terminal_0": "stud-2"}
    answer = sloop.post(form.action, data=forged, headers=HTMX)

    assert answer.status_code == 422
    assert "cannot go on Engine" in words(answer.text)


def test_the_interface_for_programs_refuses_the_same_and_says_why(sloop: TestClient) -> None:
    edit = {
        "kind": "move-lead",
        "part": "heater",
        "terminal": "negative",
        "to": {"part": "engine", "terminal": "stud-2"},
    }
    sent = {"If-Match": '"1"', "Idempotency-Key": "barred-place", "Content-Type": "application/json"}
    answer = sloop.post("/api/boats/sloop/edits", headers=sent, content=json.dumps(edit))

    assert answer.status_code == 422
    assert answer.json()["place"] == "Engine"
    assert "an engine's metal is no return for it" in answer.json()["reasons"]
    assert sloop.get("/api/boats/sloop").headers["etag"] == '"1"'


def test_a_place_that_was_taken_meanwhile_is_a_conflict_and_then_barred(sloop: TestClient) -> None:
    """The form was honest when it was made; on top of the other edit two loads would share one way."""
    opened = tap_forms(sloop.get(PICK_UP).text)[0]
    option = sloop.post(opened.action, data=opened.fields).headers["location"].partition("?")[0]

    def on_the_spare_way(part: str, terminal: str) -> Form:
        page = sloop.get(f"{option}/pick-up?{VIEW}&part={part}&terminal={terminal}").text
        return next(one for one in tap_forms(page) if one.fields["to_terminal"] == "live-spare")

    mine, theirs = on_the_spare_way("solar", "positive"), on_the_spare_way("heater", "supply")
    made = sloop.post(theirs.action, data=theirs.fields)
    stale = sloop.post(mine.action, data=mine.fields)
    on_top = form_with(stale.text, "apply-on-top")
    barred = sloop.post(on_top.action, data=on_top.fields, headers=HTMX)

    assert (made.status_code, stale.status_code, barred.status_code) == (303, 409, 422)
    assert "the way is taken" in words(barred.text)


def test_a_place_that_takes_a_loads_own_breaker_says_so_in_the_list_and_is_never_the_best(
    sloop: TestClient,
) -> None:
    """The trawler's radar has a 15 A way; before the panel's feed stands 70 A."""
    page = sloop.get(
        "/boats/trawler/pick-up?mode=anchoring&event=windlass-break-out&part=radar&terminal=supply"
    ).text

    assert "loses its 15 A breaker" in page
    assert "Best: Wheelhouse panel" not in page

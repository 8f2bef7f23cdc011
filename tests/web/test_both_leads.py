"""Both leads of a load put on one panel: each place answered as the boat after those very moves."""

import re

from fastapi.testclient import TestClient

from server.actions.both_leads import BothAnswer, BothAnswers
from server.boat.edits import MoveLead
from server.boat.value import TerminalRef
from server.engine.answer import InputAnswer
from server.web.views.both import both_view
from server.web.views.state import ViewState
from tests.web.reading import element, form_with, ids, words

HTMX = {"HX-Request": "true"}
VIEW = "mode=starting&event=star-start&selected=star-engine-control"
BOTH = f"/boats/workboat/pick-up-both?{VIEW}"


def test_what_a_panel_promises_holds_once_both_leads_are_there(sloop: TestClient) -> None:
    """The answer at a place is the analysis of the boat after the moves (decision 4)."""
    page = sloop.get(BOTH, headers=HTMX).text
    button = next(one for one in ids(page) if one.startswith("put-both-"))
    promised = re.search(r"([\d.]+) → ([\d.]+) V", words(element(page, button)))
    form = form_with(page, button)
    after = sloop.get(sloop.post(form.action, data=form.fields).headers["location"]).text

    assert promised
    row = words(element(after, "load-row-star-engine-control-supply"))
    assert f"{promised[2]} V" in row
    assert "keeps running" in row
    change = words(element(after, "change"))
    assert "both leads → Wheelhouse panel" in change
    assert f"{promised[1]} V, too close to call → {promised[2]} V, keeps running" in change


def test_both_moves_are_one_edit_and_one_undo(sloop: TestClient) -> None:
    page = sloop.get(BOTH, headers=HTMX).text
    form = form_with(page, next(one for one in ids(page) if one.startswith("put-both-")))
    after = sloop.get(sloop.post(form.action, data=form.fields).headers["location"]).text
    undo = form_with(after, "undo-change")
    undone = sloop.get(sloop.post(undo.action, data=undo.fields).headers["location"]).text

    assert "too close to call" in words(element(undone, "load-row-star-engine-control-supply"))
    assert 'id="undo" class="plain" disabled' in undone


def test_a_lead_that_lies_on_the_panel_stays(bystander: TestClient) -> None:
    page = bystander.get(
        "/boats/sloop/pick-up-both?mode=starting&event=engine-start&selected=autopilot", headers=HTMX
    ).text

    assert "one lead lies there already" in words(element(page, "put-both-panel"))
    assert "part_1" not in form_with(page, "put-both-panel").fields


def test_where_no_other_panel_takes_both_the_list_says_so(bystander: TestClient) -> None:
    page = bystander.get("/boats/trawler/pick-up-both?selected=plotter-fly", headers=HTMX).text

    assert "No other panel takes both leads" in words(page)


def test_the_picture_shows_each_panels_sign_along_all_of_its_bar(bystander: TestClient) -> None:
    """The list's rows and the picture's signs are the same places; the figure is the row's own."""
    answer = bystander.get(BOTH, headers=HTMX).text
    taps = re.findall(r'data-tap="tap-(both--[^"]*)"', answer)

    assert taps
    sign = element(answer, f"mark-{taps[0]}")
    top, bottom = (float(re.search(rf'data-{end}="([\d.]+)"', sign)[1]) for end in ("top", "bottom"))  # type: ignore[index]
    assert bottom - top > 48
    row = words(element(answer, taps[0].replace("both--", "put-both-")))
    figure = re.search(r"→ ([\d.]+ V)", row)
    assert figure
    assert f">1 · {figure[1]}<" in answer


def test_a_narrow_picture_turns_to_the_panels_positive_bars(sloop: TestClient) -> None:
    sloop.cookies.set("shape", "portrait")
    page = sloop.get(BOTH, headers=HTMX).text

    assert 'data-side="negative"' in element(page, "turn")
    assert "grip-star-engine-control--both" in ids(page)


def test_without_script_the_whole_page_comes_with_the_list_in_it(bystander: TestClient) -> None:
    page = bystander.get(BOTH).text

    assert "Where to put both leads of Engine control unit starboard" in words(element(page, "taps"))
    assert "<h1>" in page


def test_both_leads_of_nothing_are_refused_with_the_mend(bystander: TestClient) -> None:
    answer = bystander.get("/boats/sloop/pick-up-both")

    assert answer.status_code in {404, 422}
    assert "Select a load first" in words(answer.text)


def test_a_form_that_names_no_lead_changes_nothing(bystander: TestClient) -> None:
    stamp = {"revision": "1", "request_id": "both-of-nothing"}
    answer = bystander.post("/boats/sloop/put-down-both", data=stamp)

    assert answer.status_code == 422
    assert "which leads are put down where" in words(answer.text)


def test_a_panel_where_something_would_break_is_barred_and_says_what() -> None:
    """Shown, said why, and barred (decision 9)."""
    load = InputAnswer("radio", "supply", "Radio", False, "fed", "", True, 12.0, 1.0, None, ())
    move = MoveLead(part="radio", terminal="supply", to=TerminalRef(part="panel", terminal="way-1"))
    answer = BothAnswer("panel", "Panel", (move,), load, ("It can burn.",), 0, 0, None, "breaks")

    place = both_view(ViewState("boat"), 1, BothAnswers(load, (answer,), is_in_time=False), "").places[0]

    assert place.refused == "It can burn."
    assert place.words == "breaks something: It can burn."
    assert (place.lowest, place.length) == ("–", "–")

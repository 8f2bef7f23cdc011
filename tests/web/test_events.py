"""An event in time over the web: its strip, its own page, all events, and what was asked wrongly."""

import re
from dataclasses import replace

import pytest
from fastapi.testclient import TestClient

from server.actions.yard import OpenBoat, open_boat
from server.web.events import heavies, strip
from server.web.views.state import ViewState
from tests.web.reading import element, ids, tap_forms, words

START = "mode=starting&event=engine-start"
ALONE = f"/boats/sloop/event?{START}"
HTMX = {"HX-Request": "true"}


def test_the_workbench_asks_for_the_event_and_does_not_wait_for_it(bystander: TestClient) -> None:
    page = bystander.get(f"/boats/sloop?{START}&selected=autopilot").text

    ask = element(page, "event-ask")
    assert 'hx-trigger="load"' in ask
    assert "/boats/sloop/event?mode=starting&amp;event=engine-start&amp;selected=autopilot" in ask
    assert "Computing the event in time" in words(ask)
    assert words(element(page, "event-strip")) == ""


def test_the_late_strip_is_a_fragment_with_chart_verdict_and_table(bystander: TestClient) -> None:
    answer = bystander.get(f"{ALONE}&late=yes", headers=HTMX)

    assert answer.status_code == 200
    assert answer.text.lstrip().startswith('<section id="event-strip"')
    assert "message" not in ids(answer.text)
    told = words(answer.text)
    assert re.search(
        r"restarts Autopilot falls from 12\.\d V to \d\.\d V: \d\.\d V short of the 9\.0 V", told
    )
    rows = re.findall(r'<tr id="event-row-([a-z-]+)"', answer.text)
    assert rows[0] == "autopilot-supply"
    assert len(set(rows)) == len(rows) > 3
    assert len(ids(answer.text)) == len(set(ids(answer.text)))


def test_the_page_of_its_own_needs_no_script(bystander: TestClient) -> None:
    page = bystander.get(ALONE).text

    assert "“Engine start” in time" in words(element(page, "event-strip"))
    assert "hx-get" not in element(page, "event-strip")
    assert "Back to the wiring" in words(page)


def test_the_dip_split_adds_up_to_the_dip_that_is_shown(bystander: TestClient) -> None:
    split = element(bystander.get(ALONE).text, "event-why-dip")

    shares = [
        float(one.replace("−", "-")) for one in re.findall(r'<td class="figure">(−?[\d.]+) V</td>', split)
    ]
    said = re.search(r"The parts add up to ([\d.]+) V", words(split))
    assert said
    assert sum(shares) == pytest.approx(float(said[1]), abs=1e-9)


def test_a_typed_instant_moves_the_cursor_there(bystander: TestClient) -> None:
    page = bystander.get(f"{ALONE}&t=3+ms&at=0").text

    assert words(element(page, "event-time")) == "3 ms after the press"


@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "fragment"])
@pytest.mark.parametrize(
    ("typed", "said"), [("soon", "for example 3 ms"), ("1 s 2", "3 ms"), ("500", "between")]
)
def test_a_wrong_instant_is_kept_beside_its_message(
    bystander: TestClient, typed: str, said: str, headers: dict[str, str]
) -> None:
    answer = bystander.get(
        ALONE, params={"mode": "starting", "event": "engine-start", "t": typed}, headers=headers
    )

    assert answer.status_code == 422
    assert said in words(element(answer.text, "event-t-error"))
    assert f'value="{typed}"' in element(answer.text, "event-form")
    assert "event-chart" in ids(answer.text)


def test_two_probes_read_what_stands_between_them(bystander: TestClient) -> None:
    """Between a load's own terminals the probes read what the load has."""
    page = bystander.get(f"{ALONE}&plus=autopilot.supply&minus=autopilot.negative").text
    assert words(element(page, "event-all")).count("They are the loads': the probes have none.") == 1

    load, probe = (
        [words(cell) for cell in re.findall(r"<td.*?</td>", element(page, f"event-row-{name}"), re.S)]
        for name in ("autopilot-supply", "probe")
    )
    assert probe[1].split(" V")[0] == load[1].split(" V")[0]
    assert "event-clear" in ids(page)


@pytest.mark.parametrize(
    ("probes", "field", "said"),
    [
        ("plus=autopilot.supply", "event-minus-error", "for this probe too"),
        ("plus=autopilot.supply&minus=no.where", "event-minus-error", "no such terminal"),
        ("plus=autopilot.supply&minus=autopilot.supply", "event-minus-error", "another terminal"),
        ("plus=autopilot.supply&minus=alternator.sense", "event-plus-error", "no source lies between"),
    ],
)
def test_a_wrong_probe_is_told_beside_it(bystander: TestClient, probes: str, field: str, said: str) -> None:
    answer = bystander.get(f"{ALONE}&{probes}")

    assert answer.status_code == 422
    assert said in words(element(answer.text, field))
    assert '<option value="autopilot.supply" selected>' in answer.text


def test_a_page_that_asks_by_itself_is_answered_without_half_chosen_probes(bystander: TestClient) -> None:
    answer = bystander.get(f"{ALONE}&late=yes&at=77&plus=autopilot.supply&minus=", headers=HTMX)

    assert answer.status_code == 200
    assert 'value="77"' in element(answer.text, "event-form")
    assert "field-error" not in answer.text


def test_a_chosen_meter_shows_its_figures_in_the_chart(bystander: TestClient) -> None:
    plain, metered, clamped = (
        bystander.get(f"{ALONE}&meter={kind}").text for kind in ("", "min-max-recording", "inrush-clamp")
    )

    assert "meter keeps" not in plain
    assert re.search(r"meter keeps [\d.]+ to [\d.]+ V as its lowest", metered)
    assert re.search(r"clamp shows \d+ A", clamped)


def test_after_a_move_the_strip_shows_both_and_what_changed(sloop: TestClient) -> None:
    best = tap_forms(sloop.get(f"/boats/sloop/pick-up?{START}&part=autopilot&terminal=negative").text)[0]
    put = sloop.post(best.action, data=best.fields | {"selected": "autopilot"}, headers=HTMX)
    ask = re.search(r'hx-get="([^"]*/event\?[^"]*)"', element(put.text, "event-ask"))
    assert ask
    late = sloop.get(ask[1].replace("&amp;", "&"), headers=HTMX).text

    assert 'hx-swap-oob="true"' in element(put.text, "event-ask")
    assert re.search(
        r"before the change: lowest \d\.\d V, restarts; now: lowest 1\d\.\d V, keeps", words(late)
    )
    assert 'data-role="earlier"' in late
    assert "Lowest before the change" in words(element(late, "event-extremes"))


def test_every_event_of_the_boat_names_its_worst_hit_load(bystander: TestClient) -> None:
    fragment = bystander.get("/boats/trawler/events", headers=HTMX).text
    page = bystander.get("/boats/trawler/events").text

    rows = re.findall(r'<tr id="event-heavy-[^"]*">.*?</tr>', fragment, re.S)
    assert len(rows) >= 4
    assert all(re.search(r"\d A .*\d\.\d V", words(row)) for row in rows)
    assert "Every heavy load of the boat" in words(page)
    assert "loses its battery where" in words(page)
    assert "A boat's own may differ: it is not computed." in words(page)


def test_a_mode_in_which_nothing_heavy_starts_says_so(bystander: TestClient) -> None:
    page = bystander.get("/boats/sloop/event?mode=moored").text

    assert "Nothing heavy starts in this mode." in words(element(page, "event-strip"))


def test_an_event_that_cannot_be_solved_says_why(sloop: TestClient) -> None:
    """With its selector off the starter gets no power."""
    page = sloop.get(f"/boats/sloop?{START}").text
    form = re.search(r'<form id="(position-[a-z-]*selector[a-z-]*)".*?</form>', page, re.S)
    assert form
    fields = dict(re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', form[0]))
    action = re.search(r'action="([^"]*)"', form[0])
    assert action
    off = re.search(r'<option value="([^"]*)"[^>]*>Off', form[0], re.I)
    assert off
    put = sloop.post(action[1], data=fields | {"value": off[1]})
    alone = re.sub(r"^(/boats/[^?]*)", r"\1/event", put.headers["location"])

    told = words(element(sloop.get(alone).text, "event-strip"))
    assert "no power" in told or "not fed" in told or "no source" in told, told


@pytest.mark.parametrize("below", ["event", "events"])
def test_an_unknown_boat_or_event_is_not_found(bystander: TestClient, below: str) -> None:
    assert bystander.get(f"/boats/nowhere/{below}").status_code == 404
    assert bystander.get("/boats/sloop/event?event=nothing").status_code == 404


def test_bands_are_drawn_when_they_are_asked_for(bystander: TestClient) -> None:
    plain, drawn = (bystander.get(address).text for address in (ALONE, f"{ALONE}&bands=yes"))

    assert "event-bands" in ids(plain)
    assert "event-bands" not in ids(drawn)
    assert "The bands were drawn over all assumptions" in words(element(drawn, "event-all"))


def test_a_boat_without_modes_or_with_nothing_else_on_says_so(sloop: TestClient) -> None:
    """The engine start of a boat on which every load but the starter is off, and a boat that has no mode."""
    yard = sloop.app.state.yard  # type: ignore[attr-defined]
    opened = open_boat(yard, "sloop")
    start = next(mode for mode in opened.boat.modes if mode.id == "starting")
    alone = start.model_copy(update={"on": tuple(one for one in start.on if one.part == "starter")})

    def changed(update: dict[str, object]) -> OpenBoat:
        revision = replace(opened.revision, sha=f"with other {'-'.join(update)}")
        return replace(opened, boat=opened.boat.model_copy(update=update), revision=revision)

    bare, quiet = changed({"modes": (), "events": ()}), changed({"modes": (alone,)})
    told = [strip(yard, one, ViewState("sloop"), {}, on_bench=False).view.trouble for one in (bare, quiet)]

    assert told == ["Nothing heavy starts in this mode.", "Nothing but the heavy load is on in this mode."]
    assert heavies(yard, bare, ViewState("sloop")).rows == ()


def edited(client: TestClient, edit: dict[str, object], key: str) -> tuple[str, int]:
    """The boat and revision after an edit of the sloop as surveyed."""
    headers = {"If-Match": '"1"', "Idempotency-Key": key}
    answer = client.post("/api/boats/sloop/edits", json=edit, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer.json()["boat"], answer.json()["revision"]


def test_an_event_that_was_not_there_before_the_change_has_nothing_to_compare_with(sloop: TestClient) -> None:
    event = {
        "id": "cold-start",
        "name": "Cold start",
        "mode": "starting",
        "heavy": {"part": "starter", "input": "motor"},
        "steps": [],
        "conditions": {"temperature_c": 0},
    }
    boat, _ = edited(sloop, {"kind": "add-event", "event": event}, "cold-start-2")
    shown = sloop.get(f"/boats/{boat}/event?mode=starting&event=cold-start&since=1", headers=HTMX).text

    assert "Lowest before the change" not in shown
    assert "falls from" in words(element(shown, "event-strip"))


def test_probes_on_what_was_not_there_before_the_change_have_nothing_to_compare_with(
    sloop: TestClient,
) -> None:
    """A fuse spliced into the autopilot's positive lead is read across; before, there was none."""
    fuse = {"kind": "fuse", "id": "pilot-fuse", "name": "Pilot fuse", "rating_a": 10}
    splice = {
        "kind": "splice",
        "conductor": "autopilot-pos",
        "part": fuse,
        "new_conductor": "autopilot-pos-2",
        "distance_m": 0.5,
    }
    boat, _ = edited(sloop, splice, "pilot-fuse-1")
    probes = "plus=pilot-fuse.line&minus=autopilot.negative"
    shown = sloop.get(f"/boats/{boat}/event?{START}&since=1&{probes}", headers=HTMX)

    assert shown.status_code == 200, words(shown.text)
    assert "Lowest before the change" not in shown.text
    assert "reads" in words(element(shown.text, "event-strip"))


def test_a_starting_profile_is_laid_over_the_event_that_it_is_compared_with(bystander: TestClient) -> None:
    """Level I of ISO 16750-2 at 12 V, its lowest 8 V; none by itself, and none between probes."""
    laid = bystander.get(f"{ALONE}&profile=iso-16750-starting-i").text
    probed = bystander.get(
        f"{ALONE}&plus=start.positive&minus=start.negative&profile=iso-16750-starting-i"
    ).text

    assert 'data-key="iso-16750-starting-i"' in element(laid, "event-chart")
    assert "ISO 16750-2, level I 8.0 V" in words(element(laid, "event-form"))
    assert 'id="event-profile"' not in probed
    for without in (probed, bystander.get(ALONE).text):
        assert 'data-key="iso-16750' not in element(without, "event-chart")


def test_drawn_bands_say_what_they_leave_out_and_band_the_meters(bystander: TestClient) -> None:
    plain, drawn = (bystander.get(address).text for address in (ALONE, f"{ALONE}&bands=yes"))

    assert "One draw in 200" not in words(plain)
    assert "One draw in 200 at each end is left out" in words(element(drawn, "event-all"))
    assert re.search(r"min may be \d\.\d to \d\.\d V max may be", words(element(drawn, "event-meters")))

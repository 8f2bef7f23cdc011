"""What is on, hours and positions, set from the page; charging sources; the heavy load's lead."""

import re

import pytest
from fastapi.testclient import TestClient

from server.actions.sources import AtIdle, SourceFacts, source_named
from server.web.views.sources import source_view
from server.web.views.state import ViewState
from tests.engine.demo import demo_boat
from tests.web.reading import element, form_with, ids, words

BOAT = "/boats/sloop"
OPEN = f"{BOAT}?mode=starting&event=engine-start&open=switches"


def test_the_long_list_of_switches_is_shown_when_it_is_asked_for(sloop: TestClient) -> None:
    folded, shown = sloop.get(BOAT).text, sloop.get(OPEN).text

    assert "running-autopilot" not in ids(folded)
    assert "position-selector" in ids(folded)
    assert "running-autopilot" in ids(shown)
    link = re.search(r'id="switches-toggle" href="([^"]*)"', shown)
    assert link
    assert "open=" not in link[1]


def test_switching_a_load_off_opens_an_option_and_takes_it_out_of_the_event(sloop: TestClient) -> None:
    form = form_with(sloop.get(OPEN).text, "running-autopilot-switch")
    done = sloop.post(form.action, data=form.fields)
    after = sloop.get(done.headers["location"]).text

    assert not done.headers["location"].startswith(f"{BOAT}?")
    assert "Autopilot off" in words(element(after, "running-autopilot"))
    assert "everything that is on keeps running" in words(element(after, "guide"))
    change = words(element(after, "change"))
    assert "No longer judged When the engine starts, the autopilot restarts" in change
    assert "Autopilot on" in words(element(sloop.get(OPEN).text, "running-autopilot"))


def test_a_load_is_switched_on_again_with_its_hours(sloop: TestClient) -> None:
    off = form_with(sloop.get(OPEN).text, "running-autopilot-switch")
    there = sloop.post(off.action, data=off.fields).headers["location"]
    on = form_with(sloop.get(there).text, "running-autopilot-switch")
    again = sloop.post(on.action, data=on.fields).headers["location"]
    hours = form_with(sloop.get(again).text, "hours-autopilot-set")
    refused = sloop.post(hours.action, data=hours.fields | {"value": "25"})
    done = sloop.post(hours.action, data=hours.fields | {"value": "6,5"})

    assert on.fields["on"] == "yes"
    assert refused.status_code == 422
    assert "Enter 24 h at most." in words(element(refused.text, "hours-autopilot"))
    assert 'value="6.5"' in element(sloop.get(done.headers["location"]).text, "hours-autopilot")


@pytest.mark.parametrize(("typed", "kept"), [("3", "3"), ("", "")])
def test_a_mode_has_its_hours_a_day(sloop: TestClient, typed: str, kept: str) -> None:
    form = form_with(sloop.get(OPEN).text, "hours-of-mode-set")
    refused = sloop.post(form.action, data=form.fields | {"value": "all day"})
    done = sloop.post(form.action, data=form.fields | {"value": typed})

    assert refused.status_code == 422
    assert f'name="value" value="{kept}"' in element(
        sloop.get(done.headers["location"]).text, "hours-of-mode"
    )


def test_a_heavy_load_without_power_is_told_and_its_findings_are_not_called_cleared(
    sloop: TestClient,
) -> None:
    form = form_with(sloop.get(OPEN).text, "position-selector-set")
    done = sloop.post(form.action, data=form.fields | {"value": "off"})
    after = sloop.get(done.headers["location"]).text

    assert "engine starter gets no power in this mode" in words(element(after, "guide"))
    assert "Findings cleared When the engine starts" not in words(element(after, "change"))
    assert "No longer judged When the engine starts" in words(element(after, "change"))


def test_a_source_says_what_it_gives_what_is_charged_and_whether_it_is_counted(sloop: TestClient) -> None:
    panel = element(sloop.get(f"{BOAT}?mode=under-way&selected=alternator").text, "selected")

    assert re.search(r"It gives [\d.]+ A at 1[34]\.\d+ V in this mode", words(panel))
    told = words(panel)
    assert "Charged now, at its own posts: House battery 1" in told
    bank = [float(volts) for volts in re.findall(r"House battery \d [\d.]+ A at ([\d.]+) V", told)]
    assert len(bank) == 4
    # Two 6 V batteries in series lie below the source's own volts, by what its way loses (Kirchhoff).
    given = re.search(r"It gives [\d.]+ A at ([\d.]+) V", told)
    assert given
    assert 12 < bank[0] + bank[1] < float(given[1])
    assert "here each stands as at rest" in told
    assert "The battery monitor counts it." in words(panel)
    assert "pick-up-alternator--positive" in ids(panel)


def test_an_alternator_says_what_it_gives_hot_at_idle_and_what_is_left_of_it(sloop: TestClient) -> None:
    """The sloop's gives 25 A hot at idle and 55 A at cruise, as entered."""
    told = words(element(sloop.get(f"{BOAT}?mode=under-way&selected=alternator").text, "selected"))
    idle = re.search(r"Hot and at idle it gives ([\d.]+) A", told)
    given = re.search(r"It gives ([\d.]+) A at", told)

    assert idle
    assert given
    assert float(idle[1]) == pytest.approx(25.0, abs=0.5)
    assert float(given[1]) > float(idle[1])


@pytest.mark.parametrize(
    ("battery_a", "told"),
    [
        (12.0, "Hot and at idle it gives 25 A: 12 A are left for the batteries."),
        (-9.0, "less than this mode takes: the batteries give 9"),
        (0.01, "nothing charges the batteries"),
    ],
)
def test_what_is_left_at_idle_is_told_as_it_is(battery_a: float, told: str) -> None:
    boat = demo_boat("1-sloop")
    part = source_named(boat, "alternator")
    assert part is not None
    facts = SourceFacts(part, 40.0, 14.0, (), (), 1, AtIdle(25.0, battery_a))

    assert told in source_view(boat, ViewState("sloop"), 1, facts).summary.replace(".0 A", " A")


def test_a_source_that_is_off_says_so(sloop: TestClient) -> None:
    panel = element(sloop.get(f"{BOAT}?mode=starting&selected=alternator").text, "selected")

    assert "It gives nothing in this mode" in words(panel)
    assert "No battery is being charged." in words(panel)


@pytest.mark.parametrize(("part", "terminal"), [("starter", "motor"), ("starter", "negative")])
def test_a_heavy_loads_lead_says_first_what_the_rest_would_have(
    sloop: TestClient, part: str, terminal: str
) -> None:
    page = sloop.get(f"{BOAT}/pick-up?mode=starting&event=engine-start&part={part}&terminal={terminal}").text
    lines = re.findall(r'data-line1="([^"]*)"', element(page, "taps"))

    assert "Each says first what the rest of the boat would have." in lines[0]
    assert lines[1:]
    assert all("worst of the rest:" in line and "restarts 1 → " in line for line in lines[1:])
    assert all("limit not known" not in line and "nan" not in line for line in lines)


@pytest.mark.parametrize("terminal", ["positive", "negative"])
def test_a_sources_lead_says_first_what_every_bank_would_have(bystander: TestClient, terminal: str) -> None:
    page = bystander.get(f"{BOAT}/pick-up?mode=under-way&part=alternator&terminal={terminal}").text
    taps = element(page, "taps")
    lines = re.findall(r'data-line1="([^"]*)"', taps)

    assert re.search(r"Now on .*\. House \d+\.\d\d V, takes \d+\.\d A; Start", words(taps))
    assert lines[1:]
    assert all(
        re.search(r"House .*\d V, (takes|gives) .*A · Start .*\d V, takes .*A", one) for one in lines[1:]
    )
    assert re.search(r"charges \d+\.\d A counted", words(taps))
    assert re.search(r">1 · \d+ A<", element(page, "tap-answers"))


def test_a_source_that_gives_nothing_says_which_mode_would_answer(bystander: TestClient) -> None:
    page = bystander.get(f"{BOAT}/pick-up?mode=starting&event=engine-start&part=solar&terminal=positive").text
    taps = words(element(page, "taps"))

    assert "It gives nothing in this mode: choose one in which it runs" in taps
    assert "charges" not in taps


def test_a_loads_lead_says_first_what_it_would_have_itself(sloop: TestClient) -> None:
    page = sloop.get(f"{BOAT}/pick-up?part=autopilot&terminal=negative").text
    lines = re.findall(r'data-line1="([^"]*)"', element(page, "taps"))

    best, _, figures = lines[1].partition(" · ")
    assert lines[0] == f"Carrying Autopilot negative. 3 places. Best: {best}."
    assert re.match(r"7\.\d → 1[01]\.\d V, needs 9\.0 · keeps running", figures)


def test_a_place_says_whether_the_cable_reaches(sloop: TestClient) -> None:
    page = sloop.get(f"{BOAT}/pick-up?part=autopilot&terminal=negative").text

    assert re.search(r"needs \d\.\d m more: new cable", words(element(page, "taps")))


def test_places_with_the_same_result_are_folded_and_can_still_be_used(sloop: TestClient) -> None:
    for boat, part, terminal in (("trawler", "radar", "supply"), ("workboat", "winch", "motor")):
        page = sloop.get(f"/boats/{boat}/pick-up?part={part}&terminal={terminal}").text
        if "with the same result" in page:
            folded = re.findall(r'<details id="put-[^"]*-like".*?</details>', page, re.S)
            assert all("data-tap=" in one for one in folded)
            return
    raise AssertionError("no places were folded")


def test_a_narrow_screen_gets_the_side_of_the_lead(sloop: TestClient) -> None:
    """The negative side stands first; a positive lead in the hand turns the picture, in the same answer."""
    address = f"{BOAT}/pick-up?part=autopilot&terminal="
    sloop.cookies.set("shape", "portrait")
    stays = sloop.get(f"{address}negative", headers={"HX-Request": "true"}).text
    turns = sloop.get(f"{address}supply", headers={"HX-Request": "true"}).text

    assert "diagram-place" not in ids(stays)
    assert "diagram-place" in ids(turns)
    assert "data-tap=" in turns

"""The switching page: combinations, turns, what stays alive, the way to all off."""

import json
import re
from dataclasses import replace
from html import unescape

import pytest
from fastapi.testclient import TestClient

from server.actions.switching import JoinFact, SwitchingFacts, TurnFact, WayFact, switching_facts
from server.boat.devices import AuxiliaryContact
from server.boat.document import read_boat
from server.boat.modes import Mode, PositionSetting
from server.boat.parts import Contact
from server.boat.presets import on_off
from server.bundled import bundled
from server.web.views.controls import HeadView
from server.web.views.state import ViewState
from server.web.views.switching import SwitchingView, switching_view
from tests.engine.boats import wire
from tests.engine.test_switching import boat_of, selector_boat
from tests.web.reading import element, form_with, ids, words

BOAT = "/boats/sloop"
HEAD = HeadView("Boat", "", "", (), (), "")


def view_of(facts: SwitchingFacts) -> SwitchingView:
    return switching_view("Switching", HEAD, (), facts, ViewState("boat"), 1)


def test_the_sloop_shows_its_selector_and_what_stays_alive(bystander: TestClient) -> None:
    html = bystander.get("/boats/sloop/switching?mode=starting").text

    assert "Battery selector: 1 → BOTH" in words(html)
    assert "may be made" in words(html)
    assert "Goes dead:" in words(element(html, "turns"))
    assert "Cabin heater: Runs on to cool down" in words(element(html, "stays"))
    assert "79 to 101 V" in words(html)
    assert words(element(html, "combinations")).count("(now)") == 1


def test_switching_the_outboard_boat_off_says_to_stop_the_engine(bystander: TestClient) -> None:
    html = bystander.get("/boats/outboard/switching?mode=under-way").text

    assert "stop the engine first" in words(element(html, "turns"))
    assert "Stop the engine first." in words(element(html, "ways"))


def test_the_turns_can_be_gone_through_from_any_box_and_back(bystander: TestClient) -> None:
    stands = bystander.get("/boats/sloop/switching?mode=starting").text
    both = unescape(re.findall(r'<a href="([^"]*at=both[^"]*)"', element(stands, "map-scroll"))[0])
    shown = bystander.get(both).text

    assert "Battery selector: BOTH → 2" in words(element(shown, "turns"))
    assert "BOTH → 2" not in words(element(stands, "turns"))
    assert "Turns from BOTH, as if they stood so" in words(shown)
    assert "has them" in words(element(shown, "ways"))
    back = re.findall(r'id="turns-back" href="([^"]*)"', shown)[0]
    assert "Turns from where they stand" in words(bystander.get(unescape(back)).text)
    assert 'id="turns-back"' not in stands
    assert words(element(shown, "combinations")).count("(now)") == 1


@pytest.mark.parametrize("at", ["nowhere", "both.off", "."])
def test_positions_that_do_not_exist_are_said(bystander: TestClient, at: str) -> None:
    answer = bystander.get(f"/boats/sloop/switching?mode=starting&at={at}")

    assert answer.status_code == 200
    assert "The battery switches have no such positions: choose others." in answer.text


def test_a_mode_that_does_not_exist_is_said_and_nothing_else(bystander: TestClient) -> None:
    answer = bystander.get("/boats/sloop/switching?mode=nowhere")

    assert answer.status_code == 200
    assert "This boat has no such mode" in answer.text
    assert 'id="turns"' not in answer.text


def test_a_boat_without_modes_is_sent_to_where_parts_are_put_in(client: TestClient) -> None:
    body = {"format": "tapchart.boat", "version": 1, "name": "Bare hull", "nominal_voltage_v": 12.0}
    sent = client.post(
        "/boats/import",
        files={"file": ("bare.json", json.dumps(body), "application/json")},
        data={"request_id": "bare"},
    )
    boat = sent.headers["location"]
    page = client.get(f"{boat}/switching").text

    assert "no such mode" not in page
    assert words(element(page, "switching-empty")).startswith("Put in parts and cables first")
    assert f'href="{boat}/fitting"' in element(page, "switching-empty")


def turn_of(**more: object) -> TurnFact:
    plain = TurnFact("Selector", "1", "2", (), (), certain=True)
    return replace(plain, **more)  # type: ignore[arg-type]


def facts_of(*turns: TurnFact, **more: object) -> SwitchingFacts:
    whole = SwitchingFacts(("Selector",), (), (), turns, (), (), ("Alternator",), (), None)
    return replace(whole, **more)  # type: ignore[arg-type]


def test_a_turn_that_loses_the_battery_on_the_way_says_how_sure_that_is() -> None:
    view = view_of(
        facts_of(
            turn_of(lost_between=("Alternator",)),
            turn_of(lost_between=("Alternator",), certain=False),
            turn_of(lost_after=("Alternator",)),
            turn_of(mixed=True),
            turn_of(),
        )
    )

    assert [(turn.mark, turn.word) for turn in view.turns] == [
        ("▲", "stop the engine first"),
        ("▲", "stop the engine first, or ask the maker"),
        ("▲", "stop the engine first"),
        ("▲", "do not make it"),
        ("✓", "may be made"),
    ]
    assert view.turns[0].why == "Alternator loses its battery on the way: the switch breaks before it makes."
    assert view.turns[2].why == "Alternator then has no battery."
    assert "not published for this system voltage" in view.load_dump


def test_a_turn_that_is_sound_for_the_sources_says_which_loads_it_takes_the_power_from() -> None:
    """An alternator on a battery's own post keeps it however the selector stands; the radio does not."""
    view = view_of(switching_facts(selector_boat(alternator_at="one.positive"), None))
    many = turn_of(
        lost_after=("Alternator",), goes_dead=("Engine panel", "Autopilot", "Plotter", "VHF radio")
    )

    (off,) = [turn for turn in view.turns if turn.what == "Selector: 1 → Off"]
    (both,) = [turn for turn in view.turns if turn.what == "Selector: 1 → BOTH"]
    assert (off.mark, off.word, off.dead) == ("◆", "may be made, loads go dead", "Goes dead: Radio.")
    assert both.dead == ""
    (danger,) = view_of(facts_of(many)).turns
    assert (danger.kind, danger.dead) == ("danger", "Goes dead: Engine panel, Autopilot and 2 more.")


def test_a_switch_whose_auxiliary_contact_opens_first_says_to_see_where_that_leads() -> None:
    boat = selector_boat()
    contact = AuxiliaryContact(name="Field", terminals=("f-1", "f-2"), closed_in=("one",), leads_main="yes")
    parts = tuple(
        part.model_copy(update={"auxiliary": (contact,)}) if isinstance(part, Contact) else part
        for part in boat.parts
    )
    view = view_of(switching_facts(boat.model_copy(update={"parts": parts}), None))
    between = view_of(facts_of(turn_of(lost_between=("Alternator",), field_opens=True)))

    (off,) = [turn for turn in view.turns if turn.what == "Selector: 1 → Off"]
    assert "Its auxiliary contact opens first" in off.why
    assert "see where it leads" in between.turns[0].why


def test_banks_that_a_turn_joins_are_told_with_their_current() -> None:
    join = JoinFact(
        ("House", "Start"), (12.53, 12.61), 6.85, 42.3, "Start", mixed=False, unlike=False, unknown=()
    )
    kinds = replace(join, current_a=0.2, unlike=True, unknown=("Old battery",))
    plain, unlike = view_of(facts_of(turn_of(joins=(join,)), turn_of(joins=(kinds,)))).turns

    assert (plain.mark, plain.word) == ("◆", "may be made, joins banks")
    assert plain.joins == (
        "Joins House 12.5 V and Start 12.6 V at rest: about 7 A from Start at the first instant, "
        "up to 42 A with one full and the other low.",
    )
    assert "next to nothing flows between them, up to 42 A" in unlike.joins[0]
    assert "Their kinds differ" in unlike.joins[0]
    assert "not known of Old battery: see its label or measure it." in unlike.joins[0]


def test_ways_are_told_with_the_engine_running_and_stopped() -> None:
    step = turn_of()
    ways = (
        WayFact("all off", running=(step,), stopped=(step,), at_rest=(step,)),
        WayFact("how Sailing has them", running=None, stopped=(step,), at_rest=(step,)),
        WayFact("a third", running=None, stopped=None, at_rest=(step,)),
        WayFact("a fourth", running=None, stopped=None, at_rest=None),
        WayFact("all off", running=(), stopped=(), at_rest=()),
    )
    same, stopped, at_rest, never, already = view_of(facts_of(ways=ways)).ways

    assert same.running_steps == ("Selector: 1 → 2",)
    assert (same.stopped, same.stopped_steps) == ("Engine stopped: the same.", ())
    assert stopped.title == "To how Sailing has them"
    assert "Stop the engine first." in stopped.running
    assert stopped.stopped_steps == ("Selector: 1 → 2",)
    assert at_rest.stopped.startswith("Engine stopped, chargers and solar off: in this order")
    assert never.stopped == "No order of turns leads there without putting lithium beside lead."
    assert already.running == "Engine running: they stand so already."


def test_a_selector_reads_its_combinations_in_words() -> None:
    facts = switching_facts(selector_boat(), None)
    view = view_of(facts)

    rows = {row.positions[0]: row for row in view.combinations}
    assert [group.head for group in view.groups] == ["Radio"]
    assert (rows["Off"].fed, rows["Off"].alone) == (("○ dead",), "▲ Alternator")
    assert (rows["1"].fed, rows["1"].now) == (("● 1",), "now")
    assert rows["BOTH"].fed == ("● 1 and 2",)
    assert rows["BOTH"].banks == "1 and 2"
    assert view.stays == ()
    assert view.ways[0].running.endswith("Stop the engine first.")
    assert view.ways[0].stopped_steps == ("Selector: 1 → Off (goes dead: Radio)",)


def test_lithium_beside_lead_is_marked_and_never_on_a_safe_way() -> None:
    boat = selector_boat()
    parts = tuple(
        part.model_copy(update={"chemistry": "lifepo4"}) if part.id == "two" else part for part in boat.parts
    )
    facts = switching_facts(boat.model_copy(update={"parts": parts}), None)
    view = view_of(facts)

    both = next(row for row in view.combinations if row.positions == ("BOTH",))
    assert both.banks == "1 and 2 ▲ lithium beside lead"
    (turn,) = [one for one in view.turns if one.what == "Selector: 1 → BOTH"]
    assert (turn.mark, turn.word) == ("▲", "do not make it")
    assert "Their kinds differ" not in turn.joins[0]
    assert view.map is not None
    assert "joins lithium and lead" in view.map.markup
    assert "BOTH: lithium beside lead" in view.map.markup


def test_a_turn_that_loses_the_battery_on_the_way_is_marked_on_its_line() -> None:
    """A dial of 1 and 2 alone, which breaks first, or of unknown order."""
    for order, sure in (("break-before-make", ""), (None, ", if the switch breaks before it makes")):
        boat = selector_boat(order)
        parts = tuple(
            part.model_copy(update={"positions": tuple(p for p in part.positions if p.id in {"one", "two"})})
            if isinstance(part, Contact)
            else part
            for part in boat.parts
        )
        picture = view_of(switching_facts(boat.model_copy(update={"parts": parts}), None)).map

        assert picture is not None
        assert f"1 to 2 and back: Alternator loses its battery on the way{sure}<" in picture.markup
        assert picture.markup.count("▲") == 1


def test_how_another_mode_has_the_switches_is_a_goal_too() -> None:
    boat = selector_boat()
    spare = Mode(id="spare", name="Spare", positions=(PositionSetting(part="choose", position="two"),))
    facts = switching_facts(boat.model_copy(update={"modes": (*boat.modes, spare)}), "any")

    assert [way.goal for way in facts.ways] == ["all off", "how Spare has them"]
    assert [turn.after for turn in facts.ways[1].running or ()] == ["BOTH", "2"]


def test_a_boat_without_battery_switches_says_so_and_what_stays_alive() -> None:
    view = view_of(switching_facts(boat_of([], []), None))

    assert view.problem == "This boat has no part that is marked as a battery switch."
    assert view.combinations == ()
    assert view.ways == ()


def test_more_switches_than_a_picture_holds_are_listed_turn_by_turn() -> None:
    """Three on-off switches in a row before the solar panels: opening any of them leaves those alone."""
    switches = [on_off(f"s{n}", f"S{n}", is_battery_switch=True) for n in range(3)]
    joined = [
        wire("x0", "choose.common", "s0.in"),
        wire("x1", "s0.out", "s1.in"),
        wire("x2", "s1.out", "s2.in"),
        wire("x3", "s2.out", "sun.positive"),
        wire("x4", "sun.negative", "minus.stud-5"),
    ]
    sun = {"kind": "solar", "id": "sun", "name": "Sun", "rated_current_a": 5.0}
    parts = [*(one.model_dump(exclude_none=True) for one in switches), sun]
    view = view_of(switching_facts(selector_boat(parts=parts, conductors=joined), None))

    assert view.map is None
    assert any(one.what == "1 · On · On · On: S1: On → Off" for one in view.dangers)
    assert all(one.mark == "▲" for one in view.dangers)
    assert view.no_dangers == ""


def test_where_no_turn_is_dangerous_or_there_are_too_many_that_is_said() -> None:
    quiet = selector_boat(alternator_at="one.positive")
    more = [on_off(f"s{n}", f"S{n}", is_battery_switch=True).model_dump(exclude_none=True) for n in range(6)]
    harmless = quiet.model_copy(update={"parts": (*quiet.parts, *map(on_off_of, range(3)))})
    many = selector_boat(parts=more)

    assert view_of(switching_facts(harmless, None)).no_dangers.startswith("There is none")
    assert view_of(switching_facts(many, None)).no_dangers.startswith("There are too many combinations")


def on_off_of(number: int) -> Contact:
    return on_off(f"spare{number}", f"Spare {number}", is_battery_switch=True)


@pytest.mark.parametrize("boat", ["trawler", "workboat", "large-yacht"])
def test_every_demo_boat_has_its_page(bystander: TestClient, boat: str) -> None:
    answer = bystander.get(f"/boats/{boat}/switching?mode=under-way")

    assert answer.status_code == 200
    assert 'id="combinations"' in answer.text
    assert "in this order no charging source loses its battery" in answer.text


def test_a_radio_behind_a_converter_is_fed_by_the_bank_that_feeds_the_converter(
    bystander: TestClient,
) -> None:
    """The workboat's 12 V radios hang on a converter from the 24 V service bank."""
    facts = switching_facts(read_boat((bundled("seed_boats") / "3-workboat.json").read_bytes()), "under-way")
    radio = next(n for n, group in enumerate(facts.groups) if any("VHF" in name for name in group.names))
    now = next(one for one in facts.combinations if one.is_now)

    assert "Service" in now.fed[radio]


def test_the_reason_why_a_load_stays_alive_is_typed_where_it_is_missed(sloop: TestClient) -> None:
    page = sloop.get(f"{BOAT}/switching").text
    form = form_with(page, "stay-heater-keep")
    done = sloop.post(form.action, data=form.fields | {"value": "  It cools   down. "})
    there = done.headers["location"]
    after = sloop.get(there).text
    boat = there.partition("/switching")[0]

    assert done.status_code == 303
    assert words(element(after, "stay-heater")).startswith("Cabin heater: It cools down.")
    form = form_with(after, "stay-heater-keep")
    sloop.post(form.action, data=form.fields | {"value": ""})
    page = sloop.get(f"{boat}/switching").text
    assert "Cabin heater: no reason is stated" in words(element(page, "stays"))
    finding = next(one for one in ids(sloop.get(f"{boat}/findings").text) if "alive-when-off-heater" in one)
    opened = sloop.get(f"{boat}/findings/one", params={"finding": finding.removeprefix("finding-")}).text
    assert "#stay-heater" in opened
    form = form_with(page, "stay-heater-keep")
    assert sloop.post(form.action, data=form.fields | {"value": "x" * 9000}).status_code == 422


def test_a_safe_order_says_what_goes_dead_on_its_way() -> None:
    way = WayFact(
        "all off",
        running=(turn_of(goes_dead=("Radio",)), turn_of(before="2", after="OFF", blinks=("A", "B", "C"))),
        stopped=(),
        at_rest=(),
    )
    (shown,) = view_of(facts_of(ways=(way,))).ways

    assert shown.running_steps == (
        "Selector: 1 → 2 (goes dead: Radio)",
        "Selector: 2 → OFF (without power for an instant: A, B and 1 more)",
    )

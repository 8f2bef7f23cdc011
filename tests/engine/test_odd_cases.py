"""Cases that are rare on boats: metal on metal, relays, what is off, what does not settle."""

from dataclasses import replace

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.edit_values import MoveLead
from server.boat.edits import apply
from server.boat.events import events_of
from server.boat.latest import Latest
from server.boat.leads import lead
from server.engine import best_tap, memo
from server.engine import operating_point as solver
from server.engine.analysis import analyse_mode, loop, pick_up
from server.engine.answer import ModeAnswer
from server.engine.diagnose import diagnosed, input_state
from server.engine.drop import return_terminal
from server.engine.memo import Memo
from server.engine.netlist import netlist
from server.engine.network import LimitedSources
from server.engine.operating_point import (
    RunningLoads,
    System,
    newton,
    operating_point,
    pieces_of,
)
from server.engine.places import Places
from server.engine.solution import Solution
from server.engine.states import lines, starting_states
from server.engine.system import grounding
from tests.engine.boats import Json, boat, conductor, load, part, wire
from tests.engine.circuits import lamp
from tests.engine.demo import demo_boat

RELAY: Json = {
    "kind": "contact",
    "id": "relay",
    "name": "Relay",
    "terminals": ["in", "out"],
    "positions": [{"id": "off", "name": "Off"}],
    "normal": "off",
    "coil": {"kind": "coil", "current_a": 0.8, "rated_voltage_v": 12.0},
}
BARE_JOINT: Json = {"resistance_ohm": 0.0}
COMBINER: Json = {"kind": "combiner", "id": "combiner", "name": "Combining relay"}


def metal_on_metal() -> Boat:
    """The plotter's negative bolted to the block without any resistance: too short to be solved."""
    bolted = conductor(
        "w-return", kind="link", resistance_ohm=0.0, tail_joint=BARE_JOINT, head_joint=BARE_JOINT
    )
    relay_wires = [
        wire("w-relay-a", "fuse.load", "combiner.a"),
        wire("w-relay-b", "combiner.b", "panel.dc-spare"),
        wire("w-relay-ground", "combiner.ground", "bar.stud-5"),
    ]
    return boat(parts=[COMBINER], conductors=[bolted, *relay_wires])


def started(subject: Boat) -> ModeAnswer:
    """The small boat starting."""
    return analyse_mode(subject, "starting", events=[events_of(subject)[0].id])


def test_lead_without_resistance_is_answered_by_a_full_solution_at_every_place() -> None:
    """Decision 16 holds where no quick update can: the merged lead, with a combining relay aboard."""
    subject = metal_on_metal()
    event = events_of(subject)[0].id
    found = pick_up(subject, "plotter", "negative", "starting", event)
    compared = 0
    for tap in found.taps:
        if tap.present:
            continue
        moved = apply(subject, MoveLead(part="plotter", terminal="negative", to=tap.terminal))
        seen = next(one for one in started(moved).loads if one.part == "plotter").events[0]
        assert tap.lowest is not None
        assert tap.lowest.value == pytest.approx(seen.lowest.value, abs=1e-8)
        compared += 1

    assert compared >= 2


def test_loads_whose_places_want_too_many_full_solutions_are_not_searched(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Searched when there is room for full solutions, told to be unsearched when there is none."""
    searched = started(metal_on_metal())
    monkeypatch.setattr(best_tap, "MOST_IN_FULL", 0)
    unsearched = started(metal_on_metal())

    def best(answer: ModeAnswer) -> object:
        return next(one for one in answer.loads if one.part == "plotter").events[0].best_tap

    assert best(searched) is not None
    assert best(unsearched) is None
    assert any(text.startswith("better taps in") for text in unsearched.not_assessed)


def test_load_whose_leads_have_no_place_has_no_better_tap() -> None:
    """Two wires on its positive and on its negative: neither is a lead that could be moved."""
    doubled = [
        wire("w-more", "panel.dc-plotter", "plotter.supply"),
        wire("w-more-back", "plotter.negative", "block.stud-2"),
    ]
    seen = next(one for one in started(boat(conductors=doubled)).loads if one.part == "plotter").events[0]

    assert (seen.best_tap, seen.best_tap_v) == (None, None)


@pytest.mark.parametrize("terminal", ["input", "output"])
def test_converter_belongs_to_two_voltages(terminal: str) -> None:
    """Its input stands at the 24 V that feeds it, its output at its own 12 V: neither is out of place."""
    found = pick_up(demo_boat("3-workboat"), "converter", terminal, "starting", None)

    assert found.present is not None
    assert "other-voltage" not in found.present.breaks


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        ({"temperature_c": -5.0}, "battery at -5 °C"),
        ({"state_of_charge": 0.5, "age_factor": 1.5}, "charge 50%, age factor 1.5"),
        ({"attempt": 2}, "conditions of the mode"),
    ],
)
def test_only_stated_conditions_are_told(conditions: Json, words: str) -> None:
    """What an event does not state is the mode's."""
    event = {
        "id": "cold",
        "name": "Cold start",
        "mode": "starting",
        "heavy": {"part": "starter", "input": "supply"},
        "conditions": conditions,
    }

    assert started(boat(events=[event])).events[0].conditions == words


def test_range_of_a_load_that_is_off_widens_no_band() -> None:
    """Only what draws current can make a voltage uncertain."""
    demand = {"kind": "constant-power", "power_w": {"low": 5.0, "high": 500.0}}
    lamp_on = load("lamp", {"kind": "resistive", "rated_power_w": 20.0, "rated_voltage_v": 12.0})
    wires = [
        wire("w-lamp", "panel.dc-spare", "lamp.supply"),
        wire("w-lamp-back", "lamp.negative", "bar.stud-5"),
    ]
    mode = {"id": "starting", "name": "Starting", "on": [{"part": "lamp"}, {"part": "starter"}]}
    bands = [
        next(one for one in started(subject).loads if one.part == "lamp").events[0].lowest
        for subject in (
            boat(parts=[lamp_on, load("plotter", demand)], conductors=wires, modes=[mode]),
            boat(parts=[lamp_on], conductors=wires, modes=[mode]),
        )
    ]

    assert bands[0].low == pytest.approx(bands[1].low, abs=1e-9)
    assert bands[0].high == pytest.approx(bands[1].high, abs=1e-9)


def unsettled(*rows: int) -> Solution:
    """The small boat with some elements that found no state; such a boat cannot be drawn at will."""
    solution = Solution.of(boat(), "starting")
    point = replace(solution.steady, unsettled=np.array(rows, np.intp))
    solution.__dict__["steady"] = point
    return solution


def test_what_finds_no_state_is_told_once_by_name() -> None:
    """A load about to collapse, and a battery standing for anything else that hunts; each told once."""
    net = Solution.of(boat(), "starting").net
    plotter, battery = net.inputs["plotter", "supply"], net.network.spans["sources"].start
    solution = unsettled(battery, plotter, plotter)
    troubles = list(diagnosed(solution, [], solution.names))
    state, reason = input_state(solution, ("plotter", "supply"), solution.inputs.index(("plotter", "supply")))

    assert [(one.code, one.subjects) for one in troubles] == [
        ("does-not-settle", ("battery",)),
        ("no-convergence", ("plotter",)),
    ]
    assert "House battery" in troubles[0].message
    assert (state, reason) == ("not-solved", "No steady voltage was found for it.")


@pytest.mark.parametrize("terminal", ["supply", "negative"])
def test_drop_at_a_tap_counts_from_the_panelboard_where_the_practice_does(terminal: str) -> None:
    """Decision 16 for the other way of counting; a place behind no panel counts from the battery."""
    subject = boat(practice={"drop_counts_from": "panelboard"})
    found = pick_up(subject, "plotter", terminal, "starting", None)
    for tap in found.taps:
        moved = subject
        if not tap.present:
            moved = apply(subject, MoveLead(part="plotter", terminal=terminal, to=tap.terminal))
        drop = next(one for one in analyse_mode(moved, "starting").loads if one.part == "plotter").drop
        assert drop is not None
        assert tap.drop_v == pytest.approx(drop.judged_v, rel=1e-9)

    assert found.taps


def test_candidates_hold_every_place_that_is_offered() -> None:
    """Places of either polarity; what picking up offers is among them."""
    subject = boat()
    places = Places(subject)
    held = lead(subject, "plotter", "supply", places.landings)
    found = pick_up(subject, "plotter", "supply", "starting", None)
    offered = {(ref.part, ref.terminal) for tap in found.taps for ref in (tap.terminal, *tap.same_as)}

    assert offered <= set(places.candidates(held))
    assert ("plotter", "supply") not in set(places.candidates(held))


def test_crowded_stud_of_a_chain_is_a_target_of_its_own() -> None:
    """Neighbouring studs come to the same volts, but one of them holds four lugs already."""
    crowd = [wire(f"w-{n}", "bar.stud-4", "block.stud-2") for n in range(4)]
    subject = boat(parts=[part("bar", section_mm2=60.0, stud_pitch_m=0.02)], conductors=crowd)
    found = pick_up(subject, "plotter", "negative", "starting", None)
    on_bar = {tap.terminal.terminal: tap.breaks for tap in found.taps if tap.terminal.part == "bar"}

    assert on_bar["stud-4"] == ("stud-full",)
    assert () in on_bar.values()


def test_memo_remembers_by_identity_and_starts_afresh_when_full(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same value is worked out once until the memo is full."""
    asked = list[str]()

    def length(text: str) -> int:
        asked.append(text)
        return len(text)

    kept = Memo(length)
    monkeypatch.setattr(memo, "MOST_KEPT", 2)
    words = ["one", "three", "seven"]

    assert [kept(word) for word in (*words[:2], *words[:2], words[2], words[0])] == [3, 5, 3, 5, 5, 3]
    assert asked == ["one", "three", "seven", "one"]


def test_the_latest_results_are_remembered_and_older_ones_given_up() -> None:
    """Two results are kept here: of three combinations the first is worked out anew, but not the last."""
    asked = list[tuple[str, str]]()

    def both(one: str, other: str) -> str:
        asked.append((one, other))
        return one + other

    kept = Latest(both, kept=2)
    combinations = [("a", "b"), ("a", "c"), ("d", "b")]

    assert [kept(*two) for two in combinations] == ["ab", "ac", "db"]
    assert (kept(*combinations[2]), kept(*combinations[0])) == ("db", "ab")
    assert asked == [*combinations, combinations[0]]


@pytest.mark.parametrize(
    ("item", "terminal", "starts"),
    [
        (
            {"kind": "inverter", "id": "odd", "name": "Inverter", "rated_power_w": 600.0, "heavy": False},
            "positive",
            False,
        ),
        ({"kind": "inverter", "id": "odd", "name": "Inverter", "rated_power_w": 600.0}, "positive", True),
        (
            {
                "kind": "outboard",
                "id": "odd",
                "name": "Outboard",
                "starter": {"kind": "motor", "running_current_a": 80.0},
            },
            "positive",
            True,
        ),
    ],
)
def test_only_heavy_parts_have_an_element_for_their_start(item: Json, terminal: str, starts: bool) -> None:
    """An inverter marked as not heavy just runs; an outboard without harness or charging still starts."""
    subject = boat(parts=[item])
    net = netlist(subject, subject.modes[0])

    assert (("odd", terminal) in net.stalled) == starts
    assert ("odd", terminal) in net.inputs


def test_solver_that_may_not_change_states_says_what_is_unsettled(monkeypatch: pytest.MonkeyPatch) -> None:
    """A source that wants to block stands as it is when no change is allowed, and is named."""
    network = lamp(e=12.6, ohm=0.1, watts=20.0)
    low = replace(network, limited=LimitedSources.of([(0, 2, 5.0, 0.01, 10.0)]))
    monkeypatch.setattr(solver, "MOST_STATE_CHANGES", 1)

    assert operating_point(low).unsettled.tolist() == [low.spans["limited"].start]


def test_solver_that_may_take_one_step_only_says_what_is_unsettled(monkeypatch: pytest.MonkeyPatch) -> None:
    """A load of constant power needs several steps; cut short, it is named rather than answered."""
    network = lamp(e=12.0, ohm=1.0, watts=35.0)
    monkeypatch.setattr(solver, "MOST_STEPS", 1)

    assert operating_point(network).unsettled.tolist() == [network.spans["loads"].start]


def test_tip_of_the_curve_is_reached_or_named() -> None:
    """At P = E²/(4R) the two solutions meet in E/2 (maximum power transfer; any textbook)."""
    point = operating_point(lamp(e=12.0, ohm=1.0, watts=36.0))
    load_v = point.element_v[point.network.spans["loads"]][0]

    assert len(point.unsettled) or load_v == pytest.approx(6.0, abs=1e-3)


def test_loop_behind_an_isolated_converter_passes_its_return_once() -> None:
    """Its negative is not the boat's: the loop closes on the converter's own output all the same."""
    converter = {
        "kind": "converter",
        "id": "dc",
        "name": "Converter",
        "output_v": 12.0,
        "rated_current_a": 10.0,
        "isolated": True,
    }
    wires = [
        wire("w-in", "panel.dc-spare", "dc.input"),
        wire("w-in-back", "dc.negative", "bar.stud-5"),
        wire("w-plotter", "dc.output", "plotter.supply"),
        wire("w-return", "plotter.negative", "dc.output-negative"),
    ]
    steps = loop(boat(parts=[converter], conductors=wires), "plotter", "supply", "starting", None)

    assert [one.element for one in steps] == ["dc", "w-plotter", "plotter", "w-return"]
    assert sum(one.steady_v for one in steps) == pytest.approx(12.0, abs=1e-9)


def test_loop_of_a_shorted_load_ends_where_no_current_comes_from() -> None:
    """Copper across it takes the current; no battery is on its way."""
    short = wire("w-short", "plotter.supply", "plotter.negative")
    steps = loop(boat(conductors=[short]), "plotter", "supply", "starting", None)

    assert "battery" not in [one.element for one in steps]


def test_place_on_an_island_of_its_own_leaves_the_load_without_voltage() -> None:
    """A second battery whose negative is joined to nothing: landing there feeds nothing."""
    other = part("battery", id="other", name="Other battery")
    device = {"kind": "fuse", "id": "other-fuse", "name": "Fuse", "rating_a": 50.0}
    post = {"kind": "post", "id": "other-post", "name": "Other post"}
    wires = [
        wire("w-other", "other.positive", "other-fuse.line"),
        wire("w-post", "other-fuse.load", "other-post.stud"),
    ]
    subject = boat(parts=[other, device, post], conductors=wires)
    found = pick_up(subject, "plotter", "supply", "starting", events_of(subject)[0].id)
    there = next(tap for tap in found.taps if tap.terminal.part == "other-post")

    assert there.lowest is None
    assert there.steady_v is None


def test_lead_with_no_other_place_has_its_present_one_only() -> None:
    """Both returns on the battery's post and nothing else on the negative side: nowhere to go."""
    wires = [
        wire("w-return", "plotter.negative", "battery.negative"),
        wire("w-starter-return", "starter.negative", "battery.negative"),
        conductor("w-shunt", head=None),
    ]
    subject = boat(conductors=wires)
    found = pick_up(subject, "plotter", "negative", "starting", events_of(subject)[0].id)

    assert [tap.present for tap in found.taps] == [True]
    assert found.taps[0].others.restarts_after == found.taps[0].others.restarts_before


def test_move_that_makes_another_load_restart_is_worse() -> None:
    """The starter on the thin feed of the panel drags the plotter down with it."""
    feed = conductor("w-feed", length_m=40.0)
    modest = load("plotter", {"kind": "constant-power", "power_w": 20.0}, input={"minimum_voltage_v": 8.0})
    back = wire("w-return", "plotter.negative", "bar.stud-3")
    subject = boat(parts=[part("battery", internal_resistance_ohm=0.001), modest], conductors=[feed, back])
    found = pick_up(subject, "starter", "supply", "starting", events_of(subject)[0].id)
    panel = next(tap for tap in found.taps if tap.terminal.terminal == "dc-feed")

    assert panel.others.restarts_after > panel.others.restarts_before
    assert panel.mark == "worse"


def test_coil_returns_by_its_own_negative() -> None:
    """A relay's lead of the other pole is that of its coil."""
    relay = next(one for one in boat(parts=[RELAY]).parts if one.id == "relay")

    assert return_terminal(relay, "coil-positive") == "coil-negative"


def test_newton_stops_where_the_matrix_is_singular() -> None:
    """At the tip of the curve, V = E/2, the slope -P/V² is exactly -1/R: no step can be taken from there."""
    network = lamp(e=12.0, ohm=1.0, watts=36.0)
    states = starting_states(network, None)
    g, e = lines(network, states, None)
    pieces = pieces_of(network, g, states, None)
    system = System(network, g, e, grounding(network.pattern, g, pieces.ground))
    running = RunningLoads.of(network, states, None, pieces)
    tip = np.array([0.0, 9.0, 6.0])
    _, converged, starving = newton(system, running, tip)

    assert not converged
    assert not starving.any()


def test_occupied_way_is_no_candidate() -> None:
    """A way takes one lead; the held lead's own way stays its place."""
    extra = wire("w-spare", "panel.dc-spare", "block.stud-2")
    subject = boat(conductors=[extra])
    places = Places(subject)
    found = set(places.candidates(lead(subject, "plotter", "supply", places.landings)))

    assert ("panel", "dc-spare") not in found
    assert ("panel", "dc-plotter") in found

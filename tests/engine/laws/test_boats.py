"""Laws of whole boats: what is answered for a document, not only for a network."""

import json
import random

import networkx as nx
import numpy as np
import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from server.boat.boat import Boat
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import EditError, MoveLead, apply
from server.boat.leads import Lead, leads
from server.boat.value import TerminalRef
from server.engine.analysis import analyse_mode
from server.engine.answer import InputAnswer, TapAnswer
from server.engine.drop import design_current
from server.engine.lead_update import Moves
from server.engine.solution import EventSolution, Solution
from server.engine.taps import pick_up
from server.engine.what_if import moved_voltages
from tests.boat.strategies import boats

MODE, EVENT = "starting", "cold-start"
EXACT = 1e-9
"""Relative: the shortcut against the full solution."""
BAND_V = 1e-6
"""A band's ends; they are worked out from slopes, so they lose some digits where a load nearly collapses."""
UNSHRUNK = (Phase.explicit, Phase.reuse, Phase.generate)
"""A failing boat is shown as drawn: making it smaller takes minutes."""


def movable(boat: Boat) -> list[Lead]:
    """The leads of loads that could be moved, heavy ones too."""
    return [
        held for held in leads(boat) if held.last is not None and held.part.startswith(("load", "starter"))
    ]


def moved(boat: Boat, held: Lead, to: TerminalRef) -> Boat | None:
    """The boat that the very edit makes; None where it refuses, as it does to land where the lead lies."""
    try:
        return apply(boat, MoveLead(part=held.part, terminal=held.terminal, to=to))
    except EditError:
        return None


def answer_of(boat: Boat, part: str) -> InputAnswer:
    return next(one for one in analyse_mode(boat, MODE).loads if one.part == part)


def volts(solved: EventSolution) -> dict[tuple[str, str], float]:
    """The voltage of every input that is on and fed at the first instant; what is dead has none."""
    return {key: float(solved.present.element_v[solved.net.inputs[key]]) for key in solved.inputs}


@settings(max_examples=40, phases=UNSHRUNK)
@given(st.data())
def test_answer_at_a_tap_is_that_of_the_boat_the_move_makes(data: st.DataObject) -> None:
    """Lowest and steady voltage, drop, length and what others suffer: the page's answers, to 1e-9."""
    boat = data.draw(boats(4))
    candidates = movable(boat)
    assume(candidates)
    held = data.draw(st.sampled_from(candidates))

    for tap in pick_up(boat, held.part, held.terminal, MODE, EVENT).taps:
        after = moved(boat, held, tap.terminal)
        if after is None:
            assert tap.present
            continue
        _same_answer(tap, after, held)


def _same_answer(tap: TapAnswer, after: Boat, held: Lead) -> None:
    full = analyse_mode(after, MODE)
    own = next(one for one in full.loads if one.part == held.part)
    event = full.events[0]
    moved_wire = next(one for one in after.conductors if one.id == held.last)
    if tap.lowest is not None and own.events:
        assert tap.lowest.value == pytest.approx(own.events[0].lowest.value, rel=EXACT)
        ends = own.events[0].lowest
        assert tap.lowest.low == pytest.approx(ends.low, abs=BAND_V)
        assert tap.lowest.high == pytest.approx(ends.high, abs=BAND_V)
        assert tap.verdict == own.events[0].verdict
    if tap.steady_v is not None and own.voltage_v is not None:
        assert tap.steady_v == pytest.approx(own.voltage_v, rel=EXACT)
    if tap.drop_v is not None and own.drop is not None:
        assert tap.drop_v == pytest.approx(own.drop.judged_v, rel=EXACT, abs=1e-12)
    assert tap.length_basis == (moved_wire.length_basis or "not stated")
    assert tap.others.restarts_after == sum(
        any(seen.verdict == "restarts" for seen in one.events)
        for one in full.loads
        if one.part != held.part and not one.heavy
    )
    assert event.event == EVENT


@settings(max_examples=60, phases=UNSHRUNK)
@given(st.data())
def test_every_load_stands_where_the_full_solution_puts_it(data: st.DataObject) -> None:
    """The low-rank update against the analysis of the boat that the edit makes, for all loads at once."""
    boat = data.draw(boats(5))
    candidates = movable(boat)
    assume(candidates)
    held = data.draw(st.sampled_from(candidates))
    taps = [tap.terminal for tap in pick_up(boat, held.part, held.terminal, MODE, EVENT).taps]
    solved = Solution.of(boat, MODE).event(EVENT)
    row = solved.net.rows_of[str(held.last)][0]
    afters = [(tap, after) for tap in taps if (after := moved(boat, held, tap)) is not None]
    assume(afters)
    fulls = [Solution.of(after, MODE).event(EVENT) for _, after in afters]
    wire = next(one for one in boat.conductors if one.id == held.last)
    kept = wire.head if held.far == "tail" else wire.tail
    assert kept is not None
    moves = Moves(
        row=np.full(len(afters), row),
        kept=np.full(len(afters), solved.net.node(kept.part, kept.terminal)),
        tap=np.array([solved.net.node(tap.part, tap.terminal) for tap, _ in afters]),
        ohm=np.array([full.net.network.resistors.ohm[row] for full in fulls]),
    )

    quick = moved_voltages(solved.linear, moves, relays_held=True)

    column = {element: at for at, element in enumerate(quick.elements.tolist())}
    for at, full in enumerate(fulls):
        for key, expected in volts(full).items():
            found = quick.voltage_v[at, column[solved.net.inputs[key]]]
            assert found == pytest.approx(expected, rel=EXACT, abs=EXACT)


@settings(max_examples=60, phases=UNSHRUNK)
@given(boats(5))
def test_shares_add_up_to_the_sag(boat: Boat) -> None:
    """Σ shares is the sag of every load to 1e-10 V, and so are its two parts (Tellegen)."""
    for one in analyse_mode(boat, MODE).loads:
        for seen in one.events:
            assert sum(share.share_v for share in seen.shared_path) == pytest.approx(seen.sag_v, abs=1e-10)
            if not np.isnan(seen.transfer_resistance_ohm):  # as it is where the heavy load has no source
                assert seen.heavy_alone_v + seen.others_v == pytest.approx(seen.sag_v, abs=1e-12)


@settings(max_examples=40, phases=UNSHRUNK)
@given(boats(4), st.integers(0, 2**32))
def test_names_and_document_order_carry_no_meaning(boat: Boat, seed: int) -> None:
    """Other ids, parts and conductors in another order: the same figures for the same loads."""
    renamed, new = relabelled(boat, seed)

    before, after = analyse_mode(boat, MODE), analyse_mode(renamed, new[MODE])

    theirs = {(one.part, one.input): one for one in after.loads}
    assert len(theirs) == len(before.loads)
    for one in before.loads:
        other = theirs[new[one.part], one.input]
        assert (one.state, one.on) == (other.state, other.on)
        if one.voltage_v is None or other.voltage_v is None:
            assert one.voltage_v is other.voltage_v
        else:
            assert one.voltage_v == pytest.approx(other.voltage_v, rel=EXACT)
        for seen, again in zip(one.events, other.events, strict=True):
            assert seen.lowest.value == pytest.approx(again.lowest.value, rel=EXACT)
            assert seen.lowest.low == pytest.approx(again.lowest.low, rel=1e-6)
            assert seen.verdict == again.verdict
            shares = {new[share.element.split(".")[0]]: share.share_v for share in seen.shared_path}
            assert shares.keys() == {share.element.split(".")[0] for share in again.shared_path}


REFERENCES = frozenset(
    {"part", "subject", "cable", "conductor", "engine", "mode", "event", "reading", "zone", "island"}
)
LISTS = ("parts", "cables", "conductors", "modes", "events", "zones", "islands", "readings")


def relabelled(boat: Boat, seed: int) -> tuple[Boat, dict[str, str]]:
    """The same boat under other ids and in another order, and the new id of each old one."""
    rng = random.Random(seed)
    tree = json.loads(boat_bytes(boat))
    old = [item["id"] for name in LISTS for item in tree.get(name, [])]
    numbers = rng.sample(range(10**6), len(old))
    new = {name: f"x{number}" for name, number in zip(old, numbers, strict=True)}

    def walk(value: object, key: str) -> object:
        if isinstance(value, dict):
            return {name: walk(inner, name) for name, inner in value.items()}
        if isinstance(value, list):
            return [walk(inner, key) for inner in value]
        return new[value] if key in REFERENCES and isinstance(value, str) else value

    for name in LISTS:
        for item in tree.get(name, []):
            item["id"] = new[item["id"]]
    tree["links"] = [
        link | {"parts": [new[part] for part in link["parts"]]} for link in tree.get("links", [])
    ]
    tree["accepted"] = [
        one | {"subjects": [new.get(subject, subject) for subject in one["subjects"]]}
        for one in tree.get("accepted", [])
    ]
    moved_tree = walk(tree, "")
    assert isinstance(moved_tree, dict)
    rng.shuffle(moved_tree["parts"])
    rng.shuffle(moved_tree["conductors"])
    return read_boat(json.dumps(moved_tree).encode()), new


@settings(max_examples=60, phases=UNSHRUNK)
@given(boats(5))
def test_design_drop_is_the_sum_along_the_way_on_a_tree(boat: Boat) -> None:
    """With one battery and no loop, the unit injection gives design current · Σ R over the way out and back.

    The way is found on the graph: from each of the load's terminals to the battery's post of its polarity.
    """
    mode = "sailing"
    solution = Solution.of(boat, mode)
    net = solution.net
    resistors = net.network.resistors
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    graph.add_nodes_from(range(net.network.nodes))
    for tail, head, ohm in zip(
        resistors.tail.tolist(), resistors.head.tolist(), resistors.ohm.tolist(), strict=True
    ):
        graph.add_edge(tail, head, ohm=ohm)
    assert nx.is_forest(graph)
    posts = net.node("house", "positive"), net.node("house", "negative")
    for one in analyse_mode(boat, mode).loads:
        if one.drop is None or one.state != "fed":
            continue
        part = solution.parts[one.part]
        element = net.inputs[one.part, one.input]
        ends = int(net.network.tail[element]), int(net.network.head[element])
        way = sum(
            graph.edges[a, b, 0]["ohm"]
            for end, post in zip(ends, posts, strict=True)
            for a, b in nx.utils.pairwise(nx.shortest_path(graph, end, post))
        )
        current, _ = design_current(part, one.input, 12.0)

        assert one.drop.from_battery_v == pytest.approx(current * way, rel=EXACT)

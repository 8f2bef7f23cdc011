"""A ranked place is no hazard: every first place is tried with the very move, and judged by the checks.

The rules judged here: ABYC E-11 (2008) 11.10.1 (device above the conductor, protection near the source) by
way of the rules table; engine metal as a return, counting by the shunt: common practice, no source.
"""

import random
from dataclasses import replace
from itertools import pairwise

import networkx as nx
import pytest

from server.actions.choices import Chosen
from server.actions.pick_ups import kept_pick_up
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.edits import MoveLead, apply
from server.boat.leads import leads
from server.boat.terminals import terminals
from server.bundled import bundled
from server.checks.feeds import Between, Device, capacity, feeding
from server.checks.ground import Ground
from server.checks.hand import ENGINE_ROLES
from server.checks.judge import wiring_findings
from server.checks.own_devices import lost_by_change, lost_device
from server.engine.answer import ModeAnswer, PickUp, TapAnswer

BOATS = ("1-sloop", "2-trawler", "3-workboat", "4-outboard")
EVENTS = {
    "1-sloop": Chosen("starting", "engine-start"),
    "2-trawler": Chosen("anchoring", "windlass-break-out"),
    "3-workboat": Chosen("starting", "star-start"),
    "4-outboard": Chosen("starting", "outboard-start"),
}
ALL = Results()
"""Every boat is read and every lead picked up once for all tests of this file."""


def boat(name: str) -> Boat:
    return ALL.boats.get(name, lambda: read_boat((bundled("seed_boats") / f"{name}.json").read_bytes()))


def held(name: str, part: str, terminal: str) -> PickUp:
    return kept_pick_up(ALL, name, boat(name), part, terminal, EVENTS[name])


def place(picked: PickUp, words: str) -> TapAnswer:
    return next(tap for tap in picked.taps if tap.place == words)


def unsolved(mode: str) -> ModeAnswer:
    """An answer without any numbers: findings of the wiring ask only for its mode."""
    return ModeAnswer(mode, (), (), (), frozenset(), (), (), ())


@pytest.mark.parametrize("name", BOATS)
def test_no_first_place_adds_a_danger_or_a_fault(name: str) -> None:
    found, answer = boat(name), unsolved(EVENTS[name].mode)
    known = {one.id for one in wiring_findings(found, answer)}
    tried = 0
    for one in leads(found):
        first = (
            next((tap for tap in held(name, one.part, one.terminal).taps if tap.rank == 1), None)
            if (one.last is not None)
            else None
        )
        if first is None:
            continue
        move = MoveLead(part=one.part, terminal=one.terminal, to=first.terminal)
        added = [
            finding.message
            for finding in wiring_findings(apply(found, move), answer)
            if finding.id not in known and finding.severity in {"danger", "fault"}
        ]
        assert added == [], f"{one.part} {one.terminal} to {first.place}"
        tried += 1

    assert tried >= len(terminals(found.parts[0]))


@pytest.mark.parametrize(
    ("name", "part", "terminal", "words", "broken"),
    [
        ("1-sloop", "starter", "motor", "Always-live block, Spare, 15 A", "device-too-small"),
        ("1-sloop", "starter", "motor", "Start battery fuse, line", "unprotected"),
        ("4-outboard", "outboard", "positive", "Battery fuse, line", "unprotected"),
        ("4-outboard", "outboard", "positive", "Battery fuse, line", "always-live"),
        ("2-trawler", "ais", "supply", "Start positive bus", "device-too-large"),
        ("1-sloop", "autopilot", "supply", "Main panel fuse, line", "device-too-large"),
        ("1-sloop", "heater", "negative", "Engine", "engine-return"),
        ("2-trawler", "ais", "negative", "Engine", "engine-return"),
        ("1-sloop", "starter", "negative", "Battery monitor shunt, battery", "uncounted"),
        ("2-trawler", "windlass", "negative", "Battery monitor shunt, battery", "uncounted"),
    ],
)
def test_a_hazard_is_barred(name: str, part: str, terminal: str, words: str, broken: str) -> None:
    """Places that a yard electrician would refuse, read off the boats' drawings."""
    barred = place(held(name, part, terminal), words)

    assert broken in barred.breaks
    assert (barred.rank, barred.mark) == (None, "breaks")


def test_no_lead_but_an_engines_is_ranked_on_an_engine() -> None:
    for name in BOATS:
        parts = {part.id: part for part in boat(name).parts}
        for one in leads(boat(name)):
            if one.last is None or one.polarity == "positive":
                continue
            part = parts[one.part]
            of_engine = getattr(part, "role", None) in ENGINE_ROLES or part.kind in {"alternator", "outboard"}
            for tap in held(name, one.part, one.terminal).taps:
                if parts[tap.terminal.part].kind == "engine-block" and not of_engine:
                    assert tap.rank is None, f"{one.part} on {tap.place}"


def test_a_way_that_fits_clears_the_heaters_danger_without_better_volts() -> None:
    """300 A stands before 14 AWG as found; the 15 A way is allowed before it."""
    way = held("1-sloop", "heater", "supply").taps[0]

    assert (way.place, way.rank, way.mark) == ("Always-live block, Spare, 15 A", 1, "clears")


def test_fused_is_said_only_of_a_device_that_the_conductor_allows() -> None:
    assert not place(held("1-sloop", "heater", "supply"), "House positive bus").protected
    assert place(held("1-sloop", "heater", "supply"), "Always-live block, Spare, 15 A").protected


def test_a_larger_device_before_a_wire_without_known_ampacity_is_told_and_not_ranked() -> None:
    """The metric ampacity table is not shipped, so nothing tells whether 100 A fits the radar's wire."""
    bar = place(held("3-workboat", "radar", "supply"), "Wheelhouse panel, feed of 24 V section")

    assert (bar.breaks, bar.device_judged, bar.rank) == ((), False, None)


FEED = "Wheelhouse panel, feed of Wheelhouse section"


def test_a_place_without_the_leads_own_breaker_says_so_and_has_no_rank() -> None:
    """The trawler's radar has a 15 A way; 70 A stands before that panel (read off the boat's drawing).

    That a way's breaker protects its appliance besides its wire is common practice, no source.
    """
    feed = place(held("2-trawler", "radar", "supply"), FEED)

    assert (feed.loses, feed.device_a, feed.breaks, feed.rank) == ("15 A breaker", 70.0, (), None)


@pytest.mark.parametrize("name", BOATS)
def test_no_ranked_place_takes_a_leads_own_device(name: str) -> None:
    for one in leads(boat(name)):
        if one.last is not None:
            taps = held(name, one.part, one.terminal).taps
            assert all(tap.rank is None for tap in taps if tap.loses), f"{one.part} {one.terminal}"


def test_the_way_itself_and_a_negative_have_nothing_to_lose() -> None:
    present = held("2-trawler", "radar", "supply").present

    assert present is not None
    assert not present.loses
    assert all(not tap.loses for tap in held("2-trawler", "radar", "negative").taps)


def test_a_lead_put_down_without_its_breaker_is_told_once() -> None:
    before = boat("2-trawler")
    feed = place(held("2-trawler", "radar", "supply"), FEED).terminal
    after = apply(before, MoveLead(part="radar", terminal="supply", to=feed))

    assert list(lost_by_change(before, after)) == [
        "The radar loses its 15 A breaker: 70 A stands before its positive lead now. See that it may."
    ]
    assert list(lost_by_change(before, before)) == []
    assert list(lost_by_change(after, before)) == []
    assert list(lost_by_change(before.model_copy(update={"modes": ()}), after)) == []


def test_a_way_of_unknown_rating_is_lost_on_any_place_but_another_way() -> None:
    ground = Ground(boat("2-trawler"), boat("2-trawler").modes[0])
    way = next(one for one in ground.devices if one.is_breaker and one.load[0] == "wheelhouse-panel")
    unrated, other = replace(way, rating_a=None), next(one for one in ground.devices if one != way)

    assert lost_device(unrated, ground, other.line) == "breaker"
    assert lost_device(unrated, ground, other.load) == ""
    assert lost_device(unrated, ground, way.load) == ""
    assert lost_device(None, ground, other.line) == ""


def test_a_bank_without_a_monitor_is_told() -> None:
    starting = place(held("2-trawler", "ais", "supply"), "Start positive bus")
    house = place(held("2-trawler", "ais", "supply"), "House positive bus")

    assert (starting.bank_monitored, house.bank_monitored) == (False, True)


def joins(seed: int) -> list[Between]:
    """A random web of devices between twelve pieces; piece 0 is a source."""
    rng = random.Random(seed)
    found = []
    for number in range(rng.randint(4, 18)):
        a, b = rng.sample(range(12), 2)
        rating = rng.choice([5.0, 10.0, 15.0, 30.0, 100.0])
        found.append((Device(f"D{number}", ("l", str(a)), ("o", str(b)), rating), a, b))
    return found


@pytest.mark.parametrize("seed", range(30))
def test_what_feeds_a_piece_agrees_with_taking_the_piece_out(seed: int) -> None:
    """Against networkx: a device feeds a piece if its other end reaches a source with the piece taken out."""
    web = joins(seed)
    graph: nx.Graph[int] = nx.Graph((a, b) for _, a, b in web)
    graph.add_node(0)
    expected: dict[int, float] = {}
    for device, a, b in web:
        for here, beyond in ((a, b), (b, a)):
            if here == 0:
                continue
            rest = graph.copy()
            rest.remove_node(here)
            if nx.has_path(rest, beyond, 0):
                expected[here] = max(expected.get(here, 0.0), device.rating_a or 0.0)

    assert {here: device.rating_a for here, device in feeding(web, {0}).items()} == expected


@pytest.mark.parametrize("seed", range(30))
def test_capacity_is_that_of_the_widest_way(seed: int) -> None:
    """Against networkx: the widest way is the one in a maximum spanning tree."""
    web = joins(seed)
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    graph.add_node(0)
    graph.add_edges_from((a, b, {"weight": device.rating_a}) for device, a, b in web)
    tree = nx.maximum_spanning_tree(graph)
    found = capacity(web, {0})
    for here in nx.node_connected_component(graph, 0) - {0}:
        way = nx.shortest_path(tree, 0, here)
        least = min(max(data["weight"] for data in tree[a][b].values()) for a, b in pairwise(way))
        assert found[here] == least

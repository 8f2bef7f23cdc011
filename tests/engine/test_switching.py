"""Switch combinations and turns: common practice on a selector, and brute force on small random systems."""

import math
import random
from collections.abc import Sequence
from itertools import product

import networkx as nx
import pytest

from server.boat.boat import Boat
from server.boat.modes import Mode, PositionSetting, Running
from server.boat.parts import Battery, Contact, Load
from server.boat.presets import emergency_parallel, on_off, relay, selector
from server.engine.operating_point import operating_point
from server.engine.solution import Solution
from server.engine.switching import MOST_COMBINATIONS, Switching, TooManySwitchesError
from tests.engine.boats import Json, load, wire

PLUGGED = Mode(id="any", name="Any")
RUNNING = frozenset({"alternator"})


def battery(name: str, bank: str) -> Json:
    return {
        "kind": "battery", "id": name, "name": name, "chemistry": "flooded", "nominal_voltage_v": 12.0,
        "internal_resistance_ohm": 0.005, "bank": bank,
    }  # fmt: skip


def alternator() -> Json:
    return {"kind": "alternator", "id": "alternator", "name": "Alternator", "rated_current_a": 60.0}


def selector_boat(
    order: str | None = "make-before-break",
    alternator_at: str = "choose.common",
    parts: Sequence[Json] = (),
    conductors: Sequence[Json] = (),
) -> Boat:
    """Two banks on a selector; the radio and, as on many old boats, the alternator at its common."""
    dial = selector("choose", "Selector").model_copy(update={"order": order}).model_dump(exclude_none=True)
    bus = {"kind": "busbar", "id": "minus", "name": "Negative bus", "studs": 6}
    radio = load("radio", {"kind": "constant-current", "current_a": 1.0})
    joined = [
        wire("a", "one.positive", "choose.battery-1"),
        wire("b", "two.positive", "choose.battery-2"),
        wire("c", "one.negative", "minus.stud-1"),
        wire("d", "two.negative", "minus.stud-2"),
        wire("e", "alternator.positive", alternator_at),
        wire("f", "alternator.negative", "minus.stud-3"),
        wire("g", "radio.supply", "choose.common"),
        wire("h", "radio.negative", "minus.stud-4"),
    ]
    return boat_of(
        [battery("one", "1"), battery("two", "2"), alternator(), dial, bus, radio, *parts],
        [*joined, *conductors],
    )


def boat_of(parts: Sequence[Json], conductors: Sequence[Json]) -> Boat:
    body = {"format": "tapchart.boat", "version": 1, "name": "Switches", "nominal_voltage_v": 12.0}
    things = {"parts": parts, "conductors": conductors, "modes": [{"id": "any", "name": "Any"}]}
    return Boat.model_validate(body | things, strict=False)


def test_a_selector_keeps_the_alternator_on_a_battery_by_way_of_both_and_never_by_way_of_off() -> None:
    """Common practice, no source."""
    switching = Switching.of(selector_boat(), PLUGGED)

    way = switching.safe_way(("one",), ("two",), RUNNING)

    assert way is not None
    assert [turn.after for turn in way] == [("both",), ("two",)]
    assert not any(turn.lone for turn in way)
    assert switching.state(("off",)).lone == RUNNING
    assert switching.safe_way(("one",), ("off",), RUNNING) is None
    assert [turn.after for turn in switching.safe_way(("one",), ("off",), frozenset()) or ()] == [("off",)]


def test_on_the_way_by_both_the_alternators_post_never_falls_below_what_a_battery_holds_it_at() -> None:
    """Common practice, no source: by way of BOTH the lowest is about 12.4 V; at OFF nothing holds it.

    Bank 1 rests at 12.7 V, bank 2 at 12.45 V; the alternator stands, and the radio takes 1 A.
    """
    plain = selector_boat()
    rest = {"one": 12.7, "two": 12.45}
    parts = tuple(
        part.model_copy(update={"rest_voltage_v": rest[part.id]}) if isinstance(part, Battery) else part
        for part in plain.parts
    )
    boat = plain.model_copy(update={"parts": parts})

    volts = {position: at_the_alternator(boat, position) for position in ("one", "both", "two", "off")}

    assert math.isnan(volts.pop("off"))
    assert min(volts.values()) == pytest.approx(12.4, abs=0.05)
    assert volts["one"] > volts["both"] > volts["two"]


def at_the_alternator(boat: Boat, position: str) -> float:
    """The voltage at the alternator's own post with the selector somewhere; nan where nothing holds it."""
    settings = (PositionSetting(part="choose", position=position),)
    mode = Mode(id="any", name="Any", positions=settings, on=(Running(part="radio"),))
    net = Solution(boat, mode).net
    point = operating_point(net.network, net.off)
    return float(
        point.node_v[net.nodes["alternator", "positive"]] - point.node_v[net.nodes["minus", "stud-1"]]
    )


def test_one_that_breaks_first_takes_the_battery_off_between_its_positions() -> None:
    """From 1 to BOTH both join battery 1, so nothing opens; a selector without BOTH in between would."""
    plain = selector_boat("break-before-make")
    parts = tuple(
        part.model_copy(update={"positions": tuple(p for p in part.positions if p.id in ("one", "two"))})
        if isinstance(part, Contact)
        else part
        for part in plain.parts
    )
    changeover = Switching.of(plain.model_copy(update={"parts": parts}), PLUGGED)

    (turn,) = changeover.turns(("one",))

    assert (turn.after, turn.lone, turn.certain) == (("two",), RUNNING, True)
    assert changeover.safe_way(("one",), ("two",), RUNNING) is None
    assert not any(one.lone for one in Switching.of(plain, PLUGGED).turns(("both",)))


def test_of_a_switch_of_unknown_order_the_turn_is_possible_but_not_certain() -> None:
    turns = {turn.after: turn for turn in Switching.of(selector_boat(None), PLUGGED).turns(("one",))}

    assert not turns["both",].certain
    assert turns["both",].lone == frozenset()


def test_an_alternator_straight_on_a_bank_is_never_alone() -> None:
    switching = Switching.of(selector_boat(alternator_at="one.positive"), PLUGGED)

    assert {state.lone for state in switching.states.values()} == {frozenset()}


def test_a_way_to_where_the_switches_stand_already_has_no_turns() -> None:
    assert Switching.of(selector_boat(), PLUGGED).safe_way(("one",), ("one",), RUNNING) == ()


def test_what_is_alive_and_which_batteries_stand_side_by_side() -> None:
    states = Switching.of(selector_boat(), PLUGGED).states

    assert {positions[0]: bool(state.alive) for positions, state in states.items()} == {
        "off": False, "one": True, "both": True, "two": True,
    }  # fmt: skip
    assert states["both",].side_by_side == {frozenset({"one", "two"})}
    assert states["one",].side_by_side == {frozenset({"one"}), frozenset({"two"})}


def test_a_string_in_series_is_one_of_the_group_that_stands_between_its_ends() -> None:
    """Two 6 V batteries in series, and one of 12 V that the selector joins; a shorted one is in no group."""
    halves = [battery("upper", "1"), battery("lower", "1"), battery("short", "3")]
    joined = [
        wire("i", "upper.positive", "choose.battery-2"),
        wire("j", "upper.negative", "lower.positive"),
        wire("k", "lower.negative", "minus.stud-5"),
        wire("l", "short.negative", "minus.stud-6"),
        wire("m", "short.positive", "minus.stud-6"),
    ]
    states = Switching.of(selector_boat(parts=halves, conductors=joined), PLUGGED).states

    assert states["one",].side_by_side == {frozenset({"one"}), frozenset({"upper", "lower", "two"})}
    assert states["both",].side_by_side == {frozenset({"one", "upper", "lower", "two"})}


def test_a_switch_in_a_loads_own_lead_does_not_decide_whether_the_load_stays_alive() -> None:
    """A float that hangs down leaves the pump fed; a battery switch in the same place does decide."""
    for is_battery_switch, fed in ((False, {("pump", "supply")}), (True, set())):
        float_switch = on_off("float", "Float", is_battery_switch=is_battery_switch)
        pump = load("pump", {"kind": "constant-current", "current_a": 4.0})
        joined = [
            wire("i", "one.positive", "float.in"),
            wire("j", "float.out", "pump.supply"),
            wire("k", "pump.negative", "minus.stud-5"),
        ]
        parts = [float_switch.model_dump(exclude_none=True) | {"normal": "off"}, pump]
        switching = Switching.of(selector_boat(parts=parts, conductors=joined), PLUGGED)

        assert switching.state(switching.all_off).alive == fed


def test_what_hangs_on_a_converter_is_fed_by_what_feeds_the_converter() -> None:
    """A converter behind a converter, and a third that charges bank 2, which feeds its own loads itself."""
    converters = [
        {"kind": "converter", "id": name, "name": name, "output_v": 12.0, "rated_current_a": 20.0, **more}
        for name, more in (("first", {}), ("second", {"isolated": True}), ("charges", {}))
    ]
    lamp = load("lamp", {"kind": "constant-current", "current_a": 1.0})
    joined = [
        wire("i", "choose.common", "first.input"),
        wire("j", "first.negative", "minus.stud-5"),
        wire("k", "first.output", "second.input"),
        wire("l", "second.negative", "minus.stud-5"),
        wire("m", "second.output", "lamp.supply"),
        wire("n", "second.output-negative", "lamp.negative"),
        wire("o", "charges.input", "one.positive"),
        wire("p", "charges.output", "two.positive"),
        wire("q", "charges.negative", "minus.stud-6"),
    ]
    states = Switching.of(selector_boat(parts=[*converters, lamp], conductors=joined), PLUGGED).states

    assert states["one",].fed["lamp", "supply"] == {"one"}
    assert states["two",].fed == {("lamp", "supply"): {"two"}, ("radio", "supply"): {"two"}}
    assert states["off",].fed == {}


def test_a_pack_that_opens_takes_the_battery_off_what_charges_it_alone() -> None:
    switching = Switching.of(selector_boat(), PLUGGED)

    assert switching.lone_without("one") == RUNNING
    assert switching.lone_without("two") == frozenset()


def test_no_safe_way_joins_lithium_and_lead_that_were_apart() -> None:
    """Common practice, no source: from 1 to 2 BOTH would join them, so the engine has to be stopped."""
    boat = selector_boat()
    parts = tuple(
        part.model_copy(update={"chemistry": "lifepo4"}) if part.id == "two" else part for part in boat.parts
    )
    switching = Switching.of(boat.model_copy(update={"parts": parts}), PLUGGED)

    assert switching.mixes(("both",)) == {frozenset({"one", "two"})}
    assert switching.safe_way(("one",), ("two",), RUNNING) is None
    assert switching.safe_way(("one",), ("both",), frozenset()) is None
    stopped = switching.safe_way(("one",), ("two",), frozenset())
    assert stopped is not None
    assert [turn.after for turn in stopped] == [("off",), ("two",)]
    assert switching.safe_way(("both",), ("two",), frozenset()) is not None


def test_the_mode_sets_where_the_switches_stand_now() -> None:
    mode = Mode.model_validate(
        {"id": "any", "name": "Any", "positions": [{"part": "choose", "position": "two"}]}, strict=False
    )

    assert Switching.of(selector_boat(), mode).now == ("two",)
    assert Switching.of(selector_boat(), PLUGGED).now == ("one",)
    assert Switching.of(selector_boat(), PLUGGED).all_off == ("off",)


def test_an_isolator_is_a_way_to_a_battery_for_a_source_but_keeps_no_load_alive() -> None:
    isolator = {"kind": "isolator", "id": "isolator", "name": "Isolator", "outputs": 2}
    joined = [wire("i", "isolator.output-1", "choose.common"), wire("j", "isolator.output-2", "two.positive")]
    boat = selector_boat(alternator_at="isolator.input", parts=[isolator], conductors=joined)
    switching = Switching.of(boat, PLUGGED)

    assert switching.state(("off",)).lone == frozenset()
    assert switching.state(("off",)).alive == frozenset()


def test_a_relay_that_the_mode_holds_closed_keeps_nothing_alive_with_the_switches_off() -> None:
    relay_part = {"kind": "combiner", "id": "joiner", "name": "Joiner"}
    joined = [wire("i", "joiner.a", "one.positive"), wire("j", "joiner.b", "choose.common")]
    mode = Mode(id="any", name="Any", positions=(PositionSetting(part="joiner", position="closed"),))
    switching = Switching.of(selector_boat(parts=[relay_part], conductors=joined), mode)

    assert switching.state(("off",)).alive == frozenset()
    assert switching.state(("off",)).lone == frozenset()


def test_a_charger_is_alone_where_one_of_its_outputs_is() -> None:
    motor = {"kind": "motor", "running_current_a": 50.0}
    parts = [
        {"kind": "charger", "id": "charger", "name": "Charger", "outputs": 2, "rated_current_a": 20.0},
        {"kind": "solar", "id": "sun", "name": "Sun", "rated_current_a": 5.0},
        {"kind": "outboard", "id": "ob", "name": "Outboard", "charging_a": 10.0, "starter": motor},
    ]
    conductors = [
        wire("k", "charger.output-1", "one.positive"),
        wire("l", "charger.output-2", "choose.common"),
        wire("m", "charger.negative", "minus.stud-5"),
        wire("n", "sun.positive", "one.positive"),
        wire("o", "sun.negative", "minus.stud-5"),
        wire("p", "ob.positive", "choose.common"),
        wire("q", "ob.negative", "minus.stud-5"),
    ]
    switching = Switching.of(selector_boat(parts=parts, conductors=conductors), PLUGGED)

    assert switching.state(("off",)).lone == {"alternator", "charger", "ob"}
    assert switching.state(("one",)).lone == frozenset()


def test_more_combinations_than_anyone_goes_through_are_refused() -> None:
    many = [on_off(f"s{n}", f"Switch {n}", is_battery_switch=True) for n in range(15)]
    boat = selector_boat(parts=[one.model_dump(exclude_none=True) for one in many])
    count = 4 * 2**15

    with pytest.raises(TooManySwitchesError, match=f"16 battery switches have {count} combinations"):
        Switching.of(boat, PLUGGED)
    assert count > MOST_COMBINATIONS


def test_coils_are_not_among_what_is_alive() -> None:
    coil = {"kind": "coil", "current_a": 1.0, "rated_voltage_v": 12.0}
    solenoid = relay("solenoid", "Solenoid").model_dump(exclude_none=True) | {"coil": coil}
    fed = [
        wire("i", "solenoid.coil-positive", "choose.common"),
        wire("j", "solenoid.coil-negative", "minus.stud-5"),
    ]
    switching = Switching.of(selector_boat(parts=[solenoid], conductors=fed), PLUGGED)

    assert switching.state(("one",)).alive == {("radio", "supply")}


def test_switches_beside_each_other_keep_alive_what_either_feeds() -> None:
    second = on_off("second", "Second", is_battery_switch=True).model_dump(exclude_none=True)
    third = on_off("third", "Third", is_battery_switch=True).model_dump(exclude_none=True)
    ways = [
        wire(f"{name}-{side}", f"{name}.{side}", end)
        for name in ("second", "third")
        for side, end in (("in", "one.positive"), ("out", "choose.common"))
    ]
    states = Switching.of(selector_boat(parts=[second, third], conductors=ways), PLUGGED).states

    dead = {positions for positions, state in states.items() if not state.alive}

    assert dead == {("off", "off", "off")}


def random_boat(seed: int) -> Boat:
    """Batteries, bars, loads and battery switches joined at random."""
    dice = random.Random(seed)
    bars = [{"kind": "busbar", "id": f"bar{n}", "name": f"Bar {n}", "studs": 20} for n in range(4)]
    banks = [battery(f"bank{n}", str(n)) for n in range(3)]
    loads = [load(f"load{n}", {"kind": "constant-current", "current_a": 1.0}) for n in range(5)]
    switches = [
        selector("s0", "S0"),
        on_off("s1", "S1", is_battery_switch=True),
        emergency_parallel("s2", "S2", is_battery_switch=True),
        on_off("s3", "S3", is_battery_switch=True),
    ]
    ends = [f"{part}.{pole}" for part in ("bank0", "bank1", "bank2") for pole in ("positive", "negative")]
    ends += ["alternator.positive", "alternator.negative"]
    ends += [f"load{n}.{pole}" for n in range(5) for pole in ("supply", "negative")]
    ends += [f"{switch.id}.{terminal}" for switch in switches for terminal in switch.terminals]
    conductors = [wire(f"w{n}", end, f"bar{dice.randrange(4)}.stud-1") for n, end in enumerate(ends)]
    dials = [switch.model_dump(exclude_none=True) for switch in switches]
    return boat_of([*bars, *banks, *loads, alternator(), *dials], conductors)


def graph_of(boat: Boat, chosen: dict[str, str]) -> "nx.Graph[tuple[str, str]]":
    """All copper of a boat with its switches as chosen, drawn terminal by terminal."""
    graph: nx.Graph[tuple[str, str]] = nx.Graph()
    for part in boat.parts:
        if isinstance(part, Contact):
            graph.add_nodes_from((part.id, terminal) for terminal in part.terminals)
            position = next(one for one in part.positions if one.id == chosen[part.id])
            graph.add_edges_from(((part.id, a), (part.id, b)) for a, b in position.closed)
    for one in boat.conductors:
        assert one.tail is not None
        assert one.head is not None
        graph.add_edge((one.tail.part, one.tail.terminal), (one.head.part, one.head.terminal))
    return graph


@pytest.mark.parametrize("seed", range(25))
def test_every_combination_agrees_with_brute_force(seed: int) -> None:
    boat = random_boat(seed)
    switching = Switching.of(boat, PLUGGED)
    batteries = [part.id for part in boat.parts if isinstance(part, Battery)]
    dials = [[one.id for one in switch.positions] for switch in switching.switches]

    for positions in product(*dials):
        chosen = {switch.id: position for switch, position in zip(switching.switches, positions, strict=True)}
        copper = graph_of(boat, chosen)
        whole = copper.copy()
        whole.add_edges_from(((name, "positive"), (name, "negative")) for name in batteries)
        alive = {
            (part.id, "supply")
            for part in boat.parts
            if isinstance(part, Load)
            and nx.has_path(whole, (part.id, "supply"), (part.id, "negative"))
            and not nx.has_path(copper, (part.id, "supply"), (part.id, "negative"))
        }
        posts = ("alternator", "positive"), ("alternator", "negative")
        charges = nx.has_path(whole, *posts) and not nx.has_path(copper, *posts)
        state = switching.state(positions)
        assert state.alive == alive
        assert state.lone == (frozenset() if charges else RUNNING)
        assert state.side_by_side == grouped(copper, batteries)


def grouped(copper: "nx.Graph[tuple[str, str]]", batteries: list[str]) -> set[frozenset[str]]:
    """Batteries by the ends of their strings, in a graph whose edges run from positive to negative copper."""
    piece = {node: n for n, some in enumerate(nx.connected_components(copper)) for node in some}
    ends = {name: (piece[name, "positive"], piece[name, "negative"]) for name in batteries}
    strings: nx.DiGraph[int] = nx.DiGraph([pair for pair in ends.values() if pair[0] != pair[1]])
    groups: dict[tuple[frozenset[int], frozenset[int]], set[str]] = {}
    for name, (plus, minus) in ends.items():
        if plus != minus:
            tops = {n for n in nx.ancestors(strings, plus) | {plus} if strings.in_degree(n) == 0}
            bottoms = {n for n in nx.descendants(strings, minus) | {minus} if strings.out_degree(n) == 0}
            groups.setdefault((frozenset(tops), frozenset(bottoms)), set()).add(name)
    return set(map(frozenset, groups.values()))


@pytest.mark.parametrize("seed", range(25))
def test_a_safe_way_is_one_and_there_is_none_shorter(seed: int) -> None:
    """Brute force: of all orders of so many turns or fewer, none shorter is safe; the way itself is."""
    switching = Switching.of(random_boat(seed), PLUGGED)
    dice = random.Random(seed)
    every = list(switching.states)
    start, goal = dice.choice(every), dice.choice(every)

    way = switching.safe_way(start, goal, RUNNING)

    reached = {start}
    for _ in range(len(way) if way is not None else len(every)):
        assert way is None or goal not in reached or start == goal
        reached |= {
            turn.after
            for here in reached
            for turn in switching.turns(here)
            if not (turn.lone | switching.state(turn.after).lone) & RUNNING
        }
    assert (way is not None) == (goal in reached)
    assert way is None or [start, *(turn.after for turn in way)][-1] == goal
    assert all(not (turn.lone | switching.state(turn.after).lone) & RUNNING for turn in way or ())

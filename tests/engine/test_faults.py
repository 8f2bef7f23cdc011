"""Fault currents against closed forms."""

import math

import pytest

from server.boat.boat import Boat
from server.boat.modes import Mode, Running
from server.engine.faults import (
    End,
    FaultNetwork,
    conditions_of,
    highest_fault_a,
    lowest_fault_a,
    most_joined,
)
from server.practice.materials import temperature_ratio
from tests.engine.boats import boat, part, wire

FUSE_OHM = 0.06 / 200
"""Lowest drop assumed at its rating over the rating."""
SWITCH_OHM = 0.0002
LUG_LOW, LUG_HIGH = 0.00002, 0.0001
WIRE_20_C = 2.0 * 1.91e-3


def mode_of(one: Boat, name: str) -> Mode:
    return next(mode for mode in one.modes if mode.id == name)


def first(one: Boat) -> Mode:
    return one.modes[0]


def at_post(one: Boat) -> float:
    return highest_fault_a(one, first(one))["battery", "positive"]


def test_a_short_across_the_posts_is_rest_voltage_over_inner_resistance() -> None:
    """E / R at full charge, warm: 0.005 Ω given holds at 25 °C and falls by 1.2 % a kelvin up to 35 °C."""
    warm_ohm = 0.005 * math.exp(-0.012 * 10)
    net = FaultNetwork(boat(), first(boat()), "highest").net

    assert at_post(boat()) == pytest.approx(net.network.sources.emf_v[0] / warm_ohm, rel=1e-9)
    assert net.network.sources.emf_v[0] == pytest.approx(12.8, abs=0.15)


def test_a_makers_short_circuit_figure_goes_before_everything() -> None:
    one = boat(parts=[part("battery", short_circuit_a=3000.0)])

    assert at_post(one) == pytest.approx(3000.0, rel=1e-9)


def test_two_equal_batteries_side_by_side_give_twice_the_current() -> None:
    """Two 3,000 A batteries, the second by cables of no resistance to speak of."""
    second = part("battery", id="second", name="Second", short_circuit_a=3000.0)
    joined = {"measured_resistance_ohm": 1e-5}
    one = boat(
        parts=[part("battery", short_circuit_a=3000.0), second],
        conductors=[
            wire("j-pos", "battery.positive", "second.positive", **joined),
            wire("j-neg", "battery.negative", "second.negative", **joined),
        ],
    )

    assert at_post(one) == pytest.approx(6000.0, rel=0.005)


def test_the_highest_falls_with_every_element_on_the_way_out_and_none_on_the_way_back() -> None:
    """Behind 2 m of cold 10 mm² with two good lugs, then the fuse: V over the sum of what lies on the way."""
    one = boat(parts=[part("battery", short_circuit_a=3000.0)])
    found = highest_fault_a(one, first(one))
    volts = FaultNetwork(one, first(one), "highest").net.network.sources.emf_v[0]
    line = volts / (volts / 3000.0 + WIRE_20_C + 2 * LUG_LOW)

    assert found["fuse", "line"] == pytest.approx(line, rel=1e-9)
    assert found["fuse", "load"] == pytest.approx(1 / (1 / line + FUSE_OHM / volts), rel=1e-9)


def test_nothing_flows_where_no_battery_reaches() -> None:
    one = boat(parts=[part("switch", normal="off")])
    mode = first(one).model_copy(update={"positions": ()})

    assert highest_fault_a(one, mode)["switch", "out"] == 0.0
    assert set(lowest_fault_a(one, mode).values()) == {0.0}


def test_the_lowest_is_hot_poor_old_and_half_flat_and_pays_for_its_way_back() -> None:
    """Every element of the plotter's loop at its worse end, by hand: out and back."""
    one = boat()
    faults = FaultNetwork(one, first(one), "lowest")
    network, net = faults.net.network, faults.net
    key, row = next((key, row) for key, row in net.inputs.items() if key[0] == "plotter")
    seen = faults.thevenin(network.tail[[row]], network.head[[row]])
    ohm, volts = (float(one[0]) for one in seen)

    assert lowest_fault_a(one, first(one))[key] == pytest.approx(volts / ohm)
    assert volts == pytest.approx(network.sources.emf_v[0])
    assert conditions_of("lowest").state_of_charge == 0.5
    wires = [label for label in net.labels if label.kind == "wire"]
    hot = temperature_ratio(90.0) * WIRE_20_C
    assert hot > 1.27 * WIRE_20_C
    assert max(1 / faults.conductance[: len(wires)]) >= hot + 2 * LUG_LOW


def test_a_source_at_its_limit_adds_to_the_highest_only() -> None:
    alternator = {
        "kind": "alternator",
        "id": "alternator",
        "name": "Alternator",
        "rated_current_a": 80.0,
    }
    one = boat(
        parts=[part("battery", short_circuit_a=3000.0), alternator],
        conductors=[
            wire("alt-pos", "alternator.positive", "battery.positive"),
            wire("alt-neg", "alternator.negative", "battery.negative"),
        ],
    )
    still = first(one)
    running = still.model_copy(update={"on": (*still.on, Running(part="alternator"))})

    added = highest_fault_a(one, running)["battery", "positive"] - at_post(one)
    lowest = lowest_fault_a(one, running)

    assert added == pytest.approx(80.0, rel=1e-6)
    assert lowest == lowest_fault_a(one, still)


def test_a_battery_that_stands_alone_is_a_piece_of_its_own() -> None:
    spare = part("battery", id="spare", name="Spare", short_circuit_a=1000.0)
    one = boat(parts=[part("battery", short_circuit_a=3000.0), spare])

    found = highest_fault_a(one, first(one))

    assert found["spare", "positive"] == pytest.approx(1000.0)
    assert found["battery", "positive"] == pytest.approx(3000.0)


def test_a_battery_of_known_capacity_alone_is_taken_at_the_ends_of_its_band() -> None:
    """AGM of 100 Ah: 0.16 to 0.60 Ω·Ah over the capacity, before warmth and age (rows of the assumptions)."""
    plain = {key: value for key, value in part("battery").items() if key != "internal_resistance_ohm"}
    one = boat(parts=[{**plain, "capacity_ah": 100.0}])

    def own_ohm(end: End) -> float:
        faults = FaultNetwork(one, first(one), end)
        return float(1 / faults.conductance[faults.net.network.spans["sources"]][0])

    assert own_ohm("highest") == pytest.approx(0.0016 * math.exp(-0.012 * 10), rel=1e-6)
    assert own_ohm("lowest") == pytest.approx(0.0060 * math.exp(0.012 * 25) * 2, rel=1e-6)


def test_everything_joined_closes_every_switch_and_relay_and_turns_every_source_on() -> None:
    relay = {"kind": "combiner", "id": "relay", "name": "Relay"}
    solar = {"kind": "solar", "id": "solar", "name": "Solar", "rated_current_a": 10.0}
    one = boat(parts=[part("switch", normal="off"), relay, solar])

    mode = most_joined(one)

    assert {(one.part, one.position) for one in mode.positions} == {("switch", "on"), ("relay", "closed")}
    assert [one.part for one in mode.on] == ["solar"]
    assert highest_fault_a(one, mode, [("switch", "out")])["switch", "out"] > 1000


def test_a_boat_without_a_battery_has_no_fault_current() -> None:
    one = boat()
    bare = one.model_copy(
        update={"parts": tuple(p for p in one.parts if p.kind != "battery"), "conductors": ()}
    )

    assert set(highest_fault_a(bare, first(bare)).values()) == {0.0}
    assert set(lowest_fault_a(bare, first(bare)).values()) == {0.0}

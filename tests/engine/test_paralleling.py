"""The current between banks that a switch joins, by hand and by the loop's resistance."""

from collections.abc import Sequence

import pytest

from server.boat.boat import Boat
from server.boat.modes import Mode, PositionSetting
from server.boat.presets import on_off
from server.engine.paralleling import joined_groups, paralleling
from server.engine.switching import Switching
from server.practice.batteries import open_circuit_voltage
from tests.engine.boats import Json

OFF, ON = ("off",), ("on",)
FIXED = {"measured_resistance_ohm": 0.001}


def battery(name: str, volts: float, ohm: float, **more: object) -> Json:
    return {
        "kind": "battery", "id": name, "name": name.title(), "chemistry": "flooded",
        "nominal_voltage_v": 12.0, "rest_voltage_v": volts, "internal_resistance_ohm": ohm, "bank": name,
        **more,
    }  # fmt: skip


def wire(name: str, tail: str, head: str) -> Json:
    """A conductor that was measured with its joints: 1 mΩ."""
    ends = [dict(zip(("part", "terminal"), end.split("."), strict=True)) for end in (tail, head)]
    return {"id": name, "kind": "wire", "tail": ends[0], "head": ends[1], **FIXED}


def boat_of(batteries: Sequence[Json], conductors: Sequence[Json]) -> Boat:
    """Batteries about a battery switch of 0.2 mΩ, with a load that is on."""
    switch = on_off("join", "Parallel switch", is_battery_switch=True).model_dump(exclude_none=True)
    lamp = {
        "kind": "load", "id": "lamp", "name": "Lamp", "role": "lights",
        "inputs": [{"id": "supply", "demand": {"kind": "constant-current", "current_a": 30.0}}],
    }  # fmt: skip
    return Boat.model_validate(
        {
            "format": "tapchart.boat", "version": 1, "name": "Two banks", "nominal_voltage_v": 12.0,
            "parts": [*batteries, switch | {"resistance_ohm": 0.0002, "normal": "off"}, lamp],
            "conductors": [*conductors, wire("l1", "lamp.supply", "a.positive"),
                           wire("l2", "lamp.negative", "a.negative")],
            "modes": [{"id": "any", "name": "Any", "on": [{"part": "lamp"}]}],
        },
        strict=False,
    )  # fmt: skip


def two_banks(**more: object) -> Boat:
    return boat_of(
        [battery("a", 12.80, 0.004, **more), battery("b", 12.20, 0.006, **more)],
        [
            wire("w1", "a.positive", "join.in"),
            wire("w2", "join.out", "b.positive"),
            wire("w3", "a.negative", "b.negative"),
        ],
    )


def switching_of(boat: Boat) -> Switching:
    return Switching.of(boat, boat.modes[0])


def test_two_banks_share_the_difference_of_their_rest_voltages_over_the_loop() -> None:
    """(12.80 V - 12.20 V) / (4 + 6 + 3 · 1 + 0.2 mΩ) = 45.45 A; the lamp counts for nothing."""
    switching = switching_of(two_banks())

    (groups,) = joined_groups(switching, OFF, ON)
    found = paralleling(switching, OFF, ON, groups)

    assert groups == (frozenset({"a"}), frozenset({"b"}))
    assert found.rest_v == pytest.approx((12.80, 12.20))
    assert found.from_group == frozenset({"a"})
    assert found.current_a == pytest.approx(0.6 / 0.0132, rel=1e-9)
    assert found.through_a == pytest.approx(
        dict.fromkeys(("w1", "w2", "w3", "join", "a", "b"), 0.6 / 0.0132), rel=1e-9
    )
    assert found.unknown == ()


def test_the_worst_is_one_bank_full_and_the_other_half_flat_whichever_way_round() -> None:
    """Rest voltages of the shipped table at 100 and 50 %; the resistances were given, 35 °C is warmer."""
    switching = switching_of(two_banks())
    (groups,) = joined_groups(switching, OFF, ON)
    high, low = (open_circuit_voltage("flooded", charge).value for charge in (100, 50))

    found = paralleling(switching, OFF, ON, groups)

    assert found.worst_a > (high - low) / 0.0132
    assert found.worst_a == pytest.approx(found.worst_through_a["join"], rel=1e-9)


def test_strings_in_series_and_strings_side_by_side_count_at_their_ends() -> None:
    """Two 6.4 V batteries in series, 2 and 1 mΩ, beside one of 12.2 V: 0.6 V over the whole loop."""
    half = {"nominal_voltage_v": 6.0, "bank": "a"}
    boat = boat_of(
        [
            battery("a", 6.4, 0.002, **half),
            battery("a2", 6.4, 0.001, **half),
            battery("b", 12.2, 0.006),
        ],
        [
            wire("w1", "a2.positive", "join.in"),
            wire("w0", "a2.negative", "a.positive"),
            wire("w2", "join.out", "b.positive"),
            wire("w3", "a.negative", "b.negative"),
        ],
    )
    switching = switching_of(boat)

    (groups,) = joined_groups(switching, OFF, ON)
    found = paralleling(switching, OFF, ON, groups)

    assert set(groups) == {frozenset({"a", "a2"}), frozenset({"b"})}
    assert dict(zip(groups, found.rest_v, strict=True))[frozenset({"a", "a2"})] == pytest.approx(12.8)
    assert found.current_a == pytest.approx(0.6 / (0.002 + 0.001 + 0.006 + 4 * 0.001 + 0.0002), rel=1e-9)


def test_banks_that_were_joined_before_are_not_told_again() -> None:
    switching = switching_of(two_banks())

    assert joined_groups(switching, ON, OFF) == ()
    assert joined_groups(switching, ON, ON) == ()


def test_a_battery_of_which_nothing_is_known_is_named() -> None:
    boat = boat_of(
        [battery("a", 12.8, 0.004), battery("b", 12.2, 0.006) | {"internal_resistance_ohm": None}],
        [
            wire("w1", "a.positive", "join.in"),
            wire("w2", "join.out", "b.positive"),
            wire("w3", "a.negative", "b.negative"),
        ],
    )
    switching = switching_of(boat)
    (groups,) = joined_groups(switching, OFF, ON)

    assert paralleling(switching, OFF, ON, groups).unknown == ("B",)


def test_positions_that_the_mode_sets_for_other_parts_stay() -> None:
    boat = two_banks()
    breaker = {"kind": "breaker", "id": "cb", "name": "Breaker", "rating_a": 10.0}
    body = boat.model_dump(exclude_none=True)
    body["parts"] = [*body["parts"], breaker]
    mode = Mode(id="any", name="Any", positions=(PositionSetting(part="cb", position="off"),))
    body["modes"] = [mode.model_dump(exclude_none=True)]
    switching = switching_of(Boat.model_validate(body, strict=False))
    (groups,) = joined_groups(switching, OFF, ON)

    assert "cb" not in paralleling(switching, OFF, ON, groups).through_a

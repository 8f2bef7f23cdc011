"""Charging voltages against loads, and currents against lithium packs, by figures entered for the test."""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.supply_limits import charging_too_high, overdrawn_packs
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small, wire


def charged(source: dict[str, Any], most_v: float, positive: str = "positive") -> list[Finding]:
    body = small()
    part(body, "radio")["inputs"][0]["maximum_voltage_v"] = most_v
    body["parts"].append({"id": "source", "name": "Source", **source})
    body["conductors"] += [
        wire("s1", f"source/{positive}", "house/positive"),
        wire("s2", "source/negative", "house/negative"),
    ]
    return list(charging_too_high(read(body)))


ALTERNATOR = {"kind": "alternator", "rated_current_a": 60.0}
OUTBOARD = {"kind": "outboard", "starter": {"kind": "motor", "running_current_a": 60.0}}


def test_a_set_voltage_above_what_a_load_stands_is_a_fault() -> None:
    (found,) = charged({**ALTERNATOR, "setpoint_v": 15.2}, 15.0)

    assert (found.severity, found.subjects) == ("fault", ("radio", "main", "source"))
    assert found.message == "Source may charge with 15.2 V; the radio stands 15.0 V."
    assert charged({**ALTERNATOR, "setpoint_v": 14.4}, 15.0) == []


@pytest.mark.parametrize(
    ("source", "positive"),
    [
        (ALTERNATOR, "positive"),
        ({"kind": "solar", "rated_current_a": 5.0}, "positive"),
        ({"kind": "charger", "rated_current_a": 20.0, "outputs": 2}, "output-2"),
        (OUTBOARD | {"charging_a": 10.0}, "positive"),
    ],
)  # fmt: skip
def test_an_assumed_set_voltage_leaves_it_open_at_its_high_end(source: dict[str, Any], positive: str) -> None:
    """14.6 V per 12 V is the high end of both assumptions."""
    (found,) = charged(source, 14.5, positive)

    assert found.severity == "cannot-tell"
    assert "14.6 V" in found.message
    assert "look up the set voltage" in found.message
    assert charged(source, 14.7, positive) == []


def test_an_outboard_that_does_not_charge_is_no_source() -> None:
    assert charged(OUTBOARD, 10.0) == []


def test_a_source_on_an_island_of_24_v_is_taken_twice_as_high() -> None:
    body = small() | {"islands": [{"id": "ship", "name": "Ship", "nominal_voltage_v": 24.0}]}
    part(body, "radio")["inputs"][0]["maximum_voltage_v"] = 29.0
    body["parts"].append({**ALTERNATOR, "id": "source", "name": "Source", "island": "ship"})
    body["conductors"].append(wire("s1", "source/positive", "house/positive"))

    (found,) = charging_too_high(read(body))

    assert "29.2 V" in found.message


def test_a_boat_without_modes_is_not_asked() -> None:
    assert list(charging_too_high(read(small() | {"modes": []}))) == []


def with_pack(load_a: float, pack: dict[str, Any], **source: object) -> list[str]:
    body = small()
    part(body, "house").update(chemistry="lifepo4", pack=pack)
    motor = {
        "kind": "motor",
        "running_current_a": load_a,
        "inrush_current_a": 300.0,
        "inrush_voltage_v": 12.0,
    }
    body["parts"].append({"kind": "load", "id": "winch", "name": "Winch", "role": "winch", "heavy": True,
                          "inputs": [{"id": "main", "demand": motor}]})  # fmt: skip
    body["conductors"] += [
        wire("w1", "plus/stud-3", "winch/main"),
        wire("w2", "winch/negative", "minus/stud-4"),
    ]
    body["modes"][0]["on"].append({"part": "winch"})
    if source:
        body["parts"].append({**ALTERNATOR, "id": "source", "name": "Source", **source})
        body["conductors"] += [
            wire("s1", "source/positive", "house/positive"),
            wire("s2", "source/negative", "house/negative"),
        ]
        body["modes"][0]["on"].append({"part": "source"})
    boat = read(body)
    return [found.code for found in overdrawn_packs(boat, analyse_mode(boat, "sailing"))]


def test_a_pack_that_gives_more_than_it_may_is_a_fault() -> None:
    assert with_pack(120.0, {"discharge_limit_a": 100.0, "trips": [{"current_a": 900.0, "time_s": 1}]}) == [
        "pack-discharge"
    ]
    assert with_pack(20.0, {"discharge_limit_a": 500.0}) == []
    assert with_pack(20.0, {}) == []


def test_a_start_above_a_trip_current_may_switch_the_pack_off() -> None:
    steps = ((150.0, 10.0), (200.0, 1.0), (900.0, 0.1))
    trips = [{"current_a": amps, "time_s": seconds} for amps, seconds in steps]

    assert with_pack(20.0, {"discharge_limit_a": 100.0, "trips": trips}) == ["pack-trips"]
    assert with_pack(20.0, {"discharge_limit_a": 100.0, "trips": trips[2:]}) == []


def test_without_trips_a_start_is_held_to_the_steady_limit() -> None:
    assert with_pack(20.0, {"discharge_limit_a": 100.0}) == ["pack-trips"]


def test_a_pack_that_is_charged_too_fast_is_a_fault() -> None:
    found = with_pack(1.0, {"charge_limit_a": 20.0}, setpoint_v=14.4)

    assert found == ["pack-charge"]


def with_backbone(volts: float, island_v: float | None = None) -> list[Finding]:
    """An instrument backbone for which no maximum is entered, with an alternator of this set voltage."""
    body = small()
    part(body, "radio")["role"] = "backbone"
    if island_v is not None:
        body["islands"] = [{"id": "ship", "name": "Ship", "nominal_voltage_v": island_v}]
        part(body, "radio")["island"] = "ship"
    body["parts"].append({"id": "source", "name": "Source", **ALTERNATOR, "setpoint_v": volts})
    body["conductors"] += [
        wire("s1", "source/positive", "house/positive"),
        wire("s2", "source/negative", "house/negative"),
    ]
    return list(charging_too_high(read(body)))


def test_a_12_v_backbone_is_held_to_16_v_where_nothing_is_entered() -> None:
    """NMEA 2000, as quoted in makers' manuals: 9 to 16 V on the bus."""
    (found,) = with_backbone(16.2)

    assert found.severity == "fault"
    assert found.limit is not None
    assert found.limit.value == 16.0
    assert found.source.startswith("NMEA 2000")
    assert with_backbone(15.9) == []
    assert with_backbone(28.4, 24.0) == []


@pytest.mark.parametrize(
    ("source", "positive"),
    [
        ({"kind": "inverter", "rated_power_w": 500.0, "charge_voltage_v": 15.2}, "positive"),
        ({"kind": "converter", "output_v": 15.2, "rated_current_a": 10.0}, "output"),
    ],
)
def test_inverter_chargers_and_converters_are_sources_with_the_voltage_entered(
    source: dict[str, Any], positive: str
) -> None:
    (found,) = charged(source, 15.0, positive)

    assert (found.severity, found.subjects[2]) == ("fault", "source")
    assert charged(source, 15.3, positive) == []


def test_an_inverter_that_does_not_charge_is_no_source() -> None:
    assert charged({"kind": "inverter", "rated_power_w": 500.0}, 10.0) == []


def test_a_pack_whose_electronics_open_below_the_set_voltage_is_told() -> None:
    body = small()
    part(body, "house").update({"chemistry": "lifepo4", "pack": {"high_cut_off_v": 14.4}})
    body["parts"].append({"id": "source", "name": "Source", **ALTERNATOR, "setpoint_v": 14.8})
    body["conductors"] += [
        wire("s1", "source/positive", "house/positive"),
        wire("s2", "source/negative", "house/negative"),
    ]

    (found,) = charging_too_high(read(body))

    assert found.message == "Source may charge with 14.8 V; the house cuts off at 14.4 V."

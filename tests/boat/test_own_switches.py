"""Which switches are a load's own: behind them nothing hangs but that load."""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.modes import Mode, PositionSetting
from server.boat.own_switches import own_switches, own_switches_closed
from server.boat.presets import on_off, relay, selector
from tests.engine.boats import Json, load, wire

CURRENT = {"kind": "constant-current", "current_a": 1.0}


def boat_of(parts: list[Json], conductors: list[Json], **switch: object) -> Boat:
    """A battery, a switch on it, and what the test hangs behind."""
    battery = {
        "kind": "battery",
        "id": "battery",
        "name": "Battery",
        "chemistry": "agm",
        "nominal_voltage_v": 12.0,
    }
    own = on_off("own", "Own").model_dump(exclude_none=True) | switch
    body: dict[str, Any] = {
        "format": "tapchart.boat", "version": 1, "name": "Own", "nominal_voltage_v": 12.0,
        "parts": [battery, own, load("pump", CURRENT), load("lamp", CURRENT), *parts],
        "conductors": [wire("a", "battery.positive", "own.in"), *conductors],
    }  # fmt: skip
    return Boat.model_validate(body, strict=False)


def ids(boat: Boat) -> list[str]:
    return [switch.id for switch in own_switches(boat)]


FUSE = {"kind": "fuse", "id": "fuse", "name": "Fuse"}
STUD = {"kind": "post", "id": "stud", "name": "Stud"}
BAR = {"kind": "busbar", "id": "bar", "name": "Bar", "studs": 3}
RELAY = relay("relay", "Relay").model_dump(exclude_none=True) | {
    "coil": CURRENT | {"kind": "coil", "rated_voltage_v": 12.0}
}
DIAL = selector("dial", "Dial").model_dump(exclude_none=True)


@pytest.mark.parametrize(
    ("parts", "conductors", "is_own"),
    [
        ([], [wire("b", "own.out", "pump.supply")], True),
        ([], [wire("b", "own.out", "pump.supply"), wire("c", "own.out", "pump.supply")], True),
        ([FUSE], [wire("b", "own.out", "fuse.line"), wire("c", "fuse.load", "pump.supply")], True),
        ([STUD], [wire("b", "own.out", "stud.stud"), wire("c", "stud.stud", "pump.supply")], True),
        ([RELAY], [wire("b", "own.out", "pump.supply"), wire("c", "own.out", "relay.coil-positive")], True),
        ([], [wire("b", "own.out", "pump.supply"), wire("c", "own.out", "lamp.supply")], False),
        ([BAR], [wire("b", "own.out", "bar.stud-1"), wire("c", "bar.stud-2", "pump.supply")], False),
        ([DIAL], [wire("b", "own.out", "pump.supply"), wire("c", "own.out", "dial.common")], False),
        ([], [], False),
    ],
)
def test_a_switch_is_a_loads_own_where_nothing_else_hangs_behind_it(
    parts: list[Json], conductors: list[Json], is_own: bool
) -> None:
    assert ids(boat_of(parts, conductors)) == (["own"] if is_own else [])


def test_a_loose_end_behind_it_changes_nothing_and_a_battery_switch_is_never_one() -> None:
    loose = wire("c", "own.out", "lamp.supply") | {"head": None}
    fed = [wire("b", "own.out", "pump.supply"), loose]

    assert ids(boat_of([], fed)) == ["own"]
    assert ids(boat_of([], fed, is_battery_switch=True)) == []


def test_two_switches_in_one_lead_are_both_its_own_and_are_closed() -> None:
    second = on_off("second", "Second").model_dump(exclude_none=True)
    boat = boat_of([second], [wire("b", "own.out", "second.in"), wire("c", "second.out", "pump.supply")])
    mode = Mode(
        id="any",
        name="Any",
        positions=(
            PositionSetting(part="own", position="off"),
            PositionSetting(part="battery", position="on"),
        ),
    )

    assert ids(boat) == ["own", "second"]
    assert {one.part: one.position for one in own_switches_closed(boat, mode).positions} == {
        "battery": "on", "own": "on", "second": "on",
    }  # fmt: skip

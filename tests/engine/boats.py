"""A small boat to vary: battery, fuse, panel, plotter, starter, block and negative bar."""

from typing import Any

from server.boat.boat import Boat

Json = dict[str, Any]


def wire(name: str, tail: str, head: str, **more: object) -> Json:
    """A conductor of 10 mm², 2 m long and 1.91 mΩ/m at 20 °C, between two ``part.terminal``."""
    ends = [dict(zip(("part", "terminal"), end.split("."), strict=True)) for end in (tail, head)]
    size = {"label": "10 mm²", "area_mm2": 10.0, "resistance_ohm_per_m": 1.91e-3}
    return {
        "id": name,
        "kind": "wire",
        "tail": ends[0],
        "head": ends[1],
        "size": size,
        "length_m": 2.0,
        **more,
    }


def load(name: str, demand: Json, *, input: Json | None = None, **more: object) -> Json:
    """A load with one input called supply."""
    inputs = [{"id": "supply", "demand": demand, **(input or {})}]
    return {"kind": "load", "id": name, "name": name.title(), "role": "electronics", "inputs": inputs, **more}


PARTS: list[Json] = [
    {
        "kind": "battery",
        "id": "battery",
        "name": "House battery",
        "chemistry": "agm",
        "nominal_voltage_v": 12.0,
        "internal_resistance_ohm": 0.005,
        "rest_voltage_v": 12.7,
        "use": "house",
    },
    {"kind": "fuse", "id": "fuse", "name": "Bank fuse", "device_class": "class-t", "rating_a": 200.0},
    {
        "kind": "contact",
        "id": "switch",
        "name": "Battery switch",
        "terminals": ["in", "out"],
        "positions": [
            {"id": "off", "name": "Off", "closed": []},
            {"id": "on", "name": "On", "closed": [["in", "out"]]},
        ],
        "normal": "on",
        "is_battery_switch": True,
        "resistance_ohm": 0.0002,
    },
    {
        "kind": "panel",
        "id": "panel",
        "name": "Panel",
        "sections": [
            {
                "id": "dc",
                "name": "Main",
                "polarity": "positive",
                "ways": [
                    {
                        "id": "plotter",
                        "name": "Plotter",
                        "device_kind": "breaker",
                        "device": {"rating_a": 5.0, "resistance_ohm": 0.01},
                    },
                    {"id": "spare", "name": "Spare", "device_kind": "breaker", "device": {"rating_a": 10.0}},
                ],
            }
        ],
    },
    {"kind": "busbar", "id": "bar", "name": "Negative bar", "studs": 6},
    {"kind": "engine-block", "id": "block", "name": "Engine", "studs": 3},
    {
        "kind": "measuring-shunt",
        "id": "shunt",
        "name": "Shunt",
        "rated_current_a": 500.0,
        "rated_voltage_v": 0.05,
    },
    load(
        "plotter",
        {"kind": "constant-power", "power_w": 20.0},
        input={"minimum_voltage_v": 9.0},
        consequence="operation",
    ),
    load(
        "starter",
        {"kind": "motor", "running_current_a": 150.0, "inrush_current_a": 400.0, "inrush_voltage_v": 8.0},
        role="starter",
        heavy=True,
    ),
]

CONDUCTORS: list[Json] = [
    wire("w-battery", "battery.positive", "fuse.line"),
    wire("w-fuse", "fuse.load", "switch.in"),
    wire("w-feed", "switch.out", "panel.dc-feed"),
    wire("w-start", "switch.out", "starter.supply"),
    wire("w-plotter", "panel.dc-plotter", "plotter.supply"),
    wire("w-return", "plotter.negative", "block.stud-2"),
    wire("w-starter-return", "starter.negative", "block.stud-1"),
    wire("w-strap", "block.stud-3", "bar.stud-1"),
    wire("w-bar", "bar.stud-2", "shunt.system"),
    wire("w-shunt", "shunt.battery", "battery.negative"),
]

MODES: list[Json] = [
    {"id": "starting", "name": "Starting", "on": [{"part": "plotter"}, {"part": "starter"}]},
    {
        "id": "off",
        "name": "Off",
        "positions": [{"part": "switch", "position": "off"}],
        "on": [{"part": "plotter"}],
    },
]


def boat(
    *,
    parts: list[Json] | None = None,
    conductors: list[Json] | None = None,
    modes: list[Json] | None = None,
    **more: object,
) -> Boat:
    """The small boat; what is passed is put in the place of things of the same id, or added."""
    body = {
        "format": "tapchart.boat",
        "version": 1,
        "name": "Test boat",
        "nominal_voltage_v": 12.0,
        "parts": _with(PARTS, parts),
        "conductors": _with(CONDUCTORS, conductors),
        "modes": _with(MODES, modes),
        **more,
    }
    return Boat.model_validate(body, strict=False)


def _with(old: list[Json], new: list[Json] | None) -> list[Json]:
    changed = {item["id"]: item for item in new or ()}
    kept = [changed.pop(item["id"], item) for item in old]
    return [*kept, *changed.values()]


def part(name: str, /, **changes: object) -> Json:
    """One of the small boat's parts with changed fields."""
    return {**next(item for item in PARTS if item["id"] == name), **changes}


def conductor(name: str, /, **changes: object) -> Json:
    """One of its conductors with changed fields."""
    return {**next(item for item in CONDUCTORS if item["id"] == name), **changes}

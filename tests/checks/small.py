"""A small boat to break in one place at a time: battery, fuse, switch, buses, shunt, one load."""

import json
from typing import Any

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.finding import Finding
from server.checks.judge import findings
from server.engine.analysis import analyse_mode

SIZE = {"label": "10 AWG", "area_mm2": 5.26, "resistance_ohm_per_m": 0.00328}


def wire(name: str, tail: str, head: str, **more: object) -> dict[str, Any]:
    """A metre of 10 AWG between two terminals written ``part/terminal``."""
    ends = [dict(zip(("part", "terminal"), end.split("/"), strict=True)) for end in (tail, head)]
    plain = {"id": name, "kind": "wire", "tail": ends[0], "head": ends[1], "size": SIZE, "length_m": 1.0}
    return plain | {"insulation_c": 105.0} | more


def small() -> dict[str, Any]:
    """A sound boat: every lead fused, switched and counted."""
    return {
        "format": "tapchart.boat",
        "version": 1,
        "name": "Small",
        "nominal_voltage_v": 12.0,
        "parts": [
            {"kind": "battery", "id": "house", "name": "House", "chemistry": "agm",
             "nominal_voltage_v": 12.0,
             "capacity_ah": 100.0, "internal_resistance_ohm": 0.005, "use": "house", "bank": "house"},
            {"kind": "fuse", "id": "fuse", "name": "Main fuse", "rating_a": 30.0,
             "interrupting_a": 5000.0},
            {"kind": "contact", "id": "switch", "name": "Battery switch",
             "terminals": ["in", "out"],
             "positions": [{"id": "on", "name": "ON", "closed": [["in", "out"]]},
                           {"id": "off", "name": "OFF"}],
             "normal": "on", "is_battery_switch": True},
            {"kind": "busbar", "id": "plus", "name": "Positive bus", "studs": 6},
            {"kind": "busbar", "id": "minus", "name": "Negative bus", "studs": 6},
            {"kind": "measuring-shunt", "id": "shunt", "name": "Shunt", "rated_current_a": 500.0,
             "rated_voltage_v": 0.05, "bank": "house"},
            {"kind": "engine-block", "id": "engine", "name": "Engine", "studs": 4},
            {"kind": "load", "id": "radio", "name": "Radio", "role": "radio",
             "inputs": [{"id": "main", "demand": {"kind": "constant-power", "power_w": 20.0},
                         "minimum_voltage_v": 10.0, "design_current_a": 2.0}]},
        ],
        "conductors": [
            wire("c1", "house/positive", "fuse/line", sheathed="yes"),
            wire("c2", "fuse/load", "switch/in"),
            wire("c3", "switch/out", "plus/stud-1"),
            wire("c4", "plus/stud-2", "radio/main"),
            wire("c5", "radio/negative", "minus/stud-1"),
            wire("c6", "minus/stud-2", "shunt/system"),
            wire("c7", "shunt/battery", "house/negative"),
            wire("c8", "engine/stud-1", "minus/stud-3"),
        ],
        "modes": [{"id": "sailing", "name": "Sailing", "on": [{"part": "radio"}]}],
    }  # fmt: skip


def move(document: dict[str, Any], conductor: str, end: str, to: str) -> None:
    """Land one end of a conductor elsewhere."""
    one = next(item for item in document["conductors"] if item["id"] == conductor)
    one[end] = dict(zip(("part", "terminal"), to.split("/"), strict=True))


def part(document: dict[str, Any], name: str) -> dict[str, Any]:
    """A part of the document, to be changed in place."""
    found: dict[str, Any] = next(item for item in document["parts"] if item["id"] == name)
    return found


def read(document: dict[str, Any]) -> Boat:
    """The document as a boat."""
    return read_boat(json.dumps(document).encode())


def judged(document: dict[str, Any]) -> dict[str, Finding]:
    """The findings of the small boat's only mode, by code."""
    boat = read(document)
    return {one.code: one for one in findings(boat, analyse_mode(boat, "sailing"))}

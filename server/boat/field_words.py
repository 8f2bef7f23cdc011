"""What the values of things are called in the trade, for the history of a boat."""

from collections.abc import Mapping

from server.boat.boat import Boat
from server.boat.edit_error import EditError
from server.boat.listed import find
from server.boat.parts import Load, Panel


def change_words(boat: Boat, subject: str | None, field: str, value: object) -> str:
    """A value that an edit sets, in words: what it is, of which input or way, and what it is now.

    Never raises; a field without words of its own goes by its name.
    """
    path = field.split(".")
    names = [*_inside(boat, subject, path), _field(path)]
    unit = next((sign for end, sign in _UNITS.items() if path[-1].endswith(end)), "")
    return f"{', '.join(names)}{_now(value, unit)}"


def _inside(boat: Boat, subject: str | None, path: list[str]) -> list[str]:
    """The input or way that a path leads into, where there are several."""
    try:
        part = None if subject is None else find(boat, subject).item
    except EditError:
        return []
    numbers = [int(step) for step in path if step.isdigit()]
    match part, path[0], numbers:
        case Load(), "inputs", [number, *_] if number < len(part.inputs) > 1:
            return [part.inputs[number].name or part.inputs[number].id]
        case Panel(), "sections", [number, *rest] if number < len(part.sections):
            section = part.sections[number]
            if "ways" in path and rest and rest[0] < len(section.ways):
                return [f"way {section.ways[rest[0]].name}"]
            return [section.name]
        case _:
            return []


def _field(path: list[str]) -> str:
    """The value's own name, without the list it stands in."""
    steps = [step for step in path if not step.isdigit() and step not in _LISTS]
    own = steps[-1] if steps else path[-1]
    before = _GROUPS.get(steps[-2], "") if len(steps) > 1 else ""
    return f"{before}{_WORDS.get(own) or _plain(own)}"


def _plain(name: str) -> str:
    """A name without the unit at its end.

    >>> _plain("hot_idle_a"), _plain("notes")
    ('hot idle', 'notes')
    """
    return next((name.removesuffix(end) for end in _UNITS if name.endswith(end)), name).replace("_", " ")


def _now(value: object, unit: str) -> str:  # noqa: PLR0911 - one line a kind reads best
    """What a value is now, after its name; lists and groups of values are only said to be changed."""
    match value:
        case None:
            return " no longer stated"
        case bool():
            return f": {'yes' if value else 'no'}"
        case int() | float():
            return f": {value:g}{unit}"
        case str() if len(value) <= _LONGEST:
            return f": {value.replace('-', ' ') if value in _CODES else value}"
        case {"low": low, "high": high}:
            return f": {low:g} to {high:g}{unit}"
        case {"kind": str(kind)}:
            return f": {kind.replace('-', ' ')}"
        case _:
            return " changed"


_LONGEST = 60
_CODES = frozenset({"make-before-break", "break-before-make", "not-found", "short-time"})
_LISTS = frozenset({"inputs", "sections", "ways", "device", "practice"})
_GROUPS: Mapping[str, str] = {
    "demand": "",
    "main": "main device, ",
    "pack": "pack, ",
    "coil": "coil, ",
    "starter": "starter, ",
    "tail_joint": "joint at its first end, ",
    "head_joint": "joint at its other end, ",
    "hull": "hull, ",
}
_UNITS: Mapping[str, str] = {
    "_ohm_per_m": " Ω/m",
    "_ohm": " Ω",
    "_mm2": " mm²",
    "_ah": " Ah",
    "_v": " V",
    "_a": " A",
    "_w": " W",
    "_m": " m",
    "_c": " °C",
    "_s": " s",
    "_h": " H",
    "_f": " F",
}
_WORDS: Mapping[str, str] = {
    "minimum_voltage_v": "lowest voltage it needs",
    "maximum_voltage_v": "highest voltage it stands",
    "hold_up_s": "time it rides through a dip",
    "limit_source": "where its limits are from",
    "design_current_a": "current it is wired for",
    "current_a": "current",
    "power_w": "power",
    "inrush_current_a": "starting current",
    "inrush_voltage_v": "voltage at its starting current",
    "run_up_s": "run-up time",
    "running_current_a": "running current",
    "rating_a": "rating",
    "interrupting_a": "interrupting rating",
    "continuous_a": "continuous rating",
    "five_minute_a": "five-minute rating",
    "cranking_a": "cranking rating",
    "voltage_rating_v": "voltage rating",
    "setpoint_v": "set voltage",
    "charge_voltage_v": "charging voltage",
    "internal_resistance_ohm": "internal resistance",
    "resistance_ohm": "resistance",
    "measured_resistance_ohm": "measured resistance",
    "makers_ampacity_a": "ampacity by its maker",
    "capacity_ah": "capacity",
    "order": "make and break",
    "suppression": "suppression",
    "bypasses_switch": "why it stays alive with the battery switch off",
    "ignition_protected": "ignition protected",
    "self_limiting": "limits its own current",
    "open_circuit_harms": "harmed by losing its battery",
    "isolated": "isolated",
    "insulation_c": "insulation",
    "in_engine_space": "in an engine space",
    "sheathed": "in a sheath",
    "duty_on_s": "how long a use lasts",
    "ampacity_table": "ampacity table",
    "tag": "tag",
    "trace": "how far it was followed",
    "zone": "zone",
    "deck": "deck",
    "floor_m": "height of the floor",
    "notes": "notes",
    "hot_idle_a": "current hot at idle",
    "hot_cruise_a": "current hot at cruise",
}

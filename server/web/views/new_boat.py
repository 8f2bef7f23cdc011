"""The page that begins a new boat: a few questions, what was answered, and what is wrong with it."""

from collections.abc import Mapping
from dataclasses import dataclass

from pydantic import ValidationError

from server.actions.boats import fresh_request_id
from server.actions.new_boats import PATTERNS, Wish
from server.web.forms import Wrong, number
from server.web.views.forms import ChoiceView

SHORTEST_M, LONGEST_M = 4.0, 30.0
VOLTAGES = (("12", "12 V"), ("24", "24 V"))
ENGINES = (
    ("small", "Diesel of up to 1.5 litres"),
    ("medium", "Diesel of 1.5 to 3 litres"),
    ("large", "Diesel of more than 3 litres"),
)
PROFILES = (
    ("us-recreational", "US recreational practice"),
    ("iso-metric", "ISO small craft practice, metric"),
)
EMPTY: Mapping[str, str] = {
    "name": "",
    "pattern": "selector",
    "voltage": "12",
    "length": "10",
    "engine": "small",
    "practice": "us-recreational",
}


@dataclass(frozen=True)
class PatternView:
    """One way to begin, as a choice."""

    value: str
    title: str
    told: str
    chosen: bool


@dataclass(frozen=True)
class NewBoatView:
    """``boats/new.html``."""

    request_id: str
    name: str
    name_error: str
    length: str
    length_error: str
    patterns: tuple[PatternView, ...]
    voltages: tuple[ChoiceView, ...]
    engines: tuple[ChoiceView, ...]
    practices: tuple[ChoiceView, ...]
    title: str = "New boat"


def new_boat_view(answered: Mapping[str, str], name_error: str = "", length_error: str = "") -> NewBoatView:
    """The questions with what was answered so far."""
    given = {key: answered.get(key, usual) for key, usual in EMPTY.items()}
    pattern = given["pattern"]
    return NewBoatView(
        request_id=answered.get("request_id") or fresh_request_id(),
        name=given["name"],
        name_error=name_error,
        length=given["length"],
        length_error=length_error,
        patterns=tuple(
            PatternView(one.name, one.title, one.told, one.name == pattern) for one in PATTERNS.values()
        ),
        voltages=_choices(VOLTAGES, given["voltage"]),
        engines=_choices(ENGINES, given["engine"]),
        practices=_choices(PROFILES, given["practice"]),
    )


def wish_of(answered: Mapping[str, str]) -> Wish | NewBoatView:
    """What is wished for, or the questions again with what is wrong beside them."""
    name = answered.get("name", "").strip()
    length = number(answered.get("length", ""), "m", "10", at_most=LONGEST_M)
    length_error = length.message if isinstance(length, Wrong) else ""
    if isinstance(length, float) and length < SHORTEST_M:
        length_error = f"Enter {SHORTEST_M:g} m at least."
    voltage = answered.get("voltage", "")
    try:
        wish = Wish.model_validate(
            {
                "name": name,
                "pattern": answered.get("pattern"),
                "nominal_voltage_v": int(voltage) if voltage.isascii() and voltage.isdigit() else voltage,
                "length_m": EMPTY_LENGTH_M if length_error else length,
                "engine": answered.get("engine"),
                "profile": answered.get("practice"),
            }
        )
    except ValidationError as error:
        places = {str(one["loc"][0]) for one in error.errors()}
        name_error = (
            "Enter a name of 1 to 120 characters, without control characters." if "name" in places else ""
        )
        return new_boat_view(answered, name_error, length_error)
    return new_boat_view(answered, "", length_error) if length_error else wish


EMPTY_LENGTH_M = float(EMPTY["length"])
"""What stands in for a length that cannot be read, so that the other answers are judged too."""


def _choices(offered: tuple[tuple[str, str], ...], chosen: str) -> tuple[ChoiceView, ...]:
    return tuple(ChoiceView(value, label, value == chosen) for value, label in offered)

"""What the event strip is asked for: an instant and two probes, as typed, with what is wrong with them."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.boat.value import TerminalRef
from server.web.dependencies import is_whole_number
from server.web.forms import MOST_CHARACTERS
from server.web.views.event_probes import terminal_named

if TYPE_CHECKING:
    from server.engine.transient.answer import PointPair

_UNITS = {"µs": 1e-6, "μs": 1e-6, "us": 1e-6, "ms": 1e-3, "s": 1.0}
WRONG_TIME = "Enter a time from the first press, for example 3 ms, 20 µs or 0.1 s."


@dataclass(frozen=True)
class Asked:
    """The cursor's column or instant and the probes; messages belong beside their fields.

    ``raw`` is the instant as it came, ``typed`` what is kept of it in the field: only what is wrong.
    """

    column: int | None = None
    at_s: float | None = None
    raw: str = ""
    typed: str = ""
    time_error: str = ""
    plus: str = ""
    minus: str = ""
    plus_error: str = ""
    minus_error: str = ""
    pair: "PointPair | None" = None
    meter: str = ""
    profile: str = ""
    bands: bool = False

    @property
    def is_wrong(self) -> bool:
        """Whether anything of it cannot be answered."""
        return bool(self.time_error or self.plus_error or self.minus_error)


def asked_of(boat: Boat, values: Mapping[str, str]) -> Asked:
    """What an address asks for; an instant that was typed goes before the slider's place.

    A page that asks by itself (``late``) is answered without what cannot be answered.
    """
    asked = _as_typed(boat, values)
    if not (values.get("late") and asked.is_wrong):
        return asked
    return Asked(column=asked.column, meter=asked.meter, profile=asked.profile)


def _as_typed(boat: Boat, values: Mapping[str, str]) -> Asked:
    typed, at = values.get("t", "").strip(), values.get("at", "")
    at_s = seconds(typed) if typed else None
    plus, minus = values.get("plus", ""), values.get("minus", "")
    ends = {text: terminal_named(boat, text) for text in (plus, minus) if text}
    first, second = ends.get(plus), ends.get(minus)
    return Asked(
        column=int(at) if is_whole_number(at) else None,
        at_s=at_s,
        raw=typed[:MOST_CHARACTERS],
        typed=typed[:MOST_CHARACTERS] if typed and at_s is None else "",
        time_error=WRONG_TIME if typed and at_s is None else "",
        plus=plus,
        minus=minus,
        plus_error=_probe_error(plus, first, minus),
        minus_error="Choose another terminal than for the plus probe."
        if minus and minus == plus
        else _probe_error(minus, second, plus),
        meter=values.get("meter", ""),
        profile=values.get("profile", ""),
        bands=values.get("bands") == "yes",
        pair=None if first is None or second is None or first == second else _pair(first, second),
    )


def seconds(text: str) -> float | None:
    """A time as typed, in seconds; None where it is none.

    >>> seconds("3 ms"), seconds("0,1"), seconds("soon")
    (0.003, 0.1, None)
    """
    plain = text.strip().replace(",", ".").replace("−", "-")
    unit = next((unit for unit in _UNITS if plain.endswith(unit)), "")
    number = plain.removesuffix(unit).strip()
    try:
        value = float(number) if number.isascii() else math.nan
    except ValueError:
        return None
    return value * _UNITS.get(unit, 1.0) if math.isfinite(value) else None


def _pair(plus: TerminalRef, minus: TerminalRef) -> "PointPair":
    from server.engine.transient.answer import PointPair

    return PointPair(plus, minus)


def _probe_error(text: str, found: TerminalRef | None, other: str) -> str:
    if text and found is None:
        return "This boat has no such terminal. Choose one from the list."
    return "Choose a terminal for this probe too." if other and not text else ""

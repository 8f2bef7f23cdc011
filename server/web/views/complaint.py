"""The page that begins with a complaint: what is asked, what was answered, and what is wrong with it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import cast

from server.actions.boats import fresh_request_id
from server.actions.complaint_answers import CableSeen, Complaint, EngineSize, Readings, Return, Supply
from server.actions.survey_sizes import printed_size
from server.practice.batteries import Chemistry
from server.practice.sizes import UnknownSizeError, sizes
from server.web.forms import Wrong, number
from server.web.views.complaint_fields import (
    BOAT,
    COPPER,
    DEVICE,
    FIELDS,
    READINGS,
    Asked,
    ComplaintRowView,
    row_views,
)

LONGEST_NAME = 100

CAUTIONS = (
    "Gear in neutral, nobody near belts, pulleys and propeller; sleeves, rings and watch off.",
    "Keep the engine from firing by the way its maker gives. Crank for 10 seconds at most, then let the "
    "starter cool for a minute (common practice: its maker's word goes first).",
    "Cranking without firing fills a wet exhaust with sea water: close the sea cock meanwhile, and open it "
    "again before the engine runs.",
    "Vent first where petrol, gas or charging vapour may be. No sparks at the battery: clip the probes on "
    "before you crank, and take them off after.",
    "Plan all readings for the fewest starts; one person at the key, one at the meter.",
)
"""The usual cautions at a cranking engine; common practice, no source."""


@dataclass(frozen=True)
class ComplaintView:
    """``complaint/ask.html``."""

    request_id: str
    boat: tuple[ComplaintRowView, ...]
    device: tuple[ComplaintRowView, ...]
    copper: tuple[ComplaintRowView, ...]
    readings: tuple[ComplaintRowView, ...]
    sizes: tuple[str, ...]
    wrong: int
    wrong_at: str
    cautions: tuple[str, ...] = CAUTIONS
    title: str = "A device restarts when the engine starts"


def complaint_view(typed: Mapping[str, str], errors: Mapping[str, str]) -> ComplaintView:
    """The questions with what was answered so far."""
    boat, device, copper, readings = (
        row_views(rows, typed, errors) for rows in ((BOAT,), (DEVICE,), COPPER, (READINGS,))
    )
    fields = (one for row in (*boat, *device, *copper, *readings) for one in row.fields)
    return ComplaintView(
        request_id=typed.get("request_id") or fresh_request_id(),
        boat=boat,
        device=device,
        copper=copper,
        readings=readings,
        sizes=tuple(one.label for one in sizes()),
        wrong=len(errors),
        wrong_at=next((one.id for one in fields if one.error), ""),
    )


@dataclass(frozen=True)
class Typed:
    """The answers as typed, with what is wrong with them by field."""

    values: Mapping[str, "float | str | None"]
    errors: Mapping[str, str]

    def figure(self, key: str) -> float | None:
        """A figure that may be missing."""
        value = self.values.get(key)
        return value if isinstance(value, float) else None

    def word(self, key: str) -> str:
        """A word that was chosen or typed."""
        return str(self.values.get(key) or "")

    def cable(self, prefix: str) -> CableSeen:
        """Size and length of a cable."""
        return CableSeen(self.word(f"{prefix}_size") or None, self.figure(f"{prefix}_length"))


def complaint_of(typed: Mapping[str, str]) -> tuple[Complaint, Mapping[str, str]]:
    """The complaint as typed, and what is wrong with it by field."""
    read = _read(typed, FIELDS.values())
    wrong = dict(read.errors) | _too_high(read.figure("rest"), read.figure("battery_v")) | _no_bar(read)
    return _complaint(read), wrong


def _complaint(read: Typed) -> Complaint:
    return Complaint(
        name=read.word("name"),
        nominal_voltage_v=float(read.word("voltage") or "12"),
        chemistry=cast("Chemistry", read.word("chemistry")),
        capacity_ah=read.figure("capacity"),
        cranking_a=read.figure("cranking"),
        rest_v=read.figure("rest"),
        fuse_a=read.figure("fuse"),
        has_switch=read.word("switch") == "yes",
        plus=read.cable("plus"),
        feed=read.cable("feed"),
        engine=cast("EngineSize", read.word("engine")),
        starter_a=read.figure("starter"),
        has_bar=read.word("bar") == "yes",
        minus=read.cable("minus"),
        strap=read.cable("strap"),
        alternator_a=read.figure("alternator"),
        alternator_at=cast("Supply", read.word("alternator_at")),
        windlass_a=read.figure("windlass"),
        windlass=read.cable("windlass_cable"),
        has_panel=read.word("panel") == "yes" or read.word("device_plus") == "panel",
        panel=read.cable("panel_feed"),
        device=read.word("device"),
        device_w=read.figure("device_w"),
        needs_v=read.figure("needs"),
        device_plus=cast("Supply", read.word("device_plus")),
        device_minus=cast("Return", read.word("device_minus")),
        device_fuse_a=read.figure("device_fuse"),
        leads=read.cable("leads"),
        rest_a=read.figure("rest_a"),
        readings=_readings(read),
    )


def readings_of(typed: Mapping[str, str], rest_v: float | None) -> tuple[Readings, Mapping[str, str]]:
    """The readings as typed, and what is wrong with them by field."""
    read = _read(typed, READINGS.fields)
    return _readings(read), dict(read.errors) | _too_high(rest_v, read.figure("battery_v"))


def _readings(read: Typed) -> Readings:
    return Readings(
        battery_v=read.figure("battery_v"),
        positive_v=read.figure("positive_v"),
        negative_v=read.figure("negative_v"),
        device_v=read.figure("device_v"),
        current_a=read.figure("clamp_a"),
    )


def _no_bar(read: Typed) -> dict[str, str]:
    if read.word("bar") != "no" or read.word("device_minus") != "bar":
        return {}
    return {
        "device_minus": "There is no negative bar, you say: choose another place, or say that there is one."
    }


def _too_high(rest_v: float | None, cranking_v: float | None) -> dict[str, str]:
    if rest_v is None or cranking_v is None or cranking_v < rest_v:
        return {}
    return {"battery_v": f"Enter less than the {rest_v:g} V at rest: cranking pulls it down."}


def _read(typed: Mapping[str, str], fields: Iterable[Asked]) -> Typed:
    values: dict[str, float | str | None] = {}
    errors: dict[str, str] = {}
    for asked in fields:
        value = _value(asked, typed.get(asked.key, asked.usual))
        if isinstance(value, Wrong):
            errors[asked.key] = value.message
        else:
            values[asked.key] = value
    return Typed(values, errors)


def _value(asked: Asked, text: str) -> "float | str | Wrong | None":
    plain = text.strip()
    if asked.kind == "text":
        good = 0 < len(plain) <= LONGEST_NAME and plain.isprintable()
        return plain if good else Wrong(f"Enter 1 to {LONGEST_NAME} characters.")
    if asked.kind == "choice":
        return plain if plain in dict(asked.choices) else Wrong("Choose one of the list.")
    if not plain:
        return None
    if asked.kind == "size":
        return _size(plain)
    return number(plain, asked.unit, asked.example, at_most=asked.most)


def _size(text: str) -> str | Wrong:
    try:
        return printed_size(text).label
    except UnknownSizeError as error:
        words = str(error)
        return Wrong(f"{words[:1].upper()}{words[1:]}.")

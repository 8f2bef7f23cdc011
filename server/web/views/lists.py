"""The trade lists of a boat as pages."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from server.actions.lists import CableRow, PartRow
from server.actions.yard import OpenBoat
from server.web.views.controls import HeadView
from server.web.views.figures import NONE
from server.web.views.forms import FormView
from server.web.views.lengths import BASES

DONE = {
    "duplicated": "Duplicated. What is loose at its ends stands in the list of cables.",
    "copied": "Copied into this boat. What is loose at its ends stands in the list of cables.",
    "copied-volts": "Copied into this boat, whose voltage is another: look at the ratings of each part.",
    "removed": "Taken out.",
    "undone": "Taken back.",
}
"""What was done with the ticked things, by the word in the address."""


@dataclass(frozen=True)
class CableView:
    """One row of the cable list; ``conductor`` is the id that is ticked."""

    id: str
    conductor: str
    number: str
    name: str
    tail: str
    head: str
    size: str
    length: str
    colour: str
    device: str
    joints: str
    way: str


@dataclass(frozen=True)
class TotalView:
    """How much conductor of one size there is."""

    size: str
    length: str
    count: str


@dataclass(frozen=True)
class PartView:
    """One row of the part list; ``part`` is the id that is ticked."""

    id: str
    part: str
    name: str
    kind: str
    place: str
    figures: str


@dataclass(frozen=True)
class ListsView:
    """``lists/page.html``; ``photos`` says how many there are, by the id of what they show."""

    title: str
    head: HeadView
    cables: tuple[CableView, ...]
    has_ways: bool
    as_of: str
    total: str
    sizes: tuple[TotalView, ...]
    parts: tuple[PartView, ...]
    not_seen: tuple[str, ...]
    photos: Mapping[str, str]
    photos_url: str
    told: str
    tick_url: str
    undo: FormView
    undo_words: str


def cable_view(row: CableRow) -> CableView:
    """A cable row in words."""
    area = "" if row.area_mm2 is None else f" ({row.area_mm2:.3g} mm²)"
    same = row.size.replace(" ", "").startswith(f"{row.area_mm2:g}mm²") if row.area_mm2 is not None else False
    basis = BASES[row.length_basis]
    return CableView(
        id=f"cable-{row.conductor}",
        conductor=row.conductor,
        number=row.number or NONE,
        name=", ".join(part for part in (row.name, row.core, row.kind) if part),
        tail=row.tail,
        head=row.head,
        size=NONE if not row.size else row.size + ("" if same else area),
        length=NONE if row.length_m is None else f"{row.length_m:.2f} m" + (f", {basis}" if basis else ""),
        colour=row.colour or NONE,
        device=row.device or NONE,
        joints=row.joints or NONE,
        way=row.way or NONE,
    )


def part_view(row: PartRow) -> PartView:
    """A part row in words."""
    name = f"{row.name} ({row.tag})" if row.tag else row.name
    return PartView(f"part-{row.part}", row.part, name, row.kind, row.place or NONE, row.figures or NONE)


def as_of_words(opened: OpenBoat) -> str:
    """Which state of the boat a printed list speaks of."""
    at = datetime.fromtimestamp(opened.revision.at_us / 1e6, UTC)
    return f"{opened.row.name}, revision {opened.rev} of {at:%Y-%m-%d %H:%M} UTC."


def size_totals(rows: tuple[CableRow, ...]) -> tuple[TotalView, ...]:
    """Metres and pieces of each size, in the order of the list; lengths that nobody knows are told."""
    found: dict[str, list[CableRow]] = {}
    for row in rows:
        if not row.kind:
            found.setdefault(row.size or "size not known", []).append(row)
    return tuple(_size_total(size, of) for size, of in found.items())


def _size_total(size: str, rows: list[CableRow]) -> TotalView:
    known = [row.length_m for row in rows if row.length_m is not None]
    open_ends = len(rows) - len(known)
    told = f"{sum(known):.1f} m" + (f" and {open_ends} of unknown length" if open_ends else "")
    return TotalView(size, told, f"{len(rows)} conductor{'' if len(rows) == 1 else 's'}")


def total_words(rows: tuple[CableRow, ...]) -> str:
    """How much cable there is, and how much of it nobody measured."""
    known = [row.length_m for row in rows if row.length_m is not None and not row.kind]
    unknown = sum(row.length_m is None and not row.kind for row in rows)
    unmeasured = sum(
        row.length_m is not None and row.length_basis != "measured" and not row.kind for row in rows
    )
    words = f"{sum(known):.1f} m of conductor in all"
    if unmeasured:
        words += f"; {_lengths(unmeasured)} not measured"
    if unknown:
        words += f"; {_lengths(unknown)} not known"
    return words + "."


def _lengths(count: int) -> str:
    return "1 length is" if count == 1 else f"{count} lengths are"

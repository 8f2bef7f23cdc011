"""What hangs on things that are to be taken out, told before it is done."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from server.actions.copying import Ticked
from server.actions.lists import CableRow, cable_rows
from server.boat.boat import Boat
from server.boat.edit_labels import thing_name
from server.boat.edits import Several, apply
from server.boat.listed import Group
from server.boat.modes import Observation, Reading


@dataclass(frozen=True)
class Hanging:
    """One kind of consequence, in words, and the things it comes to."""

    title: str
    things: tuple[str, ...]


_ALSO_GONE: tuple[tuple[Group, str], ...] = (
    ("events", "Events that go too"),
    ("readings", "Readings that go too"),
    ("observations", "Observations that go too"),
    ("links", "Data links that go too"),
)


def hanging(boat: Boat, chosen: Ticked, removal: Several) -> tuple[Hanging, ...]:
    """What the removal of the ticked things does besides, found by making it and comparing.

    Raises:
        EditError: the removal does not fit the boat.
    """
    after = apply(boat, removal)
    told = (Hanging(title, tuple(things)) for title, things in _told(boat, chosen, after))
    return tuple(one for one in told if one.things)


def _told(boat: Boat, chosen: Ticked, after: Boat) -> Iterator[tuple[str, Iterator[str]]]:
    yield "Conductors that go too", _cut(boat, chosen, after)
    yield "Cable ends that become loose", _loosened(boat, after)
    yield "Modes in which something is no longer on or set", _unset(boat, after)
    for group, title in _ALSO_GONE:
        yield title, _gone(boat, after, group)
    yield "Photos that stay, but no longer show it", _unshown(boat, after)
    if count := len(boat.accepted) - len(after.accepted):
        yield "Findings no longer accepted", iter((f"{count} accepted with a reason",))
    if count := len(boat.assumptions) - len(after.assumptions):
        yield "Assumptions that go too", iter((f"{count} set for it",))


def _cut(boat: Boat, chosen: Ticked, after: Boat) -> Iterator[str]:
    left = {one.id for one in (*after.conductors, *chosen.conductors)}
    for row in cable_rows(boat):
        if row.conductor not in left:
            yield f"{_called(row)}: {row.tail} – {row.head}"


def _loosened(boat: Boat, after: Boat) -> Iterator[str]:
    ends = {one.id: (one.tail, one.head) for one in after.conductors}
    rows = {row.conductor: row for row in cable_rows(boat)}
    for one in boat.conductors:
        if one.id not in ends:
            continue
        row = rows[one.id]
        for before, now, words in zip((one.tail, one.head), ends[one.id], (row.tail, row.head), strict=True):
            if before is not None and now is None:
                yield f"{_called(row)} at {words}"


def _called(row: CableRow) -> str:
    said = (row.number and f"cable {row.number}", row.name, row.core)
    return " ".join(word for word in said if word) or "a conductor"


def _unset(boat: Boat, after: Boat) -> Iterator[str]:
    modes = {mode.id: mode for mode in after.modes}
    for mode in boat.modes:
        now = modes[mode.id]
        if (len(mode.on), len(mode.positions)) != (len(now.on), len(now.positions)):
            yield mode.name


def _gone(boat: Boat, after: Boat, group: Group) -> Iterator[str]:
    left = {one.id for one in getattr(after, group)}
    for one in getattr(boat, group):
        if one.id not in left:
            yield _said(boat, one)


def _said(boat: Boat, one: Any) -> str:  # noqa: ANN401 - any listed thing
    match one:
        case Observation():
            return f"{thing_name(boat, one.subject)}: {one.aspect.replace('-', ' ')}"
        case Reading(name=None):
            return f"{one.volts_v:g} V at {thing_name(boat, one.plus.part)}"
        case _:
            return thing_name(boat, one.id)


def _unshown(boat: Boat, after: Boat) -> Iterator[str]:
    shown = {photo.id: photo for photo in after.photos}
    for photo in boat.photos:
        if photo != shown[photo.id]:
            yield thing_name(boat, photo.id)

"""Remarks that need no physics: what is loose, named twice, unknown or was never seen."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from server.boat.boat import Boat
from server.boat.conductors import Conductor

RemarkCode = Literal[
    "loose-end",
    "name-used-twice",
    "cable-number-used-twice",
    "size-not-known",
    "length-not-known",
    "not-found",
    "not-seen",
]


@dataclass(frozen=True, slots=True)
class Remark:
    """What is incomplete, and the ids of the things it is about."""

    code: RemarkCode
    subjects: tuple[str, ...]
    message: str


def remarks(boat: Boat) -> tuple[Remark, ...]:
    """All remarks on a boat: conductors first, then names, then what the survey missed."""
    return (*_conductors(boat), *_names(boat), *_unseen(boat))


def _conductors(boat: Boat) -> Iterator[Remark]:
    for conductor in boat.conductors:
        said = conductor.name or f"Conductor {conductor.id}"
        loose = [side for side, end in (("tail", conductor.tail), ("head", conductor.head)) if end is None]
        if loose:
            ends = "Both ends are" if len(loose) > 1 else f"The {loose[0]} is"
            yield Remark("loose-end", (conductor.id,), f"{said}: {ends.lower()} loose.")
        yield from _unknown_figures(conductor, said)


def _unknown_figures(conductor: Conductor, said: str) -> Iterator[Remark]:
    if conductor.kind == "link":
        return
    if conductor.size is None:
        yield Remark("size-not-known", (conductor.id,), f"{said}: its size is not known.")
    if conductor.length_m is None:
        yield Remark("length-not-known", (conductor.id,), f"{said}: its length is not known.")


def _names(boat: Boat) -> Iterator[Remark]:
    for name, ids in _shared((part.id, part.name) for part in boat.parts):
        yield Remark("name-used-twice", ids, f"{len(ids)} parts are called “{name}”.")
    for name, ids in _shared((mode.id, mode.name) for mode in boat.modes):
        yield Remark("name-used-twice", ids, f"{len(ids)} modes are called “{name}”.")
    for number, ids in _shared((cable.id, cable.number or "") for cable in boat.cables):
        yield Remark("cable-number-used-twice", ids, f"{len(ids)} cables have the number “{number}”.")


def _shared(named: Iterable[tuple[str, str]]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Names that several things have, whatever their capitals and spaces; with the ids of those things."""
    things: dict[str, list[tuple[str, str]]] = {}
    for thing, name in named:
        if plain := " ".join(name.casefold().split()):
            things.setdefault(plain, []).append((thing, name))
    for sharers in things.values():
        if len(sharers) > 1:
            yield sharers[0][1], tuple(thing for thing, _ in sharers)


def _unseen(boat: Boat) -> Iterator[Remark]:
    for part in boat.parts:
        if part.trace == "not-found":
            yield Remark("not-found", (part.id,), f"{part.name}: looked for and not found.")
    for conductor in boat.conductors:
        if conductor.trace == "not-found":
            said = conductor.name or f"Conductor {conductor.id}"
            yield Remark("not-found", (conductor.id,), f"{said}: looked for and not found.")
    for entry in boat.not_seen:
        subjects = (entry.id,) if entry.subject is None else (entry.id, entry.subject)
        yield Remark("not-seen", subjects, f"Not seen: {entry.what}")

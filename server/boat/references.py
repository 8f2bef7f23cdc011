"""Whether every name in a document meets the thing it names; each failure says where, what and how to mend it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from server.boat.boat import Boat
from server.boat.modes import PositionSetting
from server.boat.parts import AnyPart, Breaker, Combiner, Contact, Fuse, Inverter, Load, Outboard, Panel
from server.boat.terminals import terminals
from server.boat.value import TerminalRef


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a document: the path to it, what is wrong, and what to do."""

    path: str
    message: str
    mend: str

    def __str__(self) -> str:
        """Path, message and mend on one line."""
        return f"{self.path}: {self.message} {self.mend}"


def broken_references(boat: Boat) -> tuple[Problem, ...]:
    """Every id used twice and every name that meets nothing, in document order."""
    return tuple(_problems(boat))


def _problems(boat: Boat) -> Iterator[Problem]:
    yield from _repeated_ids(boat)
    places = {part.id: frozenset(terminals(part)) for part in boat.parts}
    yield from _loose_names(boat, places)
    yield from _mode_problems(boat)


def _listed(boat: Boat) -> Iterator[tuple[str, str]]:
    groups: dict[str, tuple[Any, ...]] = {
        "islands": boat.islands,
        "zones": boat.zones,
        "parts": boat.parts,
        "cables": boat.cables,
        "conductors": boat.conductors,
        "links": boat.links,
        "modes": boat.modes,
        "events": boat.events,
        "readings": boat.readings,
        "observations": boat.observations,
        "not_seen": boat.not_seen,
    }
    for group, items in groups.items():
        for n, item in enumerate(items):
            yield f"{group}[{n}].id", item.id


def _repeated_ids(boat: Boat) -> Iterator[Problem]:
    seen: dict[str, str] = {}
    for path, name in _listed(boat):
        if name in seen:
            yield Problem(
                path, f"the id “{name}” is already used at {seen[name]}.", "Give one of them another id."
            )
        seen.setdefault(name, path)
    for n, part in enumerate(boat.parts):
        names = terminals(part)
        if len(set(names)) < len(names):
            yield Problem(
                f"parts[{n}]", f"“{part.name}” has two terminals of one name.", "Name each terminal once."
            )


def _loose_names(boat: Boat, places: dict[str, frozenset[str]]) -> Iterator[Problem]:
    def end(path: str, ref: TerminalRef | None) -> Iterator[Problem]:
        if ref is None:
            return
        if ref.part not in places:
            yield Problem(
                f"{path}.part",
                f"there is no part “{ref.part}”.",
                "Name a part that exists, or leave the end out.",
            )
        elif ref.terminal not in places[ref.part]:
            has = ", ".join(sorted(places[ref.part])[:8])
            yield Problem(
                f"{path}.terminal", f"“{ref.part}” has no terminal “{ref.terminal}”.", f"It has: {has}."
            )

    def known(path: str, name: str | None, among: set[str], noun: str) -> Iterator[Problem]:
        if name is not None and name not in among:
            yield Problem(
                path, f"there is no {noun} “{name}”.", f"Name a {noun} that exists, or leave it out."
            )

    cables, modes = {c.id for c in boat.cables}, {m.id for m in boat.modes}
    zones, islands = {z.id for z in boat.zones}, {i.id for i in boat.islands}
    readings, events = {r.id for r in boat.readings}, {e.id for e in boat.events}
    things = {name for _, name in _listed(boat)}
    for n, part in enumerate(boat.parts):
        yield from known(f"parts[{n}].zone", part.zone, zones, "zone")
        yield from known(f"parts[{n}].island", part.island, islands, "island")
    for n, conductor in enumerate(boat.conductors):
        path = f"conductors[{n}]"
        yield from end(f"{path}.tail", conductor.tail)
        yield from end(f"{path}.head", conductor.head)
        if conductor.tail is not None and conductor.tail == conductor.head:
            yield Problem(path, "both ends land on the same terminal.", "Move one end, or leave it out.")
        yield from known(f"{path}.cable", conductor.cable, cables, "cable")
        yield from known(f"{path}.reading", conductor.reading, readings, "reading")
    for n, link in enumerate(boat.links):
        for k, name in enumerate(link.parts):
            yield from known(f"links[{n}].parts[{k}]", name, set(places), "part")
    for n, reading in enumerate(boat.readings):
        yield from end(f"readings[{n}].plus", reading.plus)
        yield from end(f"readings[{n}].minus", reading.minus)
        yield from known(f"readings[{n}].mode", reading.mode, modes, "mode")
        yield from known(f"readings[{n}].event", reading.event, events, "event")
    for n, observation in enumerate(boat.observations):
        yield from known(
            f"observations[{n}].subject", observation.subject, things, "part, cable or conductor"
        )
    for n, override in enumerate(boat.assumptions):
        yield from known(f"assumptions[{n}].subject", override.subject, things, "part, cable or conductor")


def _mode_problems(boat: Boat) -> Iterator[Problem]:
    parts = {part.id: part for part in boat.parts}
    for n, mode in enumerate(boat.modes):
        for k, setting in enumerate(mode.positions):
            path = f"modes[{n}].positions[{k}]"
            allowed = positions_of(parts.get(setting.part), setting)
            if allowed is None:
                what = setting.part if setting.way is None else f"{setting.part}.{setting.way}"
                yield Problem(
                    path,
                    f"“{what}” is nothing that can be switched.",
                    "Name a switch, breaker, fuse or panel way.",
                )
            elif setting.position not in allowed:
                yield Problem(
                    f"{path}.position",
                    f"no position “{setting.position}”.",
                    f"It takes: {', '.join(allowed)}.",
                )
        for k, running in enumerate(mode.on):
            part = parts.get(running.part)
            if part is None:
                yield Problem(
                    f"modes[{n}].on[{k}].part",
                    f"there is no part “{running.part}”.",
                    "Name a load or a source.",
                )
            elif running.input is not None and running.input not in inputs_of(part):
                yield Problem(
                    f"modes[{n}].on[{k}].input",
                    f"no input “{running.input}”.",
                    f"It has: {', '.join(inputs_of(part))}.",
                )
    modes = {m.id for m in boat.modes}
    for n, event in enumerate(boat.events):
        if event.mode not in modes:
            yield Problem(
                f"events[{n}].mode", f"there is no mode “{event.mode}”.", "Name a mode that exists."
            )
        part = parts.get(event.heavy.part)
        if part is None or event.heavy.input not in inputs_of(part):
            what = f"{event.heavy.part}.{event.heavy.input}"
            yield Problem(f"events[{n}].heavy", f"there is no load input “{what}”.", "Name a load's input.")


def positions_of(part: AnyPart | None, setting: PositionSetting) -> tuple[str, ...] | None:
    """The positions a setting may take, or None where there is nothing to switch."""
    match part:
        case Contact() if setting.way is None:
            return tuple(position.id for position in part.positions)
        case Combiner() if setting.way is None:
            return ("auto", "open", "closed")
        case Fuse() | Breaker() if setting.way is None:
            return ("on", "off")
        case Panel() if setting.way is not None:
            ways = {f"{s.id}-{w.id}" for s in part.sections for w in s.ways} | {
                f"{s.id}-feed" for s in part.sections
            }
            return ("on", "off") if setting.way in ways else None
        case _:
            return None


def inputs_of(part: AnyPart) -> tuple[str, ...]:
    """The names of the inputs through which a part takes current."""
    match part:
        case Load():
            return tuple(i.id for i in part.inputs)
        case Inverter() | Outboard():
            return ("positive",)
        case _:
            return ()

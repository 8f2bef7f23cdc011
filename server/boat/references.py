"""Whether every name in a document meets the thing it names: where not, what is wrong and how to mend it."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any

from server.boat.boat import Boat, Zone
from server.boat.decks import Standing
from server.boat.modes import EventStep, PositionSetting
from server.boat.parts import (
    Alternator,
    AnyPart,
    Breaker,
    Charger,
    Combiner,
    Contact,
    Fuse,
    Inverter,
    Load,
    Outboard,
    Panel,
    Solar,
)
from server.boat.points import Points, points_of
from server.boat.terminals import terminals
from server.boat.value import TerminalRef
from server.boat.wires import LOOSE, Wires

_SOME = 8
"""How many of the names that would do are listed in a message."""


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
    """Every id used twice and every name that meets nothing."""
    return tuple(_problems(boat))


def _problems(boat: Boat) -> Iterator[Problem]:
    ids = {item.id for items in _groups(boat).values() for item in items}
    if len(ids) < sum(map(len, _groups(boat).values())):
        yield from _repeated_ids(boat)
    points = points_of(boat.parts)
    if not points.is_named_once:
        yield from _repeated_terminals(boat)
    yield from _run_problems(boat)
    yield from _part_problems(boat)
    yield from _conductor_problems(boat, points)
    yield from _survey_problems(boat, points)
    yield from _subject_problems(boat, ids)
    yield from _photo_problems(boat, points)
    yield from _acceptance_problems(boat, ids)
    yield from _mode_problems(boat)
    yield from _event_problems(boat)
    yield from _row_problems(boat)


def _row_problems(boat: Boat) -> Iterator[Problem]:
    parts = _parts(boat) if boat.row_order else {}
    for n, name in enumerate(boat.row_order):
        if name not in parts:
            yield _unknown(f"row_order[{n}]", name, "part")
        elif name in boat.row_order[:n]:
            yield Problem(f"row_order[{n}]", f"“{name}” has two places.", "Keep one of the two.")


def _groups(boat: Boat) -> dict[str, tuple[Any, ...]]:
    """Everything with an id, by the list it stands in."""
    return {
        "islands": boat.islands,
        "zones": boat.zones,
        "decks": boat.decks,
        "waypoints": boat.waypoints,
        "runs": boat.runs,
        "parts": boat.parts,
        "cables": boat.cables,
        "conductors": boat.conductors,
        "links": boat.links,
        "modes": boat.modes,
        "events": boat.events,
        "readings": boat.readings,
        "observations": boat.observations,
        "not_seen": boat.not_seen,
        "photos": boat.photos,
    }


def _repeated_ids(boat: Boat) -> Iterator[Problem]:
    seen: dict[str, str] = {}
    for group, items in _groups(boat).items():
        for n, item in enumerate(items):
            path = f"{group}[{n}].id"
            if item.id in seen:
                message = f"the id “{item.id}” is already used at {seen[item.id]}."
                yield Problem(path, message, "Give one of them another id.")
            seen.setdefault(item.id, path)


def _repeated_terminals(boat: Boat) -> Iterator[Problem]:
    for n, part in enumerate(boat.parts):
        names = terminals(part)
        if len(set(names)) < len(names):
            yield Problem(
                f"parts[{n}]", f"“{part.name}” has two terminals of one name.", "Name each terminal once."
            )


def _run_problems(boat: Boat) -> Iterator[Problem]:
    if boat.underlay is not None and all(photo.id != boat.underlay.photo for photo in boat.photos):
        yield _unknown("underlay.photo", boat.underlay.photo, "photo")
    zones, waypoints = {z.id for z in boat.zones}, {w.id for w in boat.waypoints}
    for n, run in enumerate(boat.runs):
        for side, name in (("start", run.start), ("end", run.end)):
            if name not in waypoints:
                message = f"there is no waypoint “{name}”."
                yield Problem(f"runs[{n}].{side}", message, "Name a waypoint that exists.")
        if run.zone is not None and run.zone not in zones:
            yield _unknown(f"runs[{n}].zone", run.zone, "zone")
    decks = {deck.id for deck in boat.decks}
    on_decks: dict[str, tuple[Standing | Zone, ...]] = {
        "zones": boat.zones,
        "waypoints": boat.waypoints,
        "parts": boat.parts,
    }
    for group, things in on_decks.items():
        for n, thing in enumerate(things):
            if thing.deck is not None and thing.deck not in decks:
                yield _unknown(f"{group}[{n}].deck", thing.deck, "deck")


def _part_problems(boat: Boat) -> Iterator[Problem]:
    zones, islands = {z.id for z in boat.zones}, {i.id for i in boat.islands}
    waypoints = {w.id for w in boat.waypoints}
    for n, part in enumerate(boat.parts):
        if part.waypoint is not None and part.waypoint not in waypoints:
            yield _unknown(f"parts[{n}].waypoint", part.waypoint, "waypoint")
        if part.zone is not None and part.zone not in zones:
            yield _unknown(f"parts[{n}].zone", part.zone, "zone")
        if part.island is not None and part.island not in islands:
            yield _unknown(f"parts[{n}].island", part.island, "island")
        if type(part) is Alternator and part.engine is not None and part.engine not in _parts(boat):
            yield _unknown(f"parts[{n}].engine", part.engine, "part")


def _parts(boat: Boat) -> dict[str, AnyPart]:
    return {part.id: part for part in boat.parts}


def _conductor_problems(boat: Boat, points: Points) -> Iterator[Problem]:
    wires = Wires.of(points, boat.conductors)
    for n, (tail, head) in enumerate(zip(wires.tail, wires.head, strict=True)):
        if tail < LOOSE or head < LOOSE or (tail == head and tail != LOOSE):
            yield from _end_problems(boat, points, n)
    cables, readings = {c.id for c in boat.cables}, {r.id for r in boat.readings}
    for n, conductor in enumerate(boat.conductors):
        if conductor.cable is not None and conductor.cable not in cables:
            yield _unknown(f"conductors[{n}].cable", conductor.cable, "cable")
        if conductor.reading is not None and conductor.reading not in readings:
            yield _unknown(f"conductors[{n}].reading", conductor.reading, "reading")


def _end_problems(boat: Boat, points: Points, n: int) -> Iterator[Problem]:
    tail, head = boat.conductors[n].tail, boat.conductors[n].head
    for side, spot in (("tail", tail), ("head", head)):
        if spot is not None and (spot.part, spot.terminal) not in points.number:
            yield _no_terminal(f"conductors[{n}].{side}", spot, boat)
    if tail is not None and tail == head:
        yield Problem(
            f"conductors[{n}]", "both ends land on the same terminal.", "Move one end, or leave it out."
        )


def _survey_problems(boat: Boat, points: Points) -> Iterator[Problem]:
    parts, modes, events = _parts(boat), {m.id for m in boat.modes}, {e.id for e in boat.events}
    for n, link in enumerate(boat.links):
        for k, name in enumerate(link.parts):
            if name not in parts:
                yield _unknown(f"links[{n}].parts[{k}]", name, "part")
    for n, reading in enumerate(boat.readings):
        for side, spot in (("plus", reading.plus), ("minus", reading.minus)):
            if (spot.part, spot.terminal) not in points.number:
                yield _no_terminal(f"readings[{n}].{side}", spot, boat)
        if reading.mode is not None and reading.mode not in modes:
            yield _unknown(f"readings[{n}].mode", reading.mode, "mode")
        if reading.event is not None and reading.event not in events:
            yield _unknown(f"readings[{n}].event", reading.event, "event")


def _subject_problems(boat: Boat, ids: Collection[str]) -> Iterator[Problem]:
    groups: dict[str, tuple[Any, ...]] = {
        "observations": boat.observations,
        "not_seen": boat.not_seen,
        "assumptions": boat.assumptions,
    }
    for group, items in groups.items():
        for n, item in enumerate(items):
            if item.subject is not None and item.subject not in ids:
                yield _unknown(f"{group}[{n}].subject", item.subject, "part, cable or conductor")
    keys = [(override.key, override.subject) for override in boat.assumptions]
    for n, key in enumerate(keys):
        if key in keys[:n]:
            yield Problem(f"assumptions[{n}]", f"“{key[0]}” is assumed twice.", "Keep one of the two.")


def _photo_problems(boat: Boat, points: Points) -> Iterator[Problem]:
    conductors = {conductor.id for conductor in boat.conductors} if boat.photos else set()
    for n, photo in enumerate(boat.photos):
        if photo.subject is not None and photo.subject not in conductors | _parts(boat).keys():
            yield _unknown(f"photos[{n}].subject", photo.subject, "part or conductor")
        numbers = [pin.number for pin in photo.pins]
        for k, pin in enumerate(photo.pins):
            spot, path = pin.terminal, f"photos[{n}].pins[{k}]"
            if spot is not None and (spot.part, spot.terminal) not in points.number:
                yield _no_terminal(f"{path}.terminal", spot, boat)
            if pin.conductor is not None and pin.conductor not in conductors:
                yield _unknown(f"{path}.conductor", pin.conductor, "conductor")
            if pin.number in numbers[:k]:
                yield Problem(path, f"pin {pin.number} stands here twice.", "Number each pin once.")


def _acceptance_problems(boat: Boat, ids: Collection[str]) -> Iterator[Problem]:
    modes, told = {mode.id for mode in boat.modes}, [one.finding for one in boat.accepted]
    for n, one in enumerate(boat.accepted):
        if one.subjects[0] not in ids:
            yield _unknown(f"accepted[{n}].subjects[0]", one.subjects[0], "part, cable or conductor")
        if one.mode is not None and one.mode not in modes:
            yield _unknown(f"accepted[{n}].mode", one.mode, "mode")
        if one.finding in told[:n]:
            yield Problem(f"accepted[{n}]", "this finding is accepted twice.", "Keep one of the two.")


def _mode_problems(boat: Boat) -> Iterator[Problem]:
    parts = {part.id: part for part in boat.parts}
    for n, mode in enumerate(boat.modes):
        settings = [(setting.part, setting.way) for setting in mode.positions]
        yield from _twice(f"modes[{n}].positions", settings)
        for k, setting in enumerate(mode.positions):
            yield from _setting_problems(f"modes[{n}].positions[{k}]", parts.get(setting.part), setting)
        yield from _twice(f"modes[{n}].on", [(on.part, on.input) for on in mode.on])
        for k, running in enumerate(mode.on):
            part = parts.get(running.part)
            if part is None:
                yield _unknown(f"modes[{n}].on[{k}].part", running.part, "part")
            elif running.input is not None and running.input not in inputs_of(part):
                yield _no_input(f"modes[{n}].on[{k}].input", part, running.input)


def _twice(path: str, keys: list[tuple[str, str | None]]) -> Iterator[Problem]:
    if len(set(keys)) == len(keys):
        return
    for k, key in enumerate(keys):
        if key in keys[:k]:
            yield Problem(f"{path}[{k}]", f"“{key[0]}” is named here twice.", "Keep one of the two.")


def _setting_problems(path: str, part: AnyPart | None, setting: PositionSetting) -> Iterator[Problem]:
    allowed = positions_of(part, setting)
    if allowed is None:
        what = setting.part if setting.way is None else f"{setting.part}.{setting.way}"
        message = f"“{what}” is nothing that can be switched."
        yield Problem(path, message, "Name a switch, breaker, fuse or panel way.")
    elif setting.position not in allowed:
        message = f"no position “{setting.position}”."
        yield Problem(f"{path}.position", message, f"It takes: {', '.join(allowed)}.")


def _event_problems(boat: Boat) -> Iterator[Problem]:
    parts, modes = {part.id: part for part in boat.parts}, {m.id for m in boat.modes}
    for n, event in enumerate(boat.events):
        if event.mode not in modes:
            yield Problem(
                f"events[{n}].mode", f"there is no mode “{event.mode}”.", "Name a mode that exists."
            )
        part = parts.get(event.heavy.part)
        if part is None or event.heavy.input not in inputs_of(part):
            what = f"{event.heavy.part}.{event.heavy.input}"
            yield Problem(f"events[{n}].heavy", f"there is no load input “{what}”.", "Name a load's input.")
        for k, step in enumerate(event.steps):
            yield from _step_problems(f"events[{n}].steps[{k}]", parts.get(step.part), step)


def _step_problems(path: str, part: AnyPart | None, step: EventStep) -> Iterator[Problem]:
    if part is None:
        yield _unknown(f"{path}.part", step.part, "part")
    elif step.action == "start" and not isinstance(part, Alternator | Charger | Solar | Outboard):
        message = f"“{part.name}” gives no current that could start."
        yield Problem(f"{path}.part", message, "Name an alternator, a charger, solar panels or an outboard.")
    elif step.input is not None and step.input not in inputs_of(part):
        yield _no_input(f"{path}.input", part, step.input)
    elif step.position is not None:
        setting = PositionSetting(part=step.part, position=step.position)
        yield from _setting_problems(path, part, setting)


def _unknown(path: str, name: str, noun: str) -> Problem:
    return Problem(path, f"there is no {noun} “{name}”.", f"Name a {noun} that exists, or leave it out.")


def _no_input(path: str, part: AnyPart, name: str) -> Problem:
    has = ", ".join(inputs_of(part)) or "none"
    return Problem(path, f"“{part.name}” has no input “{name}”.", f"It has: {has}.")


def _no_terminal(path: str, spot: TerminalRef, boat: Boat) -> Problem:
    part = _parts(boat).get(spot.part)
    if part is None:
        message = f"there is no part “{spot.part}”."
        return Problem(f"{path}.part", message, "Name a part that exists, or leave the end out.")
    has = terminals(part)
    more = ", …" if len(has) > _SOME else ""
    message = f"“{spot.part}” has no terminal “{spot.terminal}”."
    return Problem(f"{path}.terminal", message, f"It has: {', '.join(has[:_SOME])}{more}.")


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
            ways = {f"{s.id}-{w.id}" for s in part.sections for w in s.ways}
            feeds = {f"{s.id}-feed" for s in part.sections}
            return ("on", "off") if setting.way in ways | feeds else None
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

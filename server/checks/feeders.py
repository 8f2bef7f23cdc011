"""Feeders that a heavy load shares with devices that restart, and loads fed from the middle of a string."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.finding import Figure, Finding
from server.boat.parts import Battery, Converter, Inverter, Load
from server.boat.terminals import terminals
from server.checks.paths import Paths, Pieces
from server.checks.words import conductor_words, the, when
from server.engine.answer import EventAnswer, ModeAnswer

SENSITIVE = frozenset({"electronics", "autopilot", "radio", "backbone"})
"""Roles of devices that a dip restarts."""

SHARED_LIMIT_FRACTION = 0.03
"""A shared wire that takes this much of the nominal voltage is told: our own threshold."""
_WHOLE = 0.9
"""From here on a wire counts as carrying all of a load's current."""
_FEWEST = 2
"""A wire shared with one device alone is that device's own lead, which other checks judge."""


def shared_feeders(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Events in which wires that carry the heavy load's whole current also carry that of several devices."""
    moments = {event.id: when(boat, event) for event in events_of(boat)}
    limit_v = SHARED_LIMIT_FRACTION * boat.nominal_voltage_v
    for info in answer.events:
        sharing: dict[str, list[tuple[str, float]]] = {}
        for name, seen in _sensitive(boat, answer, info.event):
            for one in seen.common_wires:
                if one.share_v > limit_v and min(one.load_fraction, one.heavy_fraction) > _WHOLE:
                    sharing.setdefault(one.element, []).append((name, one.share_v))
        wires = {wire: users for wire, users in sharing.items() if len(users) >= _FEWEST}
        if wires:
            yield _shared(boat, answer.mode, info.event, moments[info.event], wires)


def _sensitive(boat: Boat, answer: ModeAnswer, event: str) -> Iterator[tuple[str, EventAnswer]]:
    roles = {part.id: part.role for part in boat.parts if isinstance(part, Load)}
    for load in answer.loads:
        if load.on and not load.heavy and roles.get(load.part) in SENSITIVE:
            yield from ((load.name, seen) for seen in load.events if seen.event == event)


def _shared(
    boat: Boat, mode: str, event: str, moment: str, wires: dict[str, list[tuple[str, float]]]
) -> Finding:
    conductors = {one.id: one for one in boat.conductors}
    names = " and ".join(conductor_words(boat, conductors[wire]) for wire in wires)
    lost_v = sum(max(share for _, share in users) for users in wires.values())
    count = len({name for users in wires.values() for name, _ in users})
    verb, own = ("take", "They carry") if len(wires) > 1 else ("takes", "It carries")
    return Finding(
        code="feeder-shared",
        severity="advice",
        subjects=tuple(wires),
        mode=mode,
        event=event,
        figure=Figure(value=lost_v, unit="V", basis="computed"),
        limit=Figure(value=SHARED_LIMIT_FRACTION * boat.nominal_voltage_v, unit="V", basis="assumed"),
        message=f"{moment}, {names} {verb} {lost_v:.1f} V from {count} devices. {own} the whole current "
        "of both: give the devices a feeder of their own.",
        source="common practice, no source",
        source_status="common-practice",
    )


def midpoint_loads(boat: Boat, paths: Paths) -> Iterator[Finding]:
    """Loads fed from between two batteries of a series string without anything that evens it out."""
    piece = paths.closed_pieces
    batteries = [part.id for part in boat.parts if isinstance(part, Battery)]
    positive = {name: piece[name, "positive"] for name in batteries}
    negative = {name: piece[name, "negative"] for name in batteries}
    shorted = {positive[name] for name in batteries if positive[name] == negative[name]}
    between = (set(positive.values()) & set(negative.values())) - shorted
    evened = {
        piece[part.id, name]
        for part in boat.parts
        if isinstance(part, Converter) and part.role == "equaliser"
        for name in terminals(part)
    }
    for midpoint in sorted(between - evened):
        yield from _fed_there(boat, piece, midpoint)


def _fed_there(boat: Boat, piece: Pieces, midpoint: int) -> Iterator[Finding]:
    for part in boat.parts:
        if isinstance(part, Load):
            ends = [(one.id, one.returns_to) for one in part.inputs]
        elif isinstance(part, Inverter):
            ends = [("positive", "negative")]
        else:
            continue
        for ways in ends:
            if any(piece[part.id, terminal] == midpoint for terminal in ways):
                yield Finding(
                    code="midpoint-fed",
                    severity="advice",
                    subjects=(part.id, ways[0]),
                    message=f"The middle of a string of batteries feeds {the(part.name)}: one half is "
                    "discharged more than the other. Feed it from a supply of its own voltage.",
                    source="common practice, no source",
                    source_status="common-practice",
                )

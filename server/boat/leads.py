"""Leads: the unbranched chain from a terminal of a load or source to its tap."""

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.parts import (
    Alternator,
    AnyPart,
    Breaker,
    Charger,
    Connector,
    Contact,
    Converter,
    Fuse,
    Inverter,
    Load,
    Outboard,
    Solar,
)
from server.boat.terminals import terminals
from server.boat.value import TerminalRef

Side = Literal["tail", "head"]
Polarity = Literal["positive", "negative"]
TerminalKey = tuple[str, str]
"""Part and terminal."""

_POLES = 2


class End(NamedTuple):
    """One end of a conductor."""

    conductor: Conductor
    side: Side

    @property
    def terminal(self) -> TerminalRef | None:
        """Where this end lands; None when it is loose."""
        return self.conductor.tail if self.side == "tail" else self.conductor.head

    @property
    def other(self) -> "End":
        """The conductor's other end."""
        return End(self.conductor, "head" if self.side == "tail" else "tail")


@dataclass(frozen=True, slots=True)
class Landings:
    """Which conductor ends land on which terminal, and the parts by id; built once a boat."""

    parts: Mapping[str, AnyPart]
    ends: Mapping[TerminalKey, Sequence[End]]

    @classmethod
    def of(cls, boat: Boat) -> "Landings":
        """The landings of a boat, the same ones again while they are in use."""
        for known, landings in tuple(_RECENT):
            if known is boat:
                return landings
        landings = cls._made(boat)
        _RECENT.append((boat, landings))
        return landings

    @classmethod
    def _made(cls, boat: Boat) -> "Landings":
        ends: dict[TerminalKey, list[End]] = {}
        for conductor in boat.conductors:
            if (tail := conductor.tail) is not None:
                ends.setdefault((tail.part, tail.terminal), []).append(End(conductor, "tail"))
            if (head := conductor.head) is not None:
                ends.setdefault((head.part, head.terminal), []).append(End(conductor, "head"))
        return cls({part.id: part for part in boat.parts}, ends)

    def at(self, part: str, terminal: str) -> Sequence[End]:
        """The conductor ends on a terminal, in document order."""
        return self.ends.get((part, terminal), ())


_RECENT: deque[tuple[Boat, Landings]] = deque(maxlen=8)
"""Landings asked for last: a frozen boat has only one, so this changes no answer."""


@dataclass(frozen=True, slots=True)
class Lead:
    """A lead from its terminal to its tap.

    ``conductors`` and ``inline`` are ids in order from the terminal. ``last`` and ``far`` name the end that
    a move takes: they are None, with a reason in words, when there is no end that could be moved.
    """

    part: str
    terminal: str
    polarity: Polarity
    conductors: tuple[str, ...] = ()
    inline: tuple[str, ...] = ()
    tap: TerminalRef | None = None
    last: str | None = None
    far: Side | None = None
    reason: str | None = None


_RECENT_LEADS: deque[tuple[Boat, Landings, tuple[Lead, ...]]] = deque(maxlen=8)
"""Leads asked for last, as for landings."""


def lead(boat: Boat, part: str, terminal: str, landings: Landings | None = None) -> Lead:
    """The lead on a terminal; with a reason instead of conductors where no unbranched chain begins.

    Fuses, breakers, contacts with two main terminals and the pins of connectors are in line as long as
    nothing else lands on them; any other terminal is a tap.
    """
    return _walk(landings or Landings.of(boat), part, terminal)


def leads(boat: Boat, landings: Landings | None = None) -> tuple[Lead, ...]:
    """The leads of all loads, heavy loads, sources and coils, in document order."""
    landings = landings or Landings.of(boat)
    for known, ends, found in tuple(_RECENT_LEADS):
        if known is boat and ends is landings:
            return found
    found = tuple(_walk(landings, part.id, name) for part in boat.parts for name in lead_terminals(part))
    _RECENT_LEADS.append((boat, landings, found))
    return found


def lead_terminals(part: AnyPart) -> tuple[str, ...]:
    """The terminals of a part on which leads begin: those of loads, coils and sources."""
    match part:
        case Load() | Inverter() | Outboard() | Alternator() | Charger() | Solar() | Converter():
            return terminals(part)
        case Contact(coil=coil) if coil is not None:
            return ("coil-positive", "coil-negative")
        case _:
            return ()


def polarity_of(part: AnyPart, terminal: str) -> Polarity:
    """The polarity a lead on this terminal has."""
    if isinstance(part, Load):
        return "negative" if terminal in part.negatives else "positive"
    return "negative" if terminal.endswith("negative") or terminal == "ground" else "positive"


def across(part: AnyPart, terminal: str) -> str | None:
    """The terminal at the other side of an in-line part; None where the part is not in line."""
    match part:
        case Fuse() | Breaker():
            pair: tuple[str, ...] = ("line", "load")
        case Contact() if len(part.terminals) == _POLES:
            pair = part.terminals
        case Connector():
            side, number = terminal.split("-")
            pair = (f"a-{number}", f"b-{number}") if side in "ab" else ()
        case _:
            return None
    if terminal not in pair:
        return None
    return pair[1] if terminal == pair[0] else pair[0]


def _walk(landings: Landings, part: str, terminal: str) -> Lead:
    start = landings.parts[part]
    polarity = polarity_of(start, terminal)
    first = landings.at(part, terminal)
    if len(first) != 1:
        count = "No conductor lands" if not first else f"{len(first)} conductors land"
        return Lead(
            part, terminal, polarity, reason=f"{count} on this terminal, so no single lead begins here."
        )
    return _chain(landings, Lead(part, terminal, polarity), first[0])


def _chain(landings: Landings, begun: Lead, near: End) -> Lead:
    conductors, inline = [near.conductor.id], list[str]()
    while True:
        far = near.other
        spot = far.terminal
        beyond = _beyond(landings, begun.part, far)
        ended = (begun.part, begun.terminal, begun.polarity, tuple(conductors))
        if spot is None or beyond is None:
            return Lead(*ended, tuple(inline), spot, far.conductor.id, far.side)
        inline.append(spot.part)
        onward = landings.at(beyond.part, beyond.terminal)
        if len(onward) != 1:
            name = landings.parts[beyond.part].name
            why = (
                f"Nothing lands beyond “{name}”, so the lead has no far end."
                if not onward
                else f"Several conductors meet on “{name}” itself, so no end of this lead can be moved."
            )
            return Lead(*ended, tuple(inline), beyond if onward else None, reason=why)
        near = onward[0]
        conductors.append(near.conductor.id)


def _beyond(landings: Landings, start: str, far: End) -> TerminalRef | None:
    """The terminal behind the in-line part on which this end lands alone; None where the lead ends."""
    spot = far.terminal
    if spot is None or spot.part == start or len(landings.at(spot.part, spot.terminal)) > 1:
        return None
    other = across(landings.parts[spot.part], spot.terminal)
    return None if other is None else TerminalRef(part=spot.part, terminal=other)


def lead_parts(found: Lead) -> Iterator[str]:
    """The ids of the load and the in-line parts of a lead."""
    yield found.part
    yield from found.inline

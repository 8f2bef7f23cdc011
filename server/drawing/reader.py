"""The finest graph of a boat: every terminal, and every step between two of them."""

from collections import Counter
from dataclasses import dataclass, field

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.modes import Mode
from server.boat.parts import (
    AnyPart,
    Battery,
    Bonding,
    Breaker,
    Busbar,
    Combiner,
    Connector,
    Contact,
    EngineBlock,
    Fuse,
    Isolator,
    MeasuringShunt,
    Panel,
    Post,
)
from server.boat.terminals import section_terminals, terminals
from server.boat.value import TerminalRef, nominal
from server.drawing.circuit import (
    Link,
    Place,
    PlaceKind,
    Polarity,
    Step,
    StepKind,
    Vertex,
)

LEAST_MAIN_MM2 = 10.0
"""From this section on a conductor's size is written beside it, where there is room."""


@dataclass
class Reader:
    """Gathers the finest graph, then cuts it into chains."""

    boat: Boat
    positions: dict[tuple[str, str | None], str]
    parts: dict[str, AnyPart]
    places: dict[Vertex, Place] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    merged: dict[Vertex, Vertex] = field(default_factory=dict)
    blocks: dict[str, tuple[Vertex, ...]] = field(default_factory=dict)
    rung_ports: dict[Vertex, str] = field(default_factory=dict)
    block_states: dict[str, str] = field(default_factory=dict)
    landings: Counter[Vertex] = field(default_factory=Counter)

    def vertex(self, ref: TerminalRef | None, loose: str) -> Vertex:
        """Where a conductor's end lands in the finest graph."""
        if ref is None:
            return ("", loose)
        return self.merged.get((ref.part, ref.terminal), (ref.part, ref.terminal))


def positions(mode: Mode | None) -> dict[tuple[str, str | None], str]:
    """What the mode sets, by part and way."""
    return {(s.part, s.way): s.position for s in mode.positions} if mode else {}


def read_part(r: Reader, part: AnyPart, order: int) -> None:  # noqa: PLR0912 - one branch a kind reads best
    """Enter a part's places and the steps inside it."""
    match part:
        case Busbar() | EngineBlock() | Bonding():
            _bar(r, part, (part.id, ""), part.kind, tuple(terminals(part)), order)
        case Post():
            _bar(r, part, (part.id, ""), "post", ("stud",), order)
        case Panel():
            _read_panel(r, part, order)
        case Battery():
            for name in terminals(part):
                at = (part.id, name)
                side: Polarity = "negative" if name == "negative" else "positive"
                sign = {"positive": "+", "negative": "−"}.get(name, name)
                r.places[at] = Place(
                    f"{part.id}.{name}", "battery", part.id, f"{part.name} {sign}", side, order, (at,)
                )
        case Fuse() | Breaker():
            off = r.positions.get((part.id, None)) == "off"
            label = f"{part.rating_a:g} A" if part.rating_a else "? A"
            _inline(r, part, part.kind, "line", "load", label, is_open=off)
        case MeasuringShunt():
            _inline(r, part, "shunt", "battery", "system", "shunt")
        case Combiner():
            setting = r.positions.get((part.id, None), part.normal)
            _inline(r, part, "combiner", "a", "b", setting, is_open=setting == "open")
        case Connector():
            for n in range(1, part.pins + 1):
                if (part.id, f"a-{n}") in r.landings or (part.id, f"b-{n}") in r.landings:
                    label = f"pin {n}" if part.pins > 1 else part.style.replace("-", " ")
                    _inline(r, part, "connector", f"a-{n}", f"b-{n}", label)
        case Contact():
            _read_contact(r, part)
        case Isolator():
            ends = tuple((part.id, name) for name in terminals(part))
            r.blocks[part.id] = ends
            r.links.extend(Link(ends[0], end, None) for end in ends[1:])
        case _:
            for name in terminals(part):
                r.rung_ports[(part.id, name)] = part.id


def _bar(  # noqa: PLR0913, PLR0917 - the one way to enter a bar
    r: Reader, part: AnyPart, at: Vertex, kind: PlaceKind, studs: tuple[str, ...], order: int
) -> None:
    ends = tuple((part.id, stud) for stud in studs)
    r.merged.update(dict.fromkeys(ends, at))
    r.places[at] = Place(part.id, kind, part.id, part.name, "positive", order, ends)


def _inline(  # noqa: PLR0913, PLR0917 - the one way to enter a two-ended part
    r: Reader, part: AnyPart, kind: StepKind, tail: str, head: str, label: str, *, is_open: bool = False
) -> None:
    a, b = (part.id, tail), (part.id, head)
    step = Step(kind, (part.id,), part.id, part.name, label, a, b, is_open)
    r.links.append(Link(a, b, step, is_open))


def _read_panel(r: Reader, part: Panel, order: int) -> None:
    for section in part.sections:
        bar, feed = (part.id, f"={section.id}"), (part.id, f"{section.id}-feed")
        names = section_terminals(section)
        studs = [feed, *((part.id, n) for n in names if "-stud-" in n)]
        spares = []
        if section.main_kind:
            label = f"{section.main.rating_a:g} A" if section.main and section.main.rating_a else "? A"
            off = r.positions.get((part.id, feed[1])) == "off"
            step = Step(
                section.main_kind,
                (part.id,),
                f"{part.id}.{feed[1]}",
                f"{part.name}, main",
                label,
                feed,
                bar,
                off,
            )
            r.links.append(Link(feed, bar, step, off))
            studs.remove(feed)
        for way in section.ways:
            end = (part.id, f"{section.id}-{way.id}")
            rating = way.device.rating_a if way.device else None
            if end not in r.landings:
                spares.append((end, f"{way.name} {rating:g} A" if rating else way.name))
                continue
            off = r.positions.get((part.id, end[1]), way.normally) == "off"
            label = f"{rating:g} A" if rating else ("? A" if way.device_kind else "")
            kind: StepKind = way.device_kind or "way"
            step = Step(
                kind, (part.id,), f"{part.id}.{end[1]}", f"{part.name}, {way.name}", label, bar, end, off
            )
            r.links.append(Link(bar, end, step, off))
        r.merged.update(dict.fromkeys(studs, bar))
        alike = sum(s.polarity == section.polarity for s in part.sections)
        name = part.name if alike == 1 and section.polarity == "positive" else f"{part.name}: {section.name}"
        ends = (*studs, *((part.id, f"{section.id}-{way.id}") for way in section.ways))
        r.places[bar] = Place(
            f"{part.id}--{section.id}", "section", part.id, name, section.polarity, order, ends, tuple(spares)
        )


def _read_contact(r: Reader, part: Contact) -> None:
    position = r.positions.get((part.id, None), part.normal)
    closed = {frozenset(p) for at in part.positions if at.id == position for p in at.closed}
    pairs = {frozenset(p): p for at in part.positions for p in at.closed}
    group = {name: name for name in part.terminals}
    for a, b in pairs.values():
        group = {name: group[a] if g == group[b] else g for name, g in group.items()}
    state = next((at.name for at in part.positions if at.id == position), position)
    for head in dict.fromkeys(group.values()):
        legs = [name for name in part.terminals if group[name] == head]
        if len(legs) == 2:  # noqa: PLR2004 - a plain contact has two ends
            is_open = frozenset(legs) not in closed
            _inline(r, part, "contact", legs[0], legs[1], state, is_open=is_open)
        else:
            key = f"{part.id}--{head}" if part.id in r.blocks else part.id
            r.blocks[key] = tuple((part.id, n) for n in legs)
            r.block_states[key] = f"{part.name}: {state}"
    whole = {name for ends in r.blocks.values() for at, name in ends if at == part.id}
    for pair, (a, b) in pairs.items():
        if a in whole and b in whole:
            r.links.append(Link((part.id, a), (part.id, b), None, pair not in closed))
    if part.coil:
        r.rung_ports |= {
            (part.id, "coil-positive"): f"{part.id}--coil",
            (part.id, "coil-negative"): f"{part.id}--coil",
        }


def read_conductors(r: Reader) -> None:
    """Enter the conductors, parallel ones together."""
    numbers = {cable.id: cable.number for cable in r.boat.cables if cable.number}
    together: dict[tuple[str, frozenset[Vertex]], list[Conductor]] = {}
    for c in r.boat.conductors:
        ends = frozenset((r.vertex(c.tail, f"{c.id}.tail"), r.vertex(c.head, f"{c.id}.head")))
        together.setdefault((c.parallel_group or f"={c.id}", ends), []).append(c)
    for group in together.values():
        c = group[0]
        a, b = r.vertex(c.tail, f"{c.id}.tail"), r.vertex(c.head, f"{c.id}.head")
        label = f"{len(group)} ×" if len(group) > 1 else ""
        kind: StepKind = "link" if c.kind == "link" else "conductor"
        ids = tuple(x.id for x in group)
        number = numbers.get(c.cable or "", "")
        told = _told(c, f"no. {number}" if number else "")
        step = Step(kind, ids, c.id, conductor_name(c, number), label, a, b, told=told)
        r.links.append(Link(a, b, step))


def conductor_name(c: Conductor, number: str = "") -> str:
    """A conductor in a few words: its cable's number, name, size and length."""
    facts = (f"cable {number}" if number else None, c.name, c.size.label if c.size else None, _length(c))
    return ", ".join(fact for fact in facts if fact) or "conductor"


def _told(c: Conductor, number: str) -> tuple[str, ...]:
    """What may be written beside a conductor, the fullest first: number of the cable, size of a main."""
    is_main = c.size is not None and c.size.area_mm2 >= LEAST_MAIN_MM2
    copper = " · ".join(fact for fact in (c.size.label, _length(c)) if fact) if c.size and is_main else ""
    full = " · ".join(text for text in (number, copper) if text)
    return tuple(dict.fromkeys(text for text in (full, copper, number) if text))


def _length(c: Conductor) -> str | None:
    return None if c.length_m is None else f"{nominal(c.length_m):g} m"

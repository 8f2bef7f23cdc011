"""From the boat document to places and chains."""

from collections import Counter
from dataclasses import dataclass, field, replace

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.modes import Mode
from server.boat.parts import (
    Alternator,
    AnyPart,
    Battery,
    Bonding,
    Breaker,
    Busbar,
    Charger,
    Combiner,
    Connector,
    Contact,
    Converter,
    EngineBlock,
    Fuse,
    Inverter,
    Isolator,
    Load,
    MeasuringShunt,
    Outboard,
    Panel,
    Post,
    Solar,
)
from server.boat.terminals import section_terminals, terminals
from server.boat.value import TerminalRef
from server.drawing.circuit import (
    Chain,
    Circuit,
    Link,
    Links,
    Place,
    PlaceKind,
    Polarity,
    Port,
    Rung,
    RungKind,
    Step,
    StepKind,
    Vertex,
)

RUNG_PARTS = (Load, Inverter, Outboard, Alternator, Charger, Solar, Converter)
ALWAYS_SHOWN = ("positive", "negative", "input", "output")
ENGINE_ROLES = ("starter", "engine-control", "stop-solenoid", "glow-plugs")


@dataclass
class _Reader:
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


def read_circuit(boat: Boat, mode_id: str | None) -> Circuit:
    """The boat as places, chains and rungs, with contacts as the mode sets them."""
    mode = next((m for m in boat.modes if m.id == mode_id), None)
    reader = _Reader(boat, _positions(mode), {part.id: part for part in boat.parts})
    reader.landings.update((t.part, t.terminal) for c in boat.conductors for t in (c.tail, c.head) if t)
    for order, part in enumerate(boat.parts):
        _read_part(reader, part, order)
    _read_conductors(reader)
    links = Links(reader.links)
    side = _sides(reader, links)
    return _cut(reader, links, side)


def _positions(mode: Mode | None) -> dict[tuple[str, str | None], str]:
    return {(s.part, s.way): s.position for s in mode.positions} if mode else {}


def _read_part(r: _Reader, part: AnyPart, order: int) -> None:
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


def _bar(r: _Reader, part: AnyPart, at: Vertex, kind: PlaceKind, studs: tuple[str, ...], order: int) -> None:
    ends = tuple((part.id, stud) for stud in studs)
    r.merged.update(dict.fromkeys(ends, at))
    r.places[at] = Place(part.id, kind, part.id, part.name, "positive", order, ends)


def _inline(
    r: _Reader, part: AnyPart, kind: StepKind, tail: str, head: str, label: str, *, is_open: bool = False
) -> None:
    a, b = (part.id, tail), (part.id, head)
    step = Step(kind, (part.id,), part.id, part.name, label, a, b, is_open)
    r.links.append(Link(a, b, step, is_open))


def _read_panel(r: _Reader, part: Panel, order: int) -> None:
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


def _read_contact(r: _Reader, part: Contact) -> None:
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
            key = part.id if head == part.terminals[0] else f"{part.id}--{head}"
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


def _read_conductors(r: _Reader) -> None:
    together: dict[tuple[str, frozenset[Vertex]], list[Conductor]] = {}
    for c in r.boat.conductors:
        ends = frozenset((r.vertex(c.tail, f"{c.id}.tail"), r.vertex(c.head, f"{c.id}.head")))
        together.setdefault((c.parallel_group or f"={c.id}", ends), []).append(c)
    for group in together.values():
        c = group[0]
        a, b = r.vertex(c.tail, f"{c.id}.tail"), r.vertex(c.head, f"{c.id}.head")
        label = f"{len(group)} ×" if len(group) > 1 else ""
        kind: StepKind = "link" if c.kind == "link" else "conductor"
        step = Step(kind, tuple(x.id for x in group), c.id, conductor_name(c), label, a, b)
        r.links.append(Link(a, b, step))


def conductor_name(c: Conductor) -> str:
    """A conductor in a few words: its name, size and length."""
    length = (
        None
        if c.length_m is None
        else (c.length_m if isinstance(c.length_m, float | int) else c.length_m.nominal)
    )
    facts = (c.name, c.size.label if c.size else None, f"{length:g} m" if length is not None else None)
    return ", ".join(fact for fact in facts if fact) or "conductor"


def _sides(r: _Reader, links: Links) -> dict[Vertex, Polarity]:
    """Each vertex's polarity: that of the nearest battery post, else of its section or load terminal."""
    posts: dict[Vertex, Polarity] = {at: p.side for at, p in r.places.items() if p.kind == "battery"}
    series = {at for at, side in posts.items() if side == "negative" and _meets_positive(at, posts, links)}
    seeds: dict[Vertex, Polarity] = {at: "positive" if at in series else side for at, side in posts.items()}
    found = links.nearest(seeds)
    weak: dict[Vertex, Polarity] = {
        at: p.side for at, p in r.places.items() if p.kind == "section" and at not in found
    }
    for at in r.rung_ports:
        if at not in found:
            weak[at] = nominal_side(r.parts[at[0]], at[1])
    return found | {at: side for at, side in links.nearest(weak).items() if at not in found}


def _meets_positive(start: Vertex, posts: dict[Vertex, Polarity], links: Links) -> bool:
    """Whether a battery's negative post is wired, past no switch, to another's positive: a series string."""
    seen, ring = {start}, [start]
    while ring:
        at = ring.pop()
        for link in links.at.get(at, ()):
            if link.step is None or link.step.kind not in ("conductor", "link", "fuse"):
                continue
            other = link.b if link.a == at else link.a
            if posts.get(other) == "positive":
                return True
            if other not in seen:
                seen.add(other)
                ring.append(other)
    return False


def nominal_side(part: AnyPart, terminal: str) -> Polarity:
    """On which side a rung's terminal belongs by its name."""
    if isinstance(part, Load):
        return "negative" if terminal in part.negatives else "positive"
    return "negative" if "negative" in terminal or terminal == "ground" else "positive"


def _cut(r: _Reader, links: Links, side: dict[Vertex, Polarity]) -> Circuit:
    degree = Counter(end for link in links.all if link.step is not None for end in (link.a, link.b))
    block_of = {end: key for key, ends in r.blocks.items() for end in ends}
    places = {at: replace(p, side=side.get(at, p.side)) for at, p in r.places.items()}
    orders = {part.id: n for n, part in enumerate(r.boat.parts)}
    stubs: list[Chain] = []
    for key, ends in r.blocks.items():
        part = r.parts[ends[0][0]]
        sides = Counter(side.get(e, "positive") for e in ends)
        block_side: Polarity = "negative" if sides["negative"] > sides["positive"] else "positive"
        places[("#", key)] = Place(key, "block", part.id, part.name, block_side, orders[part.id], ends)
    ground = {(p.id, "ground"): f"{p.id}--ground" for p in r.boat.parts if isinstance(p, Combiner)}
    ports = r.rung_ports | ground
    for at, count in degree.items():
        if at in places or at in ports or (at in block_of and count == 1):
            continue
        if count != 2 or at in block_of:  # noqa: PLR2004 - two links pass through
            here = r.parts.get(at[0])
            name = f"{here.name}, {at[1]}" if here is not None and at[1] else "loose end"
            kind: PlaceKind = "end" if count == 1 else "junction"
            places[at] = Place(
                ".".join(at), kind, at[0], name, side.get(at, "positive"), orders.get(at[0], 0), (at,)
            )
    chains: list[Chain] = []

    def end(at: Vertex) -> str | None:
        if at in places:
            return places[at].key
        if at in ports:
            return f"rung:{ports[at]}"
        return block_of.get(at)

    used: set[int] = set()

    def walk(start: Vertex, first: Link) -> None:
        steps, at, link = [], start, first
        while True:
            used.add(id(link))
            assert link.step is not None  # noqa: S101 - only links with a step are walked
            forward = link.a == at
            steps.append(link.step if forward else link.step.turned())
            at = link.b if forward else link.a
            place = end(at)
            onward = [x for x in links.at[at] if x.step is not None and id(x) not in used]
            if place is not None or not onward:
                break
            link = onward[0]
        chains.append(
            Chain(len(chains), end(start) or "", start, place or end(start) or "", at, tuple(steps))
        )

    for start in [*places, *ports, *block_of]:
        for link in links.at.get(start, ()):
            if link.step is not None and id(link) not in used:
                walk(start, link)
    for at, place in [*places.items()]:
        if at in block_of and place.kind == "junction":
            stubs.append(Chain(len(chains) + len(stubs), block_of[at], at, place.key, at, ()))
    chains += stubs
    named = {p.key: p for p in places.values()}
    named |= {
        f"rung:{key}": Place(f"rung:{key}", "rung", at[0], r.parts[at[0]].name, "positive", orders[at[0]])
        for at, key in ports.items()
    }
    rings = [link for link in links.all if link.step is not None and id(link) not in used]
    ring_ids = tuple(i for link in rings if link.step for i in link.step.ids)
    batteries = tuple(p.id for p in r.boat.parts if isinstance(p, Battery))
    return _with_rungs(
        r,
        Circuit(r.parts, named, {ch.index: ch for ch in chains}, (), batteries, links, {}, r.block_states),
        ports,
        side,
        ring_ids,
    )


def _with_rungs(
    r: _Reader, c: Circuit, ports: dict[Vertex, str], side: dict[Vertex, Polarity], rings: tuple[str, ...]
) -> Circuit:
    ends: dict[Vertex, list[Chain]] = {}
    for chain in c.chains.values():
        for place, at in ((chain.a, chain.a_at), (chain.b, chain.b_at)):
            if place.startswith("rung:"):
                ends.setdefault(at, []).append(chain)
    by_rung: dict[str, list[Vertex]] = {}
    for at, key in ports.items():
        by_rung.setdefault(key, []).append(at)
    rungs = []
    for key, vertices in by_rung.items():
        part = r.parts[vertices[0][0]]
        left: list[Port] = []
        right: list[Port] = []
        for at in vertices:
            chains = ends.get(at, [])
            always = isinstance(part, Load) or at[1] in ALWAYS_SHOWN or at[1] == "output-1"
            if not chains and not (always and at[1] in terminals(part) and "--" not in key):
                continue
            name = port_name(part, at[1])
            nominal = nominal_side(part, at[1])
            for chain in chains:
                shown = _port_side(c, chain, side.get(chain.a_at, nominal), f"rung:{key}")
                (left if shown == "positive" else right).append(Port(at, name, chain.index))
            if not chains:
                (left if nominal == "positive" else right).append(Port(at, name, None))
        if left or right or "--" not in key:
            kind, symbol, name = _rung_kind(part, key)
            devices = part.backbone.devices if isinstance(part, Load) and part.backbone else ()
            names = tuple(device.name for device in devices)
            rungs.append(
                Rung(f"rung:{key}", kind, part.id, name, symbol, tuple(left), tuple(right), lines=names)
            )
    c = replace(c, rungs=(*rungs, *_ties(c)))
    apart = _apart(r, c, rings)
    return replace(c, rungs=_ordered(r, replace(c, rungs=(*c.rungs, *apart))))


def _port_side(c: Circuit, chain: Chain, between_rungs: Polarity, key: str) -> Polarity:
    """A lead leaves its plate on the side of the place that it leads to."""
    far = c.places[chain.far(key)]
    return between_rungs if far.kind == "rung" else far.side


def port_name(part: AnyPart, terminal: str) -> str:
    """What a rung's terminal is called on its plate."""
    if isinstance(part, Load):
        given = next((i.name for i in part.inputs if i.id == terminal), None)
        return given or terminal.replace("-", " ")
    return terminal.removeprefix("coil-").replace("-", " ")


def _rung_kind(part: AnyPart, key: str) -> tuple[RungKind, str, str]:
    if key.endswith("--coil"):
        return "coil", "coil", f"{part.name}, coil"
    if key.endswith("--ground"):
        return "ground", "coil", f"{part.name}, supply"
    match part:
        case Load():
            return "load", _load_symbol(part), part.name
        case Alternator():
            return "source", "generator", part.name
        case Charger() | Solar():
            return "source", part.kind, part.name
        case Outboard():
            return "load", "motor", part.name
        case Converter():
            return "converter", "converter", part.name
        case _:
            return "load", "inverter", part.name


def _load_symbol(part: Load) -> str:
    kinds = {i.demand.kind for i in part.inputs}
    if "motor" in kinds:
        return "motor"
    if part.role in ("navigation-lights", "lights"):
        return "lamp"
    if "resistive" in kinds:
        return "resistor"
    return "coil" if "coil" in kinds else "device"


def _ties(c: Circuit) -> list[Rung]:
    """Chains that join the positive side to the negative one past no load get a row of their own."""
    ties = []
    for chain in c.chains.values():
        a, b = c.places[chain.a], c.places[chain.b]
        if "rung" not in (a.kind, b.kind) and a.side != b.side and not _is_series(a.kind, b.kind, chain):
            key = f"rung:tie-{chain.index}"
            ports = {a.side: Port(chain.a_at, "", chain.index), b.side: Port(chain.b_at, "", chain.index)}
            members = tuple(i for s in chain.steps for i in s.ids)
            name = ", ".join(s.name for s in chain.steps if not s.is_conductor) or "Joins + and −"
            ties.append(Rung(key, "tie", "", name, "", (ports["positive"],), (ports["negative"],), members))
    return ties


def _is_series(a: str, b: str, chain: Chain) -> bool:
    return a == b == "battery" and all(s.is_conductor for s in chain.steps)


def _apart(r: _Reader, c: Circuit, rings: tuple[str, ...]) -> list[Rung]:
    """One row for each lot of parts that touches neither a battery nor a rung."""
    group = {key: key for key in c.places}

    def top(key: str) -> str:
        while group[key] != key:
            group[key] = group[group[key]]
            key = group[key]
        return key

    for chain in c.chains.values():
        group[top(chain.a)] = top(chain.b)
    anchored = {top(key) for key, p in c.places.items() if p.kind in ("rung", "battery")}
    lots: dict[str, list[str]] = {}
    for key, place in c.places.items():
        if top(key) not in anchored and place.part:
            lots.setdefault(top(key), []).append(place.part)
    for chain in c.chains.values():
        if top(chain.a) not in anchored:
            lots.setdefault(top(chain.a), []).extend(i for s in chain.steps for i in s.ids)
    drawn = {p.part for p in c.places.values()} | {
        i for ch in c.chains.values() for s in ch.steps for i in s.ids
    }
    lots |= {f"={part.id}": [part.id] for part in r.boat.parts if part.id not in drawn}
    if rings:
        lots["=ring"] = list(rings)
    found = []
    for n, members in enumerate(lots.values()):
        unique = tuple(dict.fromkeys(members))
        names = [r.parts[m].name for m in unique if m in r.parts] or ["loose conductor"]
        found.append(Rung(f"rung:apart-{n}", "apart", "", ", ".join(names), "", (), (), unique))
    return found


def _ordered(r: _Reader, c: Circuit) -> tuple[Rung, ...]:
    """Rows by voltage, engine first, then heavy and charging, then document order; fed loads follow their feeder."""
    from server.drawing.sections import voltages

    volts = voltages(r.boat, c)
    order = {part.id: n for n, part in enumerate(r.boat.parts)}
    feeder: dict[str, str] = {}
    for chain in c.chains.values():
        if c.places[chain.a].kind == "rung" and c.places[chain.b].kind == "rung":
            for own, other, at in ((chain.a, chain.b, chain.b_at), (chain.b, chain.a, chain.a_at)):
                part = r.parts[at[0]]
                if isinstance(part, Load) and at[1] in {o.id for o in part.outputs}:
                    feeder[own] = other
        for step in chain.steps:
            ends = [key for key in (chain.a, chain.b) if c.places[key].kind == "rung"]
            if step.kind == "contact" and len(ends) == 1:
                feeder[f"rung:{step.ids[0]}--coil"] = ends[0]
    children: dict[str, list[Rung]] = {}
    first = []
    for rung in sorted(
        c.rungs,
        key=lambda x: (_class(r, x) == LAST, -volts.get(x.key, 0), _class(r, x), order.get(x.part, 0)),
    ):
        here = replace(rung, voltage_v=volts.get(rung.key, 0.0))
        if rung.key in feeder and feeder[rung.key] != rung.key:
            children.setdefault(feeder[rung.key], []).append(here)
        else:
            first.append(here)
    done: list[Rung] = []

    def put(rung: Rung, level: int) -> None:
        done.append(replace(rung, level=level))
        for child in children.pop(rung.key, ()):
            put(child, level + (child.kind != "coil"))

    for rung in first:
        put(rung, 0)
    done.extend(rung for rest in children.values() for rung in rest)
    return tuple(done)


LAST = 9


def _class(r: _Reader, rung: Rung) -> int:
    """The engine's own first, then heavy loads, then charging sources, then the rest."""
    if rung.kind in ("tie", "apart"):
        return LAST
    match r.parts[rung.part]:
        case Load() as load if load.role in ENGINE_ROLES:
            return 0
        case Alternator() | Outboard() | Contact() | Combiner():
            return 0
        case Load() as load if load.heavy:
            return 1
        case Inverter():
            return 1
        case Charger() | Solar():
            return 2
        case _:
            return 3

"""From the boat document to places, chains and rungs."""

from collections import Counter
from dataclasses import replace

from server.boat.boat import Boat
from server.boat.parts import (
    Battery,
    Combiner,
)
from server.drawing.circuit import (
    Chain,
    Circuit,
    Link,
    Links,
    Place,
    PlaceKind,
    Polarity,
    Vertex,
)
from server.drawing.polarity import sides
from server.drawing.reader import Reader, positions, read_conductors, read_part
from server.drawing.rungs import with_rungs


def read_circuit(boat: Boat, mode_id: str | None) -> Circuit:
    """The boat as places, chains and rungs, with contacts as the mode sets them."""
    reader, links = finest_graph(boat, mode_id)
    return _cut(reader, links, sides(reader, links))


def finest_graph(boat: Boat, mode_id: str | None) -> tuple[Reader, Links]:
    """Every terminal and every step between two of them, with contacts as the mode sets them."""
    mode = next((m for m in boat.modes if m.id == mode_id), None)
    reader = Reader(boat, positions(mode), {part.id: part for part in boat.parts})
    reader.landings.update((t.part, t.terminal) for c in boat.conductors for t in (c.tail, c.head) if t)
    for order, part in enumerate(boat.parts):
        read_part(reader, part, order)
    read_conductors(reader)
    return reader, Links(reader.links)


def _cut(r: Reader, links: Links, side: dict[Vertex, Polarity]) -> Circuit:
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
    return with_rungs(
        r,
        Circuit(r.parts, named, {ch.index: ch for ch in chains}, (), batteries, links, {}, r.block_states),
        ports,
        side,
        ring_ids,
    )

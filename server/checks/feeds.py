"""Which fuses and breakers feed what: pieces of copper, and the devices between them."""

import math
from dataclasses import dataclass

import networkx as nx

from server.boat.boat import Boat
from server.boat.parts import Breaker, Fuse, Panel
from server.checks.paths import Node, Paths, source_posts
from server.units import Ampere


@dataclass(frozen=True)
class Device:
    """A fuse or breaker between two terminals."""

    name: str
    line: Node
    load: Node
    rating_a: float | None


def pieces(paths: Paths) -> dict[Node, int]:
    """Every terminal's piece of copper, with all fuses and breakers taken out."""
    pieces = enumerate(nx.connected_components(paths.without_devices))
    return {terminal: number for number, members in pieces for terminal in members}


def devices_of(boat: Boat) -> tuple[Device, ...]:
    """Every fuse and breaker of the boat, those of panels among them."""
    found: list[Device] = []
    for part in boat.parts:
        if isinstance(part, (Fuse, Breaker)):
            found.append(Device(part.name, (part.id, "line"), (part.id, "load"), part.rating_a))
        elif isinstance(part, Panel):
            for section in part.sections:
                hub = (part.id, f"{section.id}-bar")
                if section.main_kind is not None:
                    rating = section.main.rating_a if section.main else None
                    found.append(Device(part.name, (part.id, f"{section.id}-feed"), hub, rating))
                for way in section.ways:
                    if way.device_kind is not None:
                        rating = way.device.rating_a if way.device else None
                        found.append(Device(way.name, hub, (part.id, f"{section.id}-{way.id}"), rating))
    return tuple(found)


def feeding(boat: Boat, devices: tuple[Device, ...], piece: dict[Node, int]) -> dict[int, Device]:
    """For every piece without a source of its own: the largest device through which a source feeds it."""
    sources = {piece[post] for _, post in source_posts(boat, "positive")}
    coarse: nx.Graph[int] = nx.Graph()
    coarse.add_nodes_from(set(piece.values()))
    pairs = [(device, piece.get(device.line), piece.get(device.load)) for device in devices]
    for _, a, b in pairs:
        if a is not None and b is not None and a != b:
            coarse.add_edge(a, b)
    found: dict[int, Device] = {}
    for device, a, b in pairs:
        for here, beyond in ((a, b), (b, a)):
            if here is None or beyond is None or here == beyond or here in sources:
                continue
            if _reaches_without(coarse, beyond, sources, here):
                known = found.get(here)
                if known is None or (device.rating_a or 0.0) > (known.rating_a or 0.0):
                    found[here] = device
    return found


def _reaches_without(coarse: "nx.Graph[int]", start: int, sources: set[int], avoided: int) -> bool:
    seen, waiting = {avoided, start}, [start]
    while waiting:
        here = waiting.pop()
        if here in sources:
            return True
        for beyond in set(coarse[here]) - seen:
            seen.add(beyond)
            waiting.append(beyond)
    return False


def capacity(devices: tuple[Device, ...], piece: dict[Node, int], sources: set[int]) -> dict[int, Ampere]:
    """What the fuses and breakers on the way from a source let through to each piece, by its best feed.

    The best feed is the one whose smallest device is the largest; a rating that is not stated bars nothing.
    Pieces that no source feeds are left out.
    """
    found: dict[int, Ampere] = dict.fromkeys(sources, math.inf)
    ends = [(one, piece.get(one.line), piece.get(one.load)) for one in devices]
    around: dict[int, list[tuple[int, Ampere]]] = {}
    for one, a, b in ends:
        if a is not None and b is not None and a != b:
            rating = math.inf if one.rating_a is None else one.rating_a
            around.setdefault(a, []).append((b, rating))
            around.setdefault(b, []).append((a, rating))
    waiting = list(sources)
    while waiting:
        here = waiting.pop()
        for beyond, rating in around.get(here, ()):
            through = min(found[here], rating)
            if through > found.get(beyond, 0.0):
                found[beyond] = through
                waiting.append(beyond)
    return found

"""A second, plain reading of a boat's wiring: what stands before a conductor, on which side it lies."""

import heapq
import math
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from server.boat.boat import Boat
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
    MeasuringShunt,
    Panel,
)
from server.boat.terminals import terminals

Node = tuple[str, str]
Edge = tuple[Node, float]
"""A neighbour, and the rating of the device on the way; infinite for copper and switches."""


def _joined(part: AnyPart) -> Iterator[tuple[str, str, float]]:
    match part:
        case Fuse() | Breaker():
            yield "line", "load", part.rating_a or math.inf
        case MeasuringShunt():
            yield "battery", "system", math.inf
        case Combiner():
            yield "a", "b", math.inf
        case Contact():
            for position in part.positions:
                for a, b in position.closed:
                    yield a, b, math.inf
        case Busbar() | EngineBlock() | Bonding():
            for a, b in pairwise(terminals(part)):
                yield a, b, math.inf
        case Connector():
            for n in range(1, part.pins + 1):
                yield f"a-{n}", f"b-{n}", math.inf
        case Panel():
            yield from _panel(part)
        case _:
            return


def _panel(part: Panel) -> Iterator[tuple[str, str, float]]:
    for section in part.sections:
        feed = f"{section.id}-feed"
        for way in section.ways:
            rating = way.device.rating_a if way.device and way.device.rating_a else math.inf
            yield feed, f"{section.id}-{way.id}", rating
        for n in range(1, section.studs + 1):
            yield feed, f"{section.id}-stud-{n}", math.inf


def wiring(boat: Boat) -> dict[Node, list[Edge]]:
    """Conductors and parts as a graph; loads and sources do not join their terminals."""
    graph: dict[Node, list[Edge]] = defaultdict(list)

    def join(one: Node, other: Node, rating_a: float) -> None:
        graph[one].append((other, rating_a))
        graph[other].append((one, rating_a))

    for part in boat.parts:
        for a, b, rating_a in _joined(part):
            join((part.id, a), (part.id, b), rating_a)
    for conductor in boat.conductors:
        assert conductor.tail is not None
        assert conductor.head is not None
        tail, head = conductor.tail, conductor.head
        join((tail.part, tail.terminal), (head.part, head.terminal), math.inf)
    return graph


def reach(boat: Boat, pole: str) -> dict[Node, float]:
    """All terminals reached from the batteries' poles, each with the largest device chain before it.

    The figure is the smallest rating on the way, on that way on which it is largest: the device that opens
    at last when everything that can feed a fault does. Infinite: no device at all.
    """
    graph = wiring(boat)
    queue = [(-math.inf, (part.id, pole)) for part in boat.parts if isinstance(part, Battery)]
    heapq.heapify(queue)
    found: dict[Node, float] = {}
    while queue:
        negative_rating, node = heapq.heappop(queue)
        if node in found:
            continue
        found[node] = -negative_rating
        for neighbour, rating_a in graph[node]:
            heapq.heappush(queue, (-min(found[node], rating_a), neighbour))
    return found

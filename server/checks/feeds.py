"""Which fuses and breakers feed what: pieces of copper, and the devices between them."""

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Self

from server.boat.boat import Boat
from server.boat.devices import Overcurrent
from server.boat.parts import AnyPart, Breaker, Fuse, Panel
from server.checks.paths import Node, Paths, Pieces
from server.units import Ampere


@dataclass(frozen=True)
class Device:
    """A fuse or breaker between two terminals; `element` is what the engine calls it."""

    name: str
    line: Node
    load: Node
    rating_a: Ampere | None
    element: str = ""
    figures: Overcurrent | None = None
    is_breaker: bool = False


Between = tuple[Device, int, int]
"""A device and the two pieces of copper that it joins."""


def pieces(paths: Paths) -> Pieces:
    """Every terminal's piece of copper, with all fuses and breakers taken out."""
    return paths.pieces_without_devices


def devices_of(boat: Boat) -> tuple[Device, ...]:
    """Every fuse and breaker of the boat, those of panels among them."""
    return tuple(device for part in boat.parts for device in _devices_in(part))


def _devices_in(part: AnyPart) -> Iterator[Device]:
    if isinstance(part, (Fuse, Breaker)):
        ends = (part.id, "line"), (part.id, "load")
        yield Device(part.name, *ends, part.rating_a, part.id, part, isinstance(part, Breaker))
    elif isinstance(part, Panel):
        for section in part.sections:
            hub, feed = (part.id, f"{section.id}-bar"), (part.id, f"{section.id}-feed")
            if section.main_kind is not None:
                yield _inside(part.name, (feed, hub), feed, section.main, section.main_kind)
            for way in section.ways:
                if way.device_kind is not None:
                    own = (part.id, f"{section.id}-{way.id}")
                    yield _inside(way.name, (hub, own), own, way.device, way.device_kind)


def _inside(
    name: str, ends: tuple[Node, Node], named: Node, figures: Overcurrent | None, kind: str
) -> Device:
    rating_a = figures.rating_a if figures else None
    return Device(name, *ends, rating_a, ".".join(named), figures, kind == "breaker")


def between(devices: tuple[Device, ...], piece: dict[Node, int]) -> list[Between]:
    """Each device with the two pieces that it joins."""
    ends = ((one, piece.get(one.line), piece.get(one.load)) for one in devices)
    return [(one, a, b) for one, a, b in ends if a is not None and b is not None and a != b]


def feeding(joins: list[Between], sources: set[int]) -> dict[int, Device]:
    """For every piece without a source of its own: the largest device through which a source feeds it."""
    found: dict[int, Device] = {}
    for device, here, _ in feeds_into(joins, sources):
        known = found.get(here)
        if known is None or (device.rating_a or 0.0) > (known.rating_a or 0.0):
            found[here] = device
    return found


def feeds_into(joins: list[Between], sources: set[int]) -> Iterator[tuple[Device, int, int]]:
    """Each device with a piece that it feeds, and the piece from which: it may feed both, one after another.

    Pieces with a source of their own are left out: no device stands between it and them.
    """
    walk = _Walk.over(joins, sources)
    for device, a, b in joins:
        for here, beyond in ((a, b), (b, a)):
            if here not in sources and walk.reaches_without(beyond, here):
                yield device, here, beyond


@dataclass(frozen=True, slots=True)
class _Walk:
    """A depth-first walk from all sources: when each piece is entered and left, how far back it is tied.

    As in finding articulation points (Hopcroft and Tarjan 1973).
    """

    entered: dict[int, int]
    left: dict[int, int]
    tied: dict[int, int]
    children: dict[int, list[int]]

    @classmethod
    def over(cls, joins: list[Between], sources: set[int]) -> Self:
        around: dict[int, list[int]] = {_SOURCE: sorted(sources)}
        for source in sources:
            around[source] = [_SOURCE]
        for _, a, b in joins:
            around.setdefault(a, []).append(b)
            around.setdefault(b, []).append(a)
        walk = cls({_SOURCE: 0}, {}, {_SOURCE: 0}, {})
        trail = [(_SOURCE, _SOURCE, iter(around[_SOURCE]))]
        while trail:
            here, came_from, onward = trail[-1]
            beyond = next(onward, None)
            if beyond is None:
                trail.pop()
                walk.left[here] = len(walk.entered) - 1
                walk.tied[came_from] = min(walk.tied[came_from], walk.tied[here])
            elif beyond not in walk.entered:
                walk.entered[beyond] = walk.tied[beyond] = len(walk.entered)
                walk.children.setdefault(here, []).append(beyond)
                trail.append((beyond, here, iter(around[beyond])))
            elif beyond != came_from:
                walk.tied[here] = min(walk.tied[here], walk.entered[beyond])
        return walk

    def reaches_without(self, start: int, avoided: int) -> bool:
        """Whether a piece is joined to a source by some way that avoids its neighbour."""
        at, entered = self.entered.get(start), self.entered
        if at is None:
            return False
        if not entered[avoided] < at <= self.left[avoided]:
            return True
        below = self.children[avoided]
        child = below[bisect_right(below, at, key=entered.__getitem__) - 1]
        return self.tied[child] < entered[avoided]


_SOURCE = -1
"""Stands for everything that feeds the boat."""


def capacity(joins: list[Between], sources: set[int]) -> dict[int, Ampere]:
    """What the fuses and breakers on the way from a source let through to each piece, by its best feed.

    The best feed is the one whose smallest device is the largest; a rating that is not stated bars nothing.
    Pieces that no source feeds are left out.
    """
    found: dict[int, Ampere] = dict.fromkeys(sources, math.inf)
    around: dict[int, list[tuple[int, Ampere]]] = {}
    for one, a, b in joins:
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

"""What the picture is about: places where conductors meet, and the unbranched chains between them.

A place is a bar, a battery post, a many-legged switch, a terminal where several conductors land,
or the edge of a rung (load, source, converter).
A chain holds the conductors and in-line parts between two places.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from server.boat.parts import AnyPart

Vertex = tuple[str, str]
Polarity = Literal["positive", "negative"]
StepKind = Literal["conductor", "link", "fuse", "breaker", "contact", "shunt", "connector", "combiner", "way"]
PlaceKind = Literal[
    "busbar",
    "post",
    "engine-block",
    "bonding",
    "section",
    "battery",
    "junction",
    "block",
    "rung",
    "end",
    "turn",
]


@dataclass(frozen=True, slots=True)
class Step:
    """One conductor (or several in parallel) or one in-line part of a chain.

    ``element`` is its key in answers: a conductor's or part's id, or ``part.way``.
    ``backwards`` where it is seen from its head, against the direction that its current counts in;
    ``told`` is what may be written beside a conductor, the fullest first.
    """

    kind: StepKind
    ids: tuple[str, ...]
    element: str
    name: str
    label: str
    tail: Vertex
    head: Vertex
    is_open: bool = False
    backwards: bool = False
    told: tuple[str, ...] = ()

    @property
    def is_conductor(self) -> bool:
        """Whether it is drawn as a line rather than a symbol."""
        return self.kind in ("conductor", "link")

    def turned(self) -> "Step":
        """The same step seen from its other end."""
        return Step(
            self.kind,
            self.ids,
            self.element,
            self.name,
            self.label,
            self.head,
            self.tail,
            self.is_open,
            not self.backwards,
            self.told,
        )


@dataclass(frozen=True, slots=True)
class Place:
    """Somewhere that conductors land; ``spares`` are its free ways with their names."""

    key: str
    kind: PlaceKind
    part: str
    name: str
    side: Polarity
    order: int
    terminals: tuple[Vertex, ...] = ()
    spares: tuple[tuple[Vertex, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Chain:
    """The way between two places; steps run from ``a`` to ``b``. Folded chains count what they hold."""

    index: int
    a: str
    a_at: Vertex
    b: str
    b_at: Vertex
    steps: tuple[Step, ...]
    folded: tuple[str, ...] = ()
    count: int = 1

    def far(self, place: str) -> str:
        """The place at its other end."""
        return self.b if place == self.a else self.a

    def turned(self) -> "Chain":
        """The same chain from its other end."""
        steps = tuple(step.turned() for step in reversed(self.steps))
        return Chain(self.index, self.b, self.b_at, self.a, self.a_at, steps, self.folded, self.count)


@dataclass(frozen=True, slots=True)
class Port:
    """A terminal at a rung's edge, with the chain that leads to it, if any does."""

    at: Vertex
    name: str
    chain: int | None


RungKind = Literal["load", "source", "converter", "coil", "ground", "tie", "fold", "apart"]


@dataclass(frozen=True, slots=True)
class Rung:
    """One row of the ladder, or several where it has several terminals on one side."""

    key: str
    kind: RungKind
    part: str
    name: str
    symbol: str
    left: tuple[Port, ...]
    right: tuple[Port, ...]
    members: tuple[str, ...] = ()
    level: int = 0
    voltage_v: float = 0.0
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Circuit:
    """Places, chains and rungs of one boat in one mode, ready to be laid out."""

    parts: dict[str, AnyPart]
    places: dict[str, Place]
    chains: dict[int, Chain]
    rungs: tuple[Rung, ...]
    batteries: tuple[str, ...]
    links: "Links"
    folds: dict[str, tuple[str, ...]] = field(default_factory=dict)
    block_states: dict[str, str] = field(default_factory=dict)

    def at(self, place: str) -> list[Chain]:
        """The chains that end at a place, each seen from there."""
        return [c if c.a == place else c.turned() for c in self.chains.values() if place in (c.a, c.b)]


@dataclass(frozen=True, slots=True)
class Link:
    """A step between two vertices of the finest graph."""

    a: Vertex
    b: Vertex
    step: Step | None
    is_open: bool = False


class Links:
    """The finest graph: every conductor and every closed or open pair inside a part."""

    def __init__(self, links: Iterable[Link]) -> None:
        """Index the links by their ends."""
        self.all = tuple(links)
        self.at: dict[Vertex, list[Link]] = {}
        for link in self.all:
            self.at.setdefault(link.a, []).append(link)
            self.at.setdefault(link.b, []).append(link)

    def nearest(self, seeds: dict[Vertex, Polarity]) -> dict[Vertex, Polarity]:
        """Which seed each vertex is nearest to, counted in links whatever their state."""
        found = dict(seeds)
        ring = list(seeds)
        while ring:
            following = []
            for vertex in ring:
                for link in self.at.get(vertex, ()):
                    other = link.b if link.a == vertex else link.a
                    if other not in found:
                        found[other] = found[vertex]
                        following.append(other)
            ring = following
        return found

    def path(self, start: Vertex, goals: frozenset[Vertex]) -> tuple[Vertex | None, tuple[Step, ...]]:
        """Which of ``goals`` is nearest by closed contacts, and the steps of a shortest way there."""
        came: dict[Vertex, Link | None] = {start: None}
        ring = [start]
        while ring:
            following = []
            for vertex in ring:
                if vertex in goals:
                    return vertex, self._back(vertex, came)
                for link in self.at.get(vertex, ()):
                    other = link.b if link.a == vertex else link.a
                    if not link.is_open and other not in came:
                        came[other] = link
                        following.append(other)
            ring = following
        return None, ()

    def _back(self, vertex: Vertex, came: dict[Vertex, Link | None]) -> tuple[Step, ...]:
        steps = []
        while (link := came[vertex]) is not None:
            if link.step is not None:
                steps.append(link.step)
            vertex = link.a if link.b == vertex else link.b
        return tuple(steps)

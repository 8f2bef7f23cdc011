"""The circuit as arrays: one frozen record for each kind of element."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from itertools import pairwise
from typing import ClassVar, Self

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from server.engine.arrays import Flags, Floats, Indices
from server.engine.pattern import Pattern
from server.units import Ohm

SHORTEST_OHM = 1e-6
"""Below this, nodes are merged: the current (v - v')/R of a smaller element drowns in rounding."""


@dataclass(frozen=True, eq=False)
class Elements:
    """Two-terminal elements of one kind; ``tail`` and ``head`` are node numbers."""

    FIGURES: ClassVar[tuple[str, ...]] = ()
    NODES: ClassVar[tuple[str, ...]] = ("tail", "head")

    tail: Indices
    head: Indices

    @classmethod
    def of(cls, rows: Sequence[tuple[float, ...]]) -> Self:
        """The record of some rows, each giving the fields in their order."""
        if not rows:
            return cls.none()
        block, count = np.array(rows, np.float64).T, len(cls.NODES)
        return cls(*block[:count].astype(np.intp), *np.ascontiguousarray(block[count:]))

    @classmethod
    @cache
    def none(cls) -> Self:
        """The record of no rows."""
        return cls.columns()

    @classmethod
    def columns(cls, *columns: Sequence[float]) -> Self:
        """The record of lists, one a field in their order; no list at all makes an empty record."""
        names = cls.NODES + cls.FIGURES
        filled = columns or ((),) * len(names)
        nodes = [np.array(column, dtype=np.intp) for column in filled[: len(cls.NODES)]]
        figures = [np.array(column, dtype=np.float64) for column in filled[len(cls.NODES) :]]
        return cls(*nodes, *figures)

    def __len__(self) -> int:
        """How many elements there are."""
        return len(self.tail)

    def chosen(self, stands: Flags) -> Self:
        """Those of the elements that stand."""
        if stands.all():
            return self
        return replace(self, **{name: getattr(self, name)[stands] for name in self.NODES + self.FIGURES})

    def followed_by(self, more: Self) -> Self:
        """These elements and then some more."""
        if not len(self):
            return more
        names = self.NODES + self.FIGURES
        return replace(
            self, **{name: np.concatenate([getattr(self, name), getattr(more, name)]) for name in names}
        )

    def renumbered(self, number: Indices) -> Self:
        """The same elements between nodes of other numbers."""
        return replace(self, **{name: number[getattr(self, name)] for name in self.NODES})


@dataclass(frozen=True, eq=False)
class Resistors(Elements):
    """Conductors with their joints, contacts, fuses; also resistive loads and stalled motors."""

    FIGURES: ClassVar[tuple[str, ...]] = ("ohm",)

    ohm: Floats


@dataclass(frozen=True, eq=False)
class Sources(Elements):
    """Batteries: an electromotive force behind a resistance; tail is the negative terminal."""

    FIGURES: ClassVar[tuple[str, ...]] = ("emf_v", "ohm")

    emf_v: Floats
    ohm: Floats


@dataclass(frozen=True, eq=False)
class LimitedSources(Elements):
    """Regulated sources: a set point behind a resistance, a current limit, no reverse current."""

    FIGURES: ClassVar[tuple[str, ...]] = ("setpoint_v", "ohm", "limit_a")

    setpoint_v: Floats
    ohm: Floats
    limit_a: Floats


@dataclass(frozen=True, eq=False)
class Diodes(Elements):
    """Isolator paths: a forward drop and a slope; tail is the anode."""

    FIGURES: ClassVar[tuple[str, ...]] = ("drop_v", "ohm")

    drop_v: Floats
    ohm: Floats


@dataclass(frozen=True, eq=False)
class Relays(Elements):
    """Combining relays: close when a sensed node stands ``close_v`` above the reference, until ``open_v``."""

    NODES: ClassVar[tuple[str, ...]] = ("tail", "head", "sense", "other_sense", "reference")
    FIGURES: ClassVar[tuple[str, ...]] = ("ohm", "close_v", "open_v")

    sense: Indices
    other_sense: Indices
    reference: Indices
    ohm: Floats
    close_v: Floats
    open_v: Floats


@dataclass(frozen=True, eq=False)
class Loads(Elements):
    """Loads of constant current (A) or constant power (W); below ``cut_out_v`` each is a resistance."""

    FIGURES: ClassVar[tuple[str, ...]] = ("amount", "is_power", "cut_out_v")

    amount: Floats
    is_power: Floats
    cut_out_v: Floats


@dataclass(frozen=True, eq=False)
class Converters:
    """DC-DC converters: row of the input in ``loads``, row of the output in ``limited``."""

    load: Indices = field(default_factory=lambda: np.zeros(0, np.intp))
    output: Indices = field(default_factory=lambda: np.zeros(0, np.intp))
    efficiency: Floats = field(default_factory=lambda: np.zeros(0))
    idle_w: Floats = field(default_factory=lambda: np.zeros(0))

    @classmethod
    def of(cls, rows: Sequence[tuple[int, int, float, float]]) -> "Converters":
        """The record of some rows, each giving the fields in their order."""
        if not rows:
            return cls()
        load, output, efficiency, idle_w = zip(*rows, strict=True)
        return cls(np.array(load, np.intp), np.array(output, np.intp), np.array(efficiency), np.array(idle_w))

    def __len__(self) -> int:
        """How many converters there are."""
        return len(self.load)


@dataclass(frozen=True, eq=False)
class Network:
    """A circuit of one mode: ``nodes`` nodes and the elements between them."""

    KINDS: ClassVar[tuple[str, ...]] = (
        "resistors", "sources", "limited", "diodes", "relays", "resistive", "loads",
    )  # fmt: skip

    nodes: int
    resistors: Resistors = field(default_factory=Resistors.columns)
    sources: Sources = field(default_factory=Sources.columns)
    limited: LimitedSources = field(default_factory=LimitedSources.columns)
    diodes: Diodes = field(default_factory=Diodes.columns)
    relays: Relays = field(default_factory=Relays.columns)
    resistive: Resistors = field(default_factory=Resistors.columns)
    loads: Loads = field(default_factory=Loads.columns)
    converters: Converters = field(default_factory=Converters)

    def of_kind(self, kind: str) -> Elements:
        """The record of one of ``KINDS``."""
        record: Elements = getattr(self, kind)
        return record

    @cached_property
    def spans(self) -> dict[str, slice]:
        """Where each kind stands in the numbering of all elements."""
        ends = np.cumsum([0, *(len(self.of_kind(kind)) for kind in self.KINDS)]).tolist()
        return {kind: slice(*span) for kind, span in zip(self.KINDS, pairwise(ends), strict=True)}

    @cached_property
    def size(self) -> int:
        """How many elements there are."""
        return len(self.tail)

    @cached_property
    def tail(self) -> Indices:
        """Tail node of every element."""
        return np.concatenate([self.of_kind(kind).tail for kind in self.KINDS])

    @cached_property
    def head(self) -> Indices:
        """Head node of every element."""
        return np.concatenate([self.of_kind(kind).head for kind in self.KINDS])

    @cached_property
    def merged(self) -> Flags:
        """Which elements are too short to be solved: their two nodes are one."""
        short = np.zeros(self.size, bool)
        for kind in ("resistors", "resistive"):
            short[self.spans[kind]] = getattr(self, kind).ohm < SHORTEST_OHM
        return short

    @cached_property
    def node_of(self) -> Indices:
        """For every node, the lowest node it is merged with (itself, as a rule)."""
        if not self.merged.any():
            return np.arange(self.nodes)
        tail, head = self.tail[self.merged], self.head[self.merged]
        joined = coo_array((np.ones(len(tail)), (tail, head)), shape=(self.nodes, self.nodes))
        _, group = connected_components(joined, directed=False)
        _, first = np.unique(group, return_index=True)
        lowest: Indices = first[group]
        return lowest

    @cached_property
    def solved_tail(self) -> Indices:
        """Tail node of every element after merging."""
        return self.node_of[self.tail]

    @cached_property
    def solved_head(self) -> Indices:
        """Head node of every element after merging."""
        return self.node_of[self.head]

    @cached_property
    def pattern(self) -> Pattern:
        """The pattern of the matrix after merging."""
        return Pattern(self.nodes, self.solved_tail, self.solved_head)

    def with_lead(self, row: int, tail: int, head: int, ohm: Ohm) -> "Network":
        """The same network with one resistor laid between other nodes."""
        old = self.resistors
        tails, heads, ohms = old.tail.copy(), old.head.copy(), old.ohm.copy()
        tails[row], heads[row], ohms[row] = tail, head, ohm
        return replace(self, resistors=Resistors(tails, heads, ohms))

    def renumbered(self, number: Indices, nodes: int) -> "Network":
        """The same network with other numbers for its nodes."""
        return Network(
            nodes=nodes,
            resistors=self.resistors.renumbered(number),
            sources=self.sources.renumbered(number),
            limited=self.limited.renumbered(number),
            diodes=self.diodes.renumbered(number),
            relays=self.relays.renumbered(number),
            resistive=self.resistive.renumbered(number),
            loads=self.loads.renumbered(number),
            converters=self.converters,
        )

"""The rows a netlist is collected in, kind by kind, before they become arrays."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np

from server.boat.boat import Boat
from server.boat.modes import Conditions, Mode
from server.boat.parts import AnyPart
from server.engine.arrays import Floats
from server.engine.figures import Figures, Level
from server.engine.network import (
    Converters,
    Diodes,
    LimitedSources,
    Loads,
    Network,
    Relays,
    Resistors,
    Sources,
)
from server.units import Volt

Terminal = tuple[str, str]
"""A part's id and the name of one of its terminals (or of one of a load's inputs)."""


NOTHING = (0, 0.0)
"""A figure that adds nothing to a resistance."""
MOST_FIGURES = 3
"""Wire and two joints."""


class Label(NamedTuple):
    """What an element is on the boat: the id of a part, ``part.way`` or a conductor, and its kind."""

    element: str
    kind: str


class ConverterRow(NamedTuple):
    """Rows of a converter's input and output, and its losses."""

    load: int
    output: int
    efficiency: float
    idle_w: float


@dataclass
class Rows:
    """Rows of every kind, filled part by part."""

    boat: Boat
    mode: Mode
    event_conditions: Conditions | None
    figures: Figures
    heavy: frozenset[Terminal]
    nodes: dict[Terminal, int] = field(default_factory=dict)
    count: int = 0
    resistors: list[int] = field(default_factory=list)
    figure_numbers: list[int] = field(default_factory=list)
    coefficients: list[float] = field(default_factory=list)
    other: dict[str, list[tuple[float, ...]]] = field(
        default_factory=lambda: {kind: [] for kind in Network.KINDS}
    )
    labels: dict[str, list[Label]] = field(default_factory=lambda: {kind: [] for kind in Network.KINDS})
    converters: list[ConverterRow] = field(default_factory=list)
    inputs: dict[Terminal, tuple[str, int]] = field(default_factory=dict)
    stalled: dict[Terminal, tuple[str, int]] = field(default_factory=dict)
    off: list[tuple[str, int]] = field(default_factory=list)
    bands: list[tuple[str, int, str, Level]] = field(default_factory=list)
    unknown: list[tuple[str, str]] = field(default_factory=list)
    open_pairs: list[tuple[int, int, Label]] = field(default_factory=list)
    """Node pairs that another position of a switch or device would join."""
    panel_bars: list[int] = field(default_factory=list)

    @cached_property
    def positions(self) -> dict[tuple[str, str | None], str]:
        """The positions the mode sets, by part and panel way."""
        return {(setting.part, setting.way): setting.position for setting in self.mode.positions}

    @cached_property
    def running(self) -> frozenset[tuple[str, str | None]]:
        """What is on: part and input, None for all inputs of the part."""
        return frozenset((running.part, running.input) for running in self.mode.on)

    @cached_property
    def island_v(self) -> dict[str, Volt]:
        """Nominal voltage of every voltage island."""
        return {island.id: island.nominal_voltage_v for island in self.boat.islands}

    @cached_property
    def conditions(self) -> tuple[Conditions, ...]:
        """The conditions that hold, those of the event first."""
        return tuple(c for c in (self.event_conditions, self.mode.conditions) if c is not None)

    def nominal_v(self, part: AnyPart) -> Volt:
        """Nominal voltage of the part's island."""
        return self.boat.nominal_voltage_v if part.island is None else self.island_v[part.island]

    def is_on(self, part: str, name: str | None = None) -> bool:
        """Whether the mode lists a part, or one of its inputs, as on."""
        return (part, None) in self.running or (name is not None and (part, name) in self.running)

    def new_node(self) -> int:
        """A node that no terminal has."""
        self.count += 1
        return self.count - 1

    def join(self, part: str, terminals: Sequence[str]) -> int:
        """One node for several terminals."""
        node = self.new_node()
        for terminal in terminals:
            self.nodes[part, terminal] = node
        return node

    def separate(self, part: str, terminals: Sequence[str]) -> None:
        """A node for each terminal."""
        for terminal in terminals:
            self.nodes[part, terminal] = self.new_node()

    def resistor(self, label: Label, tail: int, head: int, *parts: tuple[int, float]) -> None:
        """A resistor that is a sum of up to three figures times coefficients."""
        first, a = parts[0]
        second, b = parts[1] if len(parts) > 1 else NOTHING
        third, c = parts[2] if len(parts) > MOST_FIGURES - 1 else NOTHING
        self.resistors += (tail, head)
        self.figure_numbers += (first, second, third)
        self.coefficients += (a, b, c)
        self.labels["resistors"].append(label)

    def add(self, kind: str, label: Label, *row: float, on: bool = True) -> int:
        """A row of another kind; one that is not on is out of the circuit."""
        number = len(self.other[kind])
        self.other[kind].append(row)
        self.labels[kind].append(label)
        if not on:
            self.off.append((kind, number))
        return number

    def band(self, kind: str, row: int, figure: str, level: Level) -> None:
        """Note that a figure of a row is uncertain."""
        if level.low < level.high:
            self.bands.append((kind, row, figure, level))

    def network(self, ohm: Floats) -> Network:
        """The arrays; ``ohm`` are the resistances of the resistors."""
        ends = np.array(self.resistors, dtype=np.intp).reshape(-1, 2)
        other = self.other
        return Network(
            nodes=max(self.count, 1),
            resistors=Resistors(np.ascontiguousarray(ends[:, 0]), np.ascontiguousarray(ends[:, 1]), ohm),
            sources=Sources.of(other["sources"]),
            limited=LimitedSources.of(other["limited"]),
            diodes=Diodes.of(other["diodes"]),
            relays=Relays.of(other["relays"]),
            resistive=Resistors.of(other["resistive"]),
            loads=Loads.of(other["loads"]),
            converters=Converters(
                np.array([c.load for c in self.converters], np.intp),
                np.array([c.output for c in self.converters], np.intp),
                np.array([c.efficiency for c in self.converters], np.float64),
                np.array([c.idle_w for c in self.converters], np.float64),
            ),
        )

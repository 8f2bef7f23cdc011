"""From a boat and a mode to numbered nodes and elements; trade units stop here.

Every load input and every source is an element whether it is on or not; ``off`` marks those that are out
of the circuit in the mode. A heavy load has a second element for the first instant of its start: its stalled
resistance, which is ``off`` until its event. One network thus serves a mode and all its events.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import compress

import numpy as np

from server.boat.boat import Boat
from server.boat.modes import Conditions, Mode
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Figures, Level
from server.engine.netlist_batteries import BatterySource
from server.engine.netlist_choice import Choice
from server.engine.netlist_layout import layout_of
from server.engine.netlist_rows import Label, Row, Terminal
from server.engine.network import Network


@dataclass(frozen=True, eq=False)
class Netlist:
    """A network with what its numbers mean on the boat."""

    network: Network
    choice: Choice
    off: Flags
    figures: Figures
    batteries: tuple[BatterySource, ...]
    coefficient: Floats
    figure_number: Indices

    @cached_property
    def nodes(self) -> Mapping[Terminal, int]:
        """The node of every terminal."""
        nodes = self.choice.layout.parts.rows.points.number
        if not self.choice.joins_any:
            return nodes
        numbers = self.choice.node_number[np.fromiter(nodes.values(), np.intp, len(nodes))]
        return dict(zip(nodes, numbers.tolist(), strict=True))

    @cached_property
    def labels(self) -> tuple[Label, ...]:
        """What every element is on the boat."""
        return tuple(compress(self.choice.layout.labels, self.choice.elements.tolist()))

    @cached_property
    def inputs(self) -> Mapping[Terminal, int]:
        """The element of every input of every load."""
        return self._elements(self.choice.layout.parts.inputs)

    @cached_property
    def stalled(self) -> Mapping[Terminal, int]:
        """The element of every heavy input at the first instant of its start."""
        return self._elements(self.choice.layout.parts.rows.stalled)

    def _elements(self, rows: Mapping[Terminal, Row]) -> Mapping[Terminal, int]:
        starts = {kind: span.start for kind, span in self.network.spans.items()}
        return {key: starts[kind] + number for key, (kind, number) in rows.items()}

    @cached_property
    def bands(self) -> tuple[tuple[int, str, Level], ...]:
        """What is uncertain besides the assumptions that resistors are made of: element, figure, level."""
        return (*self._battery_bands(), *self._other_bands())

    def _battery_bands(self) -> Iterator[tuple[int, str, Level]]:
        for element, battery in enumerate(self.batteries, self.network.spans["sources"].start):
            yield from ((element, figure, level) for figure, level in battery.bands)

    def _other_bands(self) -> Iterator[tuple[int, str, Level]]:
        for row, figure, level in self.choice.layout.bands:
            if self.choice.row_stands(row):
                yield self.choice.element(row), figure, level

    @cached_property
    def unknown(self) -> tuple[tuple[str, str], ...]:
        """Parts and conductors of which a figure is not known, and what that means."""
        stands, notes = self.choice.row_stands, self.choice.layout.notes
        return tuple((note.subject, note.text) for note in notes if note.row is None or stands(note.row))

    @cached_property
    def open_pairs(self) -> tuple[tuple[int, int, Label], ...]:
        """Node pairs that another position of a switch or device would join."""
        return tuple(self.choice.open_pairs())

    @cached_property
    def panel_bars(self) -> frozenset[int]:
        """The bars of panels' positive sections."""
        bars = np.array(self.choice.layout.parts.rows.panel_bars, np.intp)
        return frozenset(self.choice.node_number[bars].tolist())

    @cached_property
    def rows_of(self) -> Mapping[str, tuple[int, ...]]:
        """The elements that a part, panel way or conductor is made of."""
        found: dict[str, tuple[int, ...]] = {}
        for number, label in enumerate(self.labels):
            found[label.element] = (*found.get(label.element, ()), number)
        return found

    @cached_property
    def unknown_wires(self) -> Indices:
        """The elements that are wires of unknown resistance."""
        names = {name for name, _ in self.unknown}
        wires = (
            row for row, label in enumerate(self.labels) if label.kind == "wire" and label.element in names
        )
        return np.fromiter(wires, np.intp)

    @cached_property
    def split_ohm(self) -> Floats:
        """Resistance of wire, tail joint and head joint of every conductor (rows: resistors)."""
        values = np.array([level.value for level in self.figures.levels])
        split: Floats = self.coefficient * values[self.figure_number]
        return split

    def node(self, part: str, terminal: str) -> int:
        """The node of a terminal."""
        return self.nodes[part, terminal]


def netlist(boat: Boat, mode: Mode, conditions: Conditions | None = None) -> Netlist:
    """The network of a boat in a mode; ``conditions`` of an event go before those of the mode."""
    layout = layout_of(boat)
    choice = Choice.of(layout, mode.positions)
    figures = layout.figures.holding(choice.figures_taken())
    stated = [one for one in (conditions, mode.conditions) if one is not None]
    batteries = tuple(BatterySource.of(figures, part, stated) for part in layout.parts.rows.batteries)
    sources = replace(
        choice.network.sources,
        emf_v=np.array([battery.rest.value for battery in batteries], np.float64),
        ohm=np.array([battery.ohm for battery in batteries], np.float64),
    )
    return Netlist(
        network=replace(choice.network, sources=sources),
        choice=choice,
        off=choice.off(mode.on),
        figures=figures,
        batteries=batteries,
        coefficient=layout.coefficient[choice.stands["resistors"]],
        figure_number=layout.figure_number[choice.stands["resistors"]],
    )

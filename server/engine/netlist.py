"""From a boat and a mode to numbered nodes and elements; trade units stop here.

Every load input and every source is an element whether it is on or not; ``off`` marks those that are out
of the
circuit in the mode. A heavy load has a second element for the first instant of its start: its stalled
resistance, which is ``off`` until its event. One network thus serves a mode and all its events.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

import numpy as np

from server.boat.boat import Boat
from server.boat.events import heavy_inputs
from server.boat.modes import Conditions, Mode
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Figures, Level
from server.engine.netlist_conductors import add_conductors
from server.engine.netlist_parts import PARTS
from server.engine.netlist_rows import Label, Rows, Terminal
from server.engine.network import Network


@dataclass(frozen=True, eq=False)
class Netlist:
    """A network with what its numbers mean on the boat."""

    network: Network
    nodes: Mapping[Terminal, int]
    labels: tuple[Label, ...]
    inputs: Mapping[Terminal, int]
    stalled: Mapping[Terminal, int]
    off: Flags
    figures: Figures
    coefficient: Floats
    figure_number: Indices
    bands: tuple[tuple[int, str, Level], ...]
    unknown: tuple[tuple[str, str], ...]
    open_pairs: tuple[tuple[int, int, Label], ...]
    panel_bars: frozenset[int]

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
    figures = Figures.of(boat)
    rows = Rows(boat, mode, conditions, figures, frozenset((h.part, h.input) for h in heavy_inputs(boat)))
    for part in boat.parts:
        PARTS[type(part)](rows, part)
    add_conductors(rows, boat)
    return _finished(rows)


def _finished(rows: Rows) -> Netlist:
    values = np.array([level.value for level in rows.figures.levels])
    numbers = np.array(rows.figure_numbers, dtype=np.intp).reshape(-1, 3)
    coefficients = np.array(rows.coefficients, dtype=np.float64).reshape(-1, 3)
    ohm = (coefficients * values[numbers]).sum(axis=1)
    network = rows.network(ohm)
    kinds = Network.KINDS
    starts = {kind: network.spans[kind].start for kind in kinds}
    off = np.zeros(network.size, bool)
    for kind, row in rows.off:
        off[starts[kind] + row] = True
    return Netlist(
        network=network,
        nodes=rows.nodes,
        labels=tuple(chain.from_iterable(rows.labels[kind] for kind in kinds)),
        inputs={key: starts[kind] + row for key, (kind, row) in rows.inputs.items()},
        stalled={key: starts[kind] + row for key, (kind, row) in rows.stalled.items()},
        off=off,
        figures=rows.figures,
        coefficient=coefficients,
        figure_number=numbers,
        bands=tuple((starts[kind] + row, figure, level) for kind, row, figure, level in rows.bands),
        unknown=tuple(rows.unknown),
        open_pairs=tuple(rows.open_pairs),
        panel_bars=frozenset(rows.panel_bars),
    )

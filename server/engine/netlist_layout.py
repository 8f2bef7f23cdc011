"""All of a boat's circuit that some mode could close or turn on, as columns: what no mode changes.

The parts come first, then the conductors. Both are kept for the boat's later versions that share them, so an
edit of a conductor leaves the parts' columns alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

import numpy as np

from server.boat.boat import Boat, Island, Override
from server.boat.conductors import Cable, Conductor
from server.boat.parts import AnyPart, EngineBlock
from server.boat.terminals import terminals
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Figures, Level
from server.engine.memo import Latest
from server.engine.netlist_conductors import ConductorRows, Surroundings
from server.engine.netlist_parts import PARTS
from server.engine.netlist_rows import MOST_FIGURES, Label, Note, Row, Rows, Terminal
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

_BOATS_KEPT = 12


@dataclass(frozen=True, eq=False)
class PartColumns:
    """The rows of a boat's parts as arrays; batteries have no figures, which follow from conditions."""

    rows: Rows
    network: Network
    figure_number: Indices
    coefficient: Floats
    is_block: Flags
    """Which nodes are an engine block."""

    @classmethod
    def of(
        cls,
        parts: tuple[AnyPart, ...],
        assumptions: tuple[Override, ...],
        islands: tuple[Island, ...],
        nominal_v: Volt,
    ) -> "PartColumns":
        """The columns of parts, with the assumptions that hold and the islands they are on."""
        island_v = {island.id: island.nominal_voltage_v for island in islands}
        rows = Rows(nominal_v, island_v, Figures.with_overrides(assumptions))
        for part in parts:
            PARTS[type(part)](rows, part)
        studs = [rows.nodes[p.id, stud] for p in parts if isinstance(p, EngineBlock) for stud in terminals(p)]
        blocks = np.zeros(rows.count, bool)
        blocks[studs] = True
        number = np.zeros((len(rows.figure_numbers), MOST_FIGURES), np.intp)
        number[:, 0] = rows.figure_numbers
        coefficient = np.zeros(number.shape)
        coefficient[:, 0] = rows.coefficients
        ohm = made_ohm(number, coefficient, rows.figures)
        return cls(rows, _network(rows, ohm), number, coefficient, blocks)

    @cached_property
    def runs_with(self) -> tuple[Terminal, ...]:
        """For every element besides resistors, the input or source that must be on."""
        return tuple(chain.from_iterable(self.rows.runs_with[kind] for kind in Network.KINDS))

    @cached_property
    def joins(self) -> Indices:
        """Bar and way of every panel way without a device."""
        return np.array([(join.bar, join.way) for join in self.rows.joins], np.intp).reshape(-1, 2)


def _network(rows: Rows, ohm: Floats) -> Network:
    ends = np.array(rows.resistors, np.intp).reshape(-1, 2)
    unknown = np.full(len(rows.batteries), np.nan)
    posts = np.array(rows.other["sources"], np.intp).reshape(-1, 2)
    return Network(
        nodes=max(rows.count, 1),
        resistors=Resistors(ends[:, 0], ends[:, 1], ohm),
        sources=Sources(posts[:, 0], posts[:, 1], unknown, unknown),
        limited=LimitedSources.of(rows.other["limited"]),
        diodes=Diodes.of(rows.other["diodes"]),
        relays=Relays.of(rows.other["relays"]),
        resistive=Resistors.of(rows.other["resistive"]),
        loads=Loads.of(rows.other["loads"]),
        converters=Converters.of(rows.converters),
    )


def made_ohm(number: Indices, coefficient: Floats, figures: Figures) -> Floats:
    """Resistances as sums of figures times coefficients."""
    ohm: Floats = (coefficient * figures.values[number]).sum(axis=1)
    return ohm


@dataclass(frozen=True, eq=False)
class Layout:
    """A boat's columns: its network as if every switch stood in all its positions at once."""

    parts: PartColumns
    conductors: ConductorRows
    figures: Figures
    network: Network
    figure_number: Indices
    coefficient: Floats

    @classmethod
    def of(cls, parts: PartColumns, conductors: tuple[Conductor, ...], cables: tuple[Cable, ...]) -> "Layout":
        """The columns of parts and conductors."""
        figures, rows = parts.rows.figures.copy(), parts.rows
        own_ohm_per_m = {cable.id: cable.ohm_per_m for cable in cables if cable.ohm_per_m is not None}
        around = Surroundings(rows.nodes, parts.is_block, own_ohm_per_m)
        wires, before = ConductorRows.of(conductors, figures, around), parts.network.resistors
        resistors = Resistors(
            tail=np.concatenate([before.tail, wires.tail]),
            head=np.concatenate([before.head, wires.head]),
            ohm=np.concatenate([before.ohm, made_ohm(wires.figure_number, wires.coefficient, figures)]),
        )
        return cls(
            parts=parts,
            conductors=wires,
            figures=figures,
            network=replace(parts.network, resistors=resistors),
            figure_number=np.concatenate([parts.figure_number, wires.figure_number]),
            coefficient=np.concatenate([parts.coefficient, wires.coefficient]),
        )

    @cached_property
    def normally(self) -> Mapping[str, Flags]:
        """For each switched kind, which rows stand while every switch is in its normal position."""
        rows = self.parts.rows
        found = {
            "resistors": np.ones(len(self.network.resistors), bool),
            "relays": np.ones(len(self.network.relays), bool),
            "joins": np.ones(len(rows.joins), bool),
        }
        for kind, number in rows.absent:
            found[kind][number] = False
        return found

    @cached_property
    def labels(self) -> tuple[Label, ...]:
        """What every element is on the boat."""
        resistors, *others = (self.parts.rows.labels[kind] for kind in Network.KINDS)
        return (*resistors, *self.conductors.labels, *chain.from_iterable(others))

    @cached_property
    def bands(self) -> tuple[tuple[Row, str, Level], ...]:
        """What is uncertain of rows besides the assumptions that resistors are made of."""
        before = len(self.parts.network.resistors)
        lengths = ((("resistors", before + row), "ohm", level) for row, level in self.conductors.bands)
        return (*self.parts.rows.bands, *lengths)

    @cached_property
    def notes(self) -> tuple[Note, ...]:
        """What is not known, of parts and then of conductors."""
        return (*self.parts.rows.notes, *(Note(*note) for note in self.conductors.notes))


_part_columns = Latest(PartColumns.of, kept=_BOATS_KEPT)
_layouts = Latest(Layout.of, kept=_BOATS_KEPT)


def layout_of(boat: Boat) -> Layout:
    """The columns of a boat."""
    parts = _part_columns(boat.parts, boat.assumptions, boat.islands, boat.nominal_voltage_v)
    return _layouts(parts, boat.conductors, boat.cables)

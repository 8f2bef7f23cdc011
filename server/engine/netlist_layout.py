"""All of a boat's circuit that some mode could close or turn on, as columns: what no mode changes.

The parts come first, then the conductors. Both are kept for the boat's later versions that share them, so an
edit of a conductor leaves the parts' columns alone.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain, compress

import numpy as np

from server.boat.boat import Boat, Island, Override
from server.boat.conductors import Cable, Conductor
from server.boat.latest import Latest
from server.boat.parts import AnyPart, EngineBlock
from server.boat.points import Draws, PlainLoads, points_of
from server.boat.terminals import terminals
from server.boat.wires import Wires
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Figures, Level
from server.engine.netlist_alike import PlainRows, WayRows
from server.engine.netlist_conductors import ConductorRows, Surroundings
from server.engine.netlist_loads import cut_out_v
from server.engine.netlist_parts import PARTS
from server.engine.netlist_rows import MOST_FIGURES, Label, Note, Row, Rows, Setting, Terminal
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

    parts: tuple[AnyPart, ...]
    rows: Rows
    ways: WayRows
    plain: PlainRows
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
        points = points_of(parts)
        rows = Rows(nominal_v, island_v, Figures.with_overrides(assumptions), points, points.count)
        for part in points.others:
            PARTS[type(part)](rows, part)
        ways = WayRows.of(points.ways, rows.figures)
        plain = PlainRows.of(points.loads, _cut_outs_v(rows, points.loads))
        studs = (
            rows.node(p.id, stud) for p in points.others if type(p) is EngineBlock for stud in terminals(p)
        )
        blocks = np.zeros(rows.count, bool)
        blocks[list(studs)] = True
        devices = ways.has_device
        number = np.zeros((len(rows.figure_numbers) + int(devices.sum()), MOST_FIGURES), np.intp)
        number[:, 0] = np.concatenate([np.array(rows.figure_numbers, np.intp), ways.figure_number[devices]])
        coefficient = np.zeros(number.shape)
        coefficient[:, 0] = np.concatenate([rows.coefficients, ways.coefficient[devices]])
        ohm = made_ohm(number, coefficient, rows.figures)
        return cls(parts, rows, ways, plain, _network(rows, ways, plain, ohm), number, coefficient, blocks)

    @cached_property
    def runs_with(self) -> tuple[Terminal, ...]:
        """For every element besides resistors, the input or source that must be on."""
        kinds = ((self.rows.runs_with[kind], self._plain_of(kind)) for kind in Network.KINDS)
        return tuple(chain.from_iterable(chain.from_iterable(kinds)))

    def _plain_of(self, kind: str) -> Iterable[Terminal]:
        return self.plain.terminals(kind) if kind in {"resistive", "loads"} else ()

    @cached_property
    def labels(self) -> Mapping[str, tuple[Label, ...]]:
        """What the elements of each kind, and the joins, are on the boat."""
        found = {
            kind: (*self.rows.labels[kind], *(Label(part, "load") for part, _ in self._plain_of(kind)))
            for kind in Network.KINDS
        }
        devices = compress(self.ways.labels, self.ways.has_device.tolist())
        found["resistors"] = (*found["resistors"], *devices)
        found["joins"] = tuple(compress(self.ways.labels, self.ways.is_join.tolist()))
        return found

    @cached_property
    def joins(self) -> Indices:
        """Bar and way of every panel way without a device."""
        return np.stack([self.ways.bar, self.ways.way], axis=1)[self.ways.is_join]

    @cached_property
    def way_rows(self) -> list[Row]:
        """The row of every panel way."""
        return self.ways.rows(len(self.rows.figure_numbers))

    def switched_rows(self, switch: Setting) -> Sequence[tuple[str, Row]]:
        """The rows that stand only in one position of a switch, each with that position."""
        return self.rows.switches.get(switch) or self._switched_ways.get(switch, ())

    @cached_property
    def _switched_ways(self) -> Mapping[Setting, Sequence[tuple[str, Row]]]:
        return {
            terminal: (("on", row),)
            for terminal, row in zip(self.ways.ways.terminal, self.way_rows, strict=True)
        }

    @cached_property
    def absent(self) -> tuple[Row, ...]:
        """The rows that do not stand while every switch is in its normal position."""
        off = self.ways.ways.normally_off
        return (*self.rows.absent, *(self.way_rows[way] for way in off))

    @cached_property
    def inputs(self) -> Mapping[Terminal, Row]:
        """The row of every input of every load, in the order of the parts."""
        rows = dict(self.rows.inputs)
        for kind in ("resistive", "loads"):
            before = len(self.rows.other[kind])
            rows.update((key, (kind, at)) for at, key in enumerate(self._plain_of(kind), before))
        place = {part.id: at for at, part in enumerate(self.parts)}
        return {key: rows[key] for key in sorted(rows, key=lambda key: place[key[0]])}

    @cached_property
    def notes(self) -> tuple[Note, ...]:
        """What is not known of the parts."""
        return (*self.rows.notes, *self.ways.notes(self.way_rows))


def _cut_outs_v(rows: Rows, loads: PlainLoads) -> Floats:
    """The voltage at which each plain load draws no more constant power or current."""
    if set(loads.kind) <= {Draws.WATTS_AT_RATED_V}:
        return np.zeros(len(loads.kind))
    if not rows.figures.with_subject and not any(loads.island):
        return np.full(len(loads.kind), cut_out_v(rows, "", None))
    each = zip(loads.terminal, loads.island, strict=True)
    return np.array([cut_out_v(rows, terminal[0], island) for terminal, island in each])


def _network(rows: Rows, ways: WayRows, plain: PlainRows, ohm: Floats) -> Network:
    ends = np.array(rows.resistors, np.intp).reshape(-1, 2)
    unknown = np.full(len(rows.batteries), np.nan)
    posts = np.array(rows.other["sources"], np.intp).reshape(-1, 2)
    devices = ways.has_device
    return Network(
        nodes=max(rows.count, 1),
        resistors=Resistors(
            tail=np.concatenate([ends[:, 0], ways.bar[devices]]),
            head=np.concatenate([ends[:, 1], ways.way[devices]]),
            ohm=ohm,
        ),
        sources=Sources(posts[:, 0], posts[:, 1], unknown, unknown),
        limited=LimitedSources.of(rows.other["limited"]),
        diodes=Diodes.of(rows.other["diodes"]),
        relays=Relays.of(rows.other["relays"]),
        resistive=Resistors.of(rows.other["resistive"]).followed_by(plain.resistive),
        loads=Loads.of(rows.other["loads"]).followed_by(plain.loads),
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
        around = Surroundings(parts.is_block, own_ohm_per_m)
        wires = ConductorRows.of(Wires.of(rows.points, conductors), figures, around)
        before = parts.network.resistors
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
        found = {
            "resistors": np.ones(len(self.network.resistors), bool),
            "relays": np.ones(len(self.network.relays), bool),
            "joins": np.ones(len(self.parts.joins), bool),
        }
        for kind, number in self.parts.absent:
            found[kind][number] = False
        return found

    @cached_property
    def labels(self) -> tuple[Label, ...]:
        """What every element is on the boat."""
        resistors, *others = (self.parts.labels[kind] for kind in Network.KINDS)
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
        return (*self.parts.notes, *(Note(*note) for note in self.conductors.notes))


_part_columns = Latest(PartColumns.of, kept=_BOATS_KEPT)
_layouts = Latest(Layout.of, kept=_BOATS_KEPT)


def layout_of(boat: Boat) -> Layout:
    """The columns of a boat."""
    parts = _part_columns(boat.parts, boat.assumptions, boat.islands, boat.nominal_voltage_v)
    return _layouts(parts, boat.conductors, boat.cables)

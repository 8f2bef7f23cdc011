"""What a mode chooses of a boat's layout: the rows that stand, and the numbers they and their nodes get."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from server.boat.modes import PositionSetting, Running
from server.engine.arrays import Flags, Indices
from server.engine.netlist_layout import Layout
from server.engine.netlist_rows import ALWAYS, Label, Row, coil_key
from server.engine.network import Network


@dataclass(frozen=True, eq=False)
class Choice:
    """The rows of a layout that stand with some positions of its switches.

    ``stands`` tells it for each switched kind; ``pulled`` are the contacts out of their normal position.
    """

    layout: Layout
    stands: Mapping[str, Flags]
    pulled: frozenset[str]

    @classmethod
    def of(cls, layout: Layout, positions: Sequence[PositionSetting]) -> "Choice":
        """The choice that positions make; a switch they do not name is in its normal position."""
        rows = layout.parts.rows
        stands = {kind: flags.copy() for kind, flags in layout.normally.items()}
        for one in positions:
            for position, (kind, number) in layout.parts.switched_rows((one.part, one.way)):
                stands[kind][number] = position == one.position
        pulled = (one.part for one in positions if rows.coils.get(one.part, one.position) != one.position)
        return cls(layout, stands, frozenset(pulled))

    @cached_property
    def elements(self) -> Flags:
        """Which of all elements stand."""
        spans = self.layout.network.spans
        found = np.ones(self.layout.network.size, bool)
        for kind in ("resistors", "relays"):
            found[spans[kind]] = self.stands[kind]
        return found

    @cached_property
    def element_number(self) -> Indices:
        """The number each standing element gets."""
        return np.cumsum(self.elements) - 1

    @property
    def joins_any(self) -> bool:
        """Whether any panel way is one node with its bar, so that nodes get other numbers."""
        return bool(self.stands["joins"].any())

    @cached_property
    def node_number(self) -> Indices:
        """The number each node gets."""
        bar, way = self.layout.parts.joins[self.stands["joins"]].T
        kept = np.ones(self.layout.network.nodes, bool)
        kept[way] = False
        number = np.cumsum(kept) - 1
        number[way] = number[bar]
        return number

    @cached_property
    def network(self) -> Network:
        """The network of what stands."""
        everything = self.layout.network
        chosen = replace(
            everything,
            resistors=everything.resistors.chosen(self.stands["resistors"]),
            relays=everything.relays.chosen(self.stands["relays"]),
        )
        if not self.joins_any:
            return chosen
        return chosen.renumbered(self.node_number, int(self.node_number.max()) + 1)

    def row_stands(self, row: Row) -> bool:
        """Whether a row stands."""
        kind, number = row
        return kind not in self.stands or bool(self.stands[kind][number])

    def element(self, row: Row) -> int:
        """The number that a standing row's element gets."""
        kind, number = row
        return int(self.element_number[self.layout.network.spans[kind].start + number])

    def off(self, running: Sequence[Running]) -> Flags:
        """Which of the standing elements are out of the circuit."""
        whole = {one.part for one in running if one.input is None}
        single = {(one.part, one.input) for one in running if one.input is not None}
        single |= {ALWAYS, *map(coil_key, self.pulled)}
        keys = self.layout.parts.runs_with
        on = np.fromiter(map(single.__contains__, keys), bool, len(keys))
        on |= np.fromiter((part in whole for part, _ in keys), bool, len(keys))
        off = np.zeros(self.layout.network.size, bool)
        off[len(off) - len(on) :] = ~on
        return off[self.elements]

    def figures_taken(self) -> Indices:
        """Numbers of the figures that hold with the rows that stand."""
        taken_by = self.layout.parts.rows.taken_by
        by_rows = [number for row, number in taken_by if self.row_stands(row)]
        by_resistors = self.layout.figure_number[self.stands["resistors"]].ravel()
        return np.append(by_resistors, np.array(by_rows, np.intp))

    def open_pairs(self) -> Iterator[tuple[int, int, Label]]:
        """Node pairs that another position of a switch or device would join.

        The contact of a combining relay left to itself is no such pair: it may close by itself.
        """
        rows, labels = self.layout.parts.rows, self.layout.parts.labels
        missing = ~self.stands["resistors"]
        for relay, contact in rows.relays:
            missing[contact] &= not self.stands["relays"][relay]
        resistors, node = self.layout.network.resistors, self.node_number
        for row in np.flatnonzero(missing).tolist():
            ends = int(node[resistors.tail[row]]), int(node[resistors.head[row]])
            yield *ends, labels["resistors"][row]
        for row in np.flatnonzero(~self.stands["joins"]).tolist():
            bar, way = node[self.layout.parts.joins[row]].tolist()
            yield bar, way, labels["joins"][row]

"""The lowest fault current at the far end of every conductor on a load's way.

A unit current through a load's terminals, in the network of the lowest fault, says which conductors are its
way out and back (reciprocity: it divides as the load's own current does). A short circuit at the far end of
one of them comes back by the load's own negative terminal where the conductor ends on the load, and by the
place where the load's negative lead lands where it ends before.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.boat.leads import Landings, lead
from server.boat.modes import Mode
from server.boat.parts import Load
from server.engine.arrays import Floats, Indices
from server.engine.faults import FaultNetwork
from server.engine.netlist_rows import Terminal
from server.units import Ampere, Ratio

WHOLE: Ratio = 0.5
"""A conductor that carries at least this share of a load's current is on its way."""

_KINDS = frozenset({"wire", "fuse", "breaker"})


@dataclass(frozen=True, slots=True)
class OnWay:
    """A conductor on the way of a load's input, and the lowest fault at its far end; 0 on the way back."""

    conductor: str
    load: Terminal
    fault_a: Ampere
    is_return: bool


@dataclass(frozen=True, eq=False)
class FaultWays:
    """The ways of all inputs that a battery feeds, in one mode, at the lowest fault."""

    boat: Boat
    mode: Mode

    @cached_property
    def faults(self) -> FaultNetwork:
        """The network of the lowest fault."""
        return FaultNetwork(self.boat, self.mode, "lowest")

    @cached_property
    def inputs(self) -> tuple[Terminal, ...]:
        """The inputs whose terminals a battery feeds, in the order of the columns."""
        network, inputs = self.faults.net.network, self.faults.net.inputs
        rows = np.fromiter(inputs.values(), np.intp, len(inputs))
        amps = self.faults.currents(network.tail[rows], network.head[rows])
        return tuple(key for key, current_a in zip(inputs, amps.tolist(), strict=True) if current_a > 0)

    @cached_property
    def _posts(self) -> tuple[Indices, Indices]:
        """Nodes where each input's current goes in and comes out."""
        network = self.faults.net.network
        rows = np.array([self.faults.net.inputs[key] for key in self.inputs], np.intp)
        return network.tail[rows], network.head[rows]

    @cached_property
    def rows(self) -> Indices:
        """The rows of the network that are wires, fuses or breakers."""
        labels = self.faults.net.labels
        return np.array([row for row, label in enumerate(labels) if label.kind in _KINDS], np.intp)

    @cached_property
    def share(self) -> Floats:
        """The share of each input's current (columns) in each of ``rows``, tail to head; see the sign below.

        The unit is fed in at the plus terminal and taken out at the minus terminal: it runs against the
        current that the load draws.
        """
        volts = self.faults.unit_volts(*self._posts)
        network = self.faults.net.network
        tail, head = (self.faults.node_of[ends[self.rows]] for ends in (network.tail, network.head))
        share: Floats = self.faults.conductance[self.rows, None] * (volts[tail] - volts[head])
        return share

    @cached_property
    def taps(self) -> Indices:
        """The node where each input's negative lead lands, its own minus where it has none."""
        landings, nodes = Landings.of(self.boat), self.faults.net.nodes
        loads = {part.id: part for part in self.boat.parts if isinstance(part, Load)}
        found = self._posts[1].copy()
        for column, (name, one) in enumerate(self.inputs):
            load = loads.get(name)
            back = "negative" if load is None else next(i.returns_to for i in load.inputs if i.id == one)
            tap = lead(self.boat, name, back, landings).tap
            if tap is not None:
                found[column] = nodes[tap.part, tap.terminal]
        return found

    def devices(self) -> frozenset[tuple[str, Terminal]]:
        """The fuses and breakers on the way of each input, as the engine calls them."""
        labels = self.faults.net.labels
        at, column = np.nonzero(np.abs(self.share) >= WHOLE)
        pairs = zip(self.rows[at].tolist(), column.tolist(), strict=True)
        return frozenset(
            (labels[row].element, self.inputs[load]) for row, load in pairs if labels[row].kind != "wire"
        )

    def ways(self) -> Iterator[OnWay]:
        """Every wire on the way of every input, with the lowest fault at its end towards the load."""
        network, node_of = self.faults.net.network, self.faults.node_of
        plus, minus = self._posts
        labels = self.faults.net.labels
        wire = np.array([labels[row].kind == "wire" for row in self.rows.tolist()], bool)
        at, column = np.nonzero((np.abs(self.share) >= WHOLE) & wire[:, None])
        rows = self.rows[at]
        towards = np.where(self.share[at, column] > 0, network.tail[rows], network.head[rows])
        back = self.faults.negative[network.tail[rows]]
        on_load = node_of[towards] == node_of[plus[column]]
        to = np.where(on_load, minus[column], self.taps[column])
        pairs = np.stack([node_of[towards], node_of[to]], axis=1)[~back]
        unique, inverse = np.unique(pairs, axis=0, return_inverse=True)
        amps = np.zeros(len(rows))
        if len(unique):
            amps[~back] = self.faults.currents(unique[:, 0], unique[:, 1])[inverse.ravel()]
        for row, load, current_a, is_return in zip(
            rows.tolist(), column.tolist(), amps.tolist(), back.tolist(), strict=True
        ):
            yield OnWay(labels[row].element, self.inputs[load], current_a, is_return)

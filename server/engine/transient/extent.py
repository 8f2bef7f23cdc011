"""Which elements of the network take part in an event: what a source reaches, or will once contacts move."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.islands import pieces
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal
from server.engine.network import Network
from server.engine.operating_point import OperatingPoint
from server.engine.states import Regulation, States, lines
from server.engine.transient.pairs import NO_SUPPLY_V, Pair
from server.engine.transient.timed import Timed


@dataclass(frozen=True, eq=False)
class Extent:
    """The elements of an event, given the point before the press and the pairs that contacts may join."""

    net: Netlist
    before: OperatingPoint
    timed: Timed
    pairs: tuple[Pair, ...]

    @cached_property
    def fed(self) -> Flags:
        """The nodes that a source reaches before the press."""
        return ~np.isnan(self.before.node_v)

    @cached_property
    def reached(self) -> Flags:
        """Those that one reaches then, or may later."""
        if not self.pairs:
            return self.fed
        network = self.net.network
        rows = np.flatnonzero(self._would_conduct)
        ends = [(network.node_of[pair.tail], network.node_of[pair.head]) for pair in self.pairs]
        tail, head = np.array(ends, np.intp).T
        tail = np.concatenate([network.solved_tail[rows], tail])
        head = np.concatenate([network.solved_head[rows], head])
        piece = pieces(network.nodes, tail, head)
        found: Flags = np.isin(piece, piece[self.fed])[network.node_of]
        return found

    @cached_property
    def joined(self) -> tuple[Pair, ...]:
        """The pairs that lie where a source reaches, or may."""
        return tuple(pair for pair in self.pairs if self.reached[pair.tail] and self.reached[pair.head])

    def reaches(self, rows: Indices) -> Flags:
        """Which elements have both ends reached."""
        network = self.net.network
        both: Flags = self.reached[network.tail[rows]] & self.reached[network.head[rows]]
        return both

    @cached_property
    def _would_conduct(self) -> Flags:
        """What would carry current if it were fed: elements on a line, and loads that are on."""
        network, gone = self.net.network, _gone(self.before)
        found = standing_lines(network, self.before, self.coming)[0] > 0
        found[network.spans["limited"].start + network.converters.output] = False
        found[network.spans["loads"]] = network.loads.amount > 0
        found &= ~gone
        found[self.coming] = True
        return found

    @cached_property
    def converters(self) -> Indices:
        """Those that are on, and whose input and output a source reaches: numbers among the network's."""
        network, gone = self.net.network, _gone(self.before)
        load = network.spans["loads"].start + network.converters.load
        output = network.spans["limited"].start + network.converters.output
        return np.flatnonzero(~gone[load] & self.reaches(load) & self.reaches(output))

    @cached_property
    def outputs(self) -> Indices:
        """The elements of their outputs."""
        network = self.net.network
        found: Indices = network.spans["limited"].start + network.converters.output[self.converters]
        return found

    @cached_property
    def coming(self) -> Indices:
        """The elements of sources that start, of loads on a line that are turned on, of coils that wake."""
        network = self.net.network
        used = [self.net.inputs[key] for key in self.timed.uses]
        own = ((pair.part, "coil-positive") for pair in self.pairs)
        coils = [self.net.inputs[key] for key in own if key in self.net.inputs]
        on_lines = network.spans["resistive"]
        rows = dict.fromkeys(row for row in (*used, *coils) if on_lines.start <= row < on_lines.stop)
        off = [row for row in rows if self.net.off[row]]
        return np.concatenate([self.timed.starting, np.array(off, np.intp)])

    @cached_property
    def rows(self) -> Indices:
        """The elements that are branches: on a line before the press and fed at both ends.

        Then those that wait for what may bring them in.
        """
        point, network = self.before, self.net.network
        alive = (point.conductance > 0) & self.fed[network.tail] & self.fed[network.head]
        if self.pairs:  # what is starved may yet run: it is a draw
            alive[network.spans["loads"]] = False
        waiting = self._standing_by()
        return np.concatenate([np.flatnonzero(alive), waiting, self._late(alive, waiting)])

    def _standing_by(self) -> Indices:
        """Diodes and sources that block or start later, relays that stand open: they may come in, if fed."""
        network, states = self.net.network, self.before.states
        others = np.delete(network.converters.output, self.converters)
        outputs = np.isin(np.arange(len(network.limited)), others)
        waits = np.zeros(network.size, bool)
        waits[network.spans["diodes"]] = ~states.diodes
        waits[network.spans["relays"]] = ~states.relays
        waits[network.spans["limited"]] = (states.limited == Regulation.BLOCKED) & ~outputs
        waits &= ~_gone(self.before)
        waits[self.coming] = True
        return np.flatnonzero(waits & self.reaches(np.arange(network.size)))

    def _late(self, alive: Flags, waiting: Indices) -> Indices:
        """What is on a line, and is fed only once some pair is joined."""
        if not self.pairs:
            return np.zeros(0, np.intp)
        network = self.net.network
        late = self._would_conduct & self.reaches(np.arange(network.size)) & ~alive
        late[network.spans["loads"]] = False
        late[waiting] = False
        return np.flatnonzero(late)

    def draws(self, running: Flags) -> Indices:
        """The loads that are draws: those that run before the press, fed later, or turned on by a step."""
        span, network = self.net.network.spans["loads"], self.net.network
        loads = np.arange(span.start, span.stop)
        late = self._would_conduct[span] & self.reaches(loads) if self.pairs else np.zeros(len(loads), bool)
        used = [self.net.inputs[key] for key in self.timed.uses]
        turned_on = np.isin(loads, used) & self.reaches(loads) & ~running & ~late
        late[network.converters.load] = False
        late[network.converters.load[self.converters]] = True
        late &= ~running
        found: Indices = loads[np.concatenate([np.flatnonzero(one) for one in (running, late, turned_on)])]
        return found

    @cached_property
    def late(self) -> tuple[Terminal, ...]:
        """The loads that are on and have no supply before the press, but may have later."""
        if not self.pairs:
            return ()
        volts = np.nan_to_num(self.before.element_v)
        return tuple(
            key
            for key, row in self.net.inputs.items()
            if not self.net.off[row] and volts[row] < NO_SUPPLY_V and self.reaches(np.array([row]))[0]
        )

    @cached_property
    def uses(self) -> tuple[Terminal, ...]:
        """The loads that steps turn on or off, as far as a source reaches them."""
        return tuple(key for key in self.timed.uses if self.reaches(np.array([self.net.inputs[key]]))[0])


def _gone(before: OperatingPoint) -> Flags:
    """What is out of the circuit before the press."""
    return np.zeros(before.network.size, bool) if before.absent is None else before.absent.copy()


def standing_lines(network: Network, before: OperatingPoint, coming: Indices) -> tuple[Floats, Floats]:
    """Conductance and rise of every element before the press; of what waits, those it would come in with."""
    states = before.states
    at_work = States(
        limited=np.where(states.limited == Regulation.BLOCKED, np.int8(0), states.limited).astype(np.int8),
        diodes=np.ones_like(states.diodes),
        relays=np.ones_like(states.relays),
        starved=states.starved,
    )
    absent = _gone(before)
    absent[coming] = False
    return lines(network, at_work, absent)

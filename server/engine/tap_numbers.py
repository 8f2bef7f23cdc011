"""The numbers of a held lead at every candidate place."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.answer import Band
from server.engine.arrays import Flags, Floats, Indices
from server.engine.bands import LeadOhm, Uncertain, UnitCurrents, spread, with_leads
from server.engine.drop import lossy_ohm
from server.engine.lead_update import Moves
from server.engine.linearised import Linearised
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.shared_path import SourceNetwork
from server.engine.solution import EventSolution
from server.engine.what_if import MovedPoints, moved_network
from server.units import Ohm


def relays_doubtful(solved: EventSolution, moves: Moves) -> Flags:
    """The moves after which a combining relay may stand otherwise before the start."""
    if not len(solved.absent.network.relays):
        return np.zeros(len(moves), bool)
    return MovedPoints.of(solved.absent_linear, moves, relays_held=False).in_full


def solved_after(solved: EventSolution, moves: Moves, move: int) -> OperatingPoint:
    """The first instant of a start after one move, solved in full with the instant before it."""
    network = moved_network(solved.present.network, moves, move)
    before = operating_point(network, solved.absent.absent)
    return operating_point(network, solved.present.absent, before.states.relays, before.states)


@dataclass(frozen=True, eq=False)
class EventNumbers:
    """Voltages in an event after each move, with their bands; ``leads`` are the moved conductors."""

    solved: EventSolution
    moves: Moves
    leads: tuple[LeadOhm, ...]

    @cached_property
    def _points(self) -> MovedPoints:
        return MovedPoints.of(self.solved.linear, self.moves, relays_held=True)

    @cached_property
    def in_full(self) -> Flags:
        """The moves solved in full: a source, a relay, a converter comes to stand otherwise."""
        return self._points.in_full | relays_doubtful(self.solved, self.moves)

    @cached_property
    def _full(self) -> dict[int, Linearised]:
        """Full solutions by move, each linearised where it stands."""
        return {}

    def _solved(self, move: int) -> Linearised:
        """One move solved in full; from the states of before where they are known to stay."""
        if move not in self._full:
            present = self.solved.present
            if self.in_full[move]:
                point = solved_after(self.solved, self.moves, move)
            else:
                network = moved_network(present.network, self.moves, move)
                point = operating_point(network, present.absent, present.states.relays, present.states)
            self._full[move] = Linearised(point)
        return self._full[move]

    @property
    def first(self) -> int:
        """The element of the first column of ``voltage_v``."""
        return len(self.solved.net.network.resistors)

    @cached_property
    def voltage_v(self) -> Floats:
        """Voltages of all that are no plain resistors (columns: ``first`` on) after each move (rows)."""
        volts = self._points.voltage_v[:, self.first :].copy()
        for move in np.flatnonzero(self.in_full).tolist():
            volts[move] = self._solved(move).point.element_v[self.first :]
        return volts

    def bands(self, element: int) -> list[Band]:
        """An element's voltage with its band after each move; nan where it is fed no longer."""
        volts = self.voltage_v[:, element - self.first]
        below, above = self.widths(element)
        return list(map(Band, (volts - below).tolist(), volts.tolist(), (volts + above).tolist()))

    def widths(self, element: int) -> tuple[Floats, Floats]:
        """How far below and above its value an element's voltage may lie, after each move."""
        below, above = self.quick_widths(element)
        for move in np.flatnonzero(self.in_full).tolist():
            (below[move],), (above[move],) = self.widths_after(move, np.array([element]))
        return below, above

    def quick_widths(self, element: int) -> tuple[Floats, Floats]:
        """The same where no full solution is wanted; what it says of the other moves means nothing."""
        row, ohm, point = int(self.moves.row[0]), self.moves.ohm, self.solved.present
        answer, across = self._points.answer(element), self._points.voltage_v
        current_a = np.nan_to_num(point.conductance * (across + point.rise_v))
        unit = UnitCurrents.of(point, across, current_a)
        swings = self.solved.uncertain.without(row).swings(answer, unit)
        per_ohm = np.divide(answer[:, row] * across[:, row], ohm**2, out=np.zeros(len(ohm)), where=ohm > 0)
        return spread(*with_leads(swings, self.leads, per_ohm, len(self.solved.net.figures.levels)))

    def widths_after(self, move: int, elements: Indices) -> tuple[Floats, Floats]:
        """How far below and above their values the voltages of some elements may lie, after one move."""
        linear = self._solved(move)
        uncertain = Uncertain.of(self.solved.net, linear.point)
        return uncertain.with_lead(int(self.moves.row[move]), self.leads[move]).widths(linear, elements)


@dataclass(frozen=True, eq=False)
class SourceNumbers:
    """What can be told of each candidate from the network between sources and loads.

    ``taps`` are the nodes to land on; ``other`` is the node of the load's other pole; ``held_ohm`` is the
    resistance of the held lead at each place; ``into_tap`` says that the load's current flows into the tap
    (negative leads).
    """

    source: SourceNetwork
    net: Netlist
    taps: Indices
    other: int
    held_ohm: Floats
    into_tap: bool

    @property
    def _sign(self) -> float:
        return 1.0 if self.into_tap else -1.0

    @cached_property
    def unit_currents(self) -> Floats:
        """Currents while the load draws one ampere through each tap (rows); nan without a way back."""
        network = self.source.point.network
        tap, other = network.node_of[self.taps], network.node_of[self.other]
        each = np.arange(len(tap))
        rhs = np.zeros((network.nodes, len(tap)), order="F")
        rhs[tap, each] += self._sign
        rhs[other] -= self._sign
        node_v = self.source.factor.solve(rhs).T
        unit: Floats = node_v.take(network.solved_tail, axis=1)
        unit -= node_v.take(network.solved_head, axis=1)
        unit *= self.source.conductance
        label = self.source.pieces.label
        unit[label[tap] != label[other]] = np.nan
        return unit

    @cached_property
    def _lossy_ohm(self) -> Floats:
        return lossy_ohm(self.net, self.source.point)

    def loop_ohm(self) -> Floats:
        """Σ R a² over everything but batteries, the held lead included."""
        total: Floats = self.unit_currents**2 @ self._lossy_ohm + self.held_ohm
        return total

    def partial_ohm(self, at: int, rows: Indices) -> Ohm:
        """Σ R a² over some elements at one tap, the held lead included."""
        return float(self._lossy_ohm[rows] @ self.unit_currents[at, rows] ** 2 + self.held_ohm[at])

    def counted_fraction(self, shunts: Indices) -> Floats:
        """Share of the load's current that the measuring shunts count at each tap."""
        if not len(shunts):
            return np.ones(len(self.taps))
        counted: Floats = np.minimum(np.abs(self.unit_currents[:, shunts]).sum(axis=1), 1.0)
        return counted

    def shared_ohm(self, heavy_tail: int, heavy_head: int) -> Floats:
        """Transfer resistance from a heavy load's terminals to the load, landed at each tap.

        Read at the taps for one ampere between the heavy load's terminals: the network is reciprocal.
        """
        node_of = self.source.point.network.node_of
        rhs = np.zeros(len(node_of))
        rhs[node_of[heavy_tail]] += 1.0
        rhs[node_of[heavy_head]] -= 1.0
        node_v = self.source.factor.solve(rhs)
        shared: Floats = -self._sign * (node_v[node_of[self.taps]] - node_v[node_of[self.other]])
        return shared

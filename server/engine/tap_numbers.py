"""The numbers of a held lead at every candidate place."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array

from server.engine.answer import Band
from server.engine.arrays import Flags, Floats, Indices
from server.engine.bands import Uncertain, band, spread
from server.engine.drop import lossy_ohm
from server.engine.figures import Level
from server.engine.linearised import Linearised
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.shared_path import SourceNetwork
from server.engine.solution import EventSolution
from server.engine.system import factorise, grounding
from server.engine.what_if import MovedPoints, Moves, moved_network, moved_points, quick_voltages
from server.units import Ohm

Figures = tuple[tuple[int, float], ...]


def relays_doubtful(solved: EventSolution, moves: Moves) -> Flags:
    """The moves after which a combining relay may stand otherwise before the start."""
    if not len(solved.absent.network.relays):
        return np.zeros(len(moves), bool)
    return quick_voltages(solved.absent_linear, moves, relays_held=False).in_full


def solved_after(solved: EventSolution, moves: Moves, move: int) -> OperatingPoint:
    """The first instant of a start after one move, solved in full with the instant before it."""
    network = moved_network(solved.present.network, moves, move)
    before = operating_point(network, solved.absent.absent)
    return operating_point(network, solved.present.absent, before.states.relays, before.states)


@dataclass(frozen=True, eq=False)
class EventNumbers:
    """Voltages in an event after each move; bands of one observed element."""

    solved: EventSolution
    moves: Moves
    observed: int
    figures: tuple[Figures, ...]

    @cached_property
    def points(self) -> MovedPoints:
        """Voltages and adjoint answers at the first instant after each move.

        Where the move makes a combining relay stand otherwise before the start, the instant is solved anew.
        """
        present = moved_points(self.solved.linear, self.moves, self.observed, relays_held=True)
        for move in np.flatnonzero(relays_doubtful(self.solved, self.moves)).tolist():
            after = solved_after(self.solved, self.moves, move)
            linear = Linearised(after)
            present.voltage_v[move] = after.element_v
            present.answer[move] = linear.across(linear.port_columns(np.array([self.observed])))[:, 0]
            present.in_full[move] = True
        return present

    @cached_property
    def _bands(self) -> tuple[Floats, Floats]:
        """How far below and above its value the observed voltage may lie, for all moves at once."""
        point, levels, row = self.solved.present, self.solved.net.figures.levels, int(self.moves.row[0])
        uncertain = self.solved.uncertain.without_row(row)
        at = uncertain.element
        v, answer = np.nan_to_num(self.points.voltage_v), np.nan_to_num(self.points.answer)
        current = point.conductance[at] * (v[:, at] + point.rise_v[at])
        effect = uncertain.effect(answer[:, at], point.conductance[at], current)
        count = len(levels)
        by_figure = csr_array((np.ones(len(at)), (np.arange(len(at)), uncertain.number)), (len(at), count))
        low: Floats = np.asarray((effect * uncertain.low) @ by_figure)
        high: Floats = np.asarray((effect * uncertain.high) @ by_figure)
        ohm = self.moves.ohm  # a lead too short to be solved adds nothing to the band
        per_ohm = np.divide(answer[:, row] * v[:, row], ohm**2, out=np.zeros(len(ohm)), where=ohm > 0)
        for move, figures in enumerate(self.figures):
            for number, factor in figures:
                level, change = levels[number], per_ohm[move] * factor
                low[move, number] += change * (level.low - level.value)
                high[move, number] += change * (level.high - level.value)
        return spread(low, high)

    def lowest(self, move: int) -> Band:
        """The observed voltage after a move, with its band."""
        below, above = self._bands
        volts = float(self.points.voltage_v[move, self.observed])
        return Band(volts - float(below[move]), volts, volts + float(above[move]))

    def exact_lowest(self, move: int) -> Band:
        """The same by a full solution of the moved network, linearised where it stands."""
        solved, row = self.solved, int(self.moves.row[move])
        after = solved_after(solved, self.moves, move)
        linear, levels = Linearised(after), solved.net.figures.levels
        answer = linear.across(linear.port_columns(np.array([self.observed])))[:, 0]
        uncertain = Uncertain.of(solved.net, after).with_row(row, self.figures[move], levels)
        below, above = band(uncertain, len(levels), answer, after.conductance, after.current_a)
        volts = float(after.element_v[self.observed])
        return Band(volts - below, volts, volts + above)


@dataclass(frozen=True, eq=False)
class SourceNumbers:
    """What can be told of each candidate from the network between sources and loads.

    ``taps`` are the nodes to land on; ``other`` is the node of the load's other pole; ``held_ohm`` the
    resistance
    of the held lead at each place; ``into_tap`` says that the load's current flows into the tap (negative
    leads).
    """

    point: OperatingPoint
    net: Netlist
    taps: Indices
    other: int
    held_ohm: Floats
    into_tap: bool

    @cached_property
    def _source(self) -> SourceNetwork:
        return SourceNetwork(self.point)

    @cached_property
    def _columns(self) -> Floats:
        """Node voltages for one ampere into each tap, and (last) into the other pole."""
        network, source = self.point.network, self._source
        g = source.conductance
        factor = factorise(network.pattern.matrix(g, grounding(network.pattern, g, source.pieces.ground)))
        nodes = network.node_of[np.append(self.taps, self.other)]
        rhs = np.zeros((network.nodes, len(nodes)), order="F")
        rhs[nodes, np.arange(len(nodes))] = 1.0
        return factor.solve(rhs)

    @cached_property
    def unit_currents(self) -> Floats:
        """Currents while the load draws one ampere through each tap (columns); nan without a way back."""
        network, g = self.point.network, self._source.conductance
        flows = g[:, None] * (self._columns[network.solved_tail] - self._columns[network.solved_head])
        sign = 1.0 if self.into_tap else -1.0
        unit = sign * (flows[:, :-1] - flows[:, -1:])
        label = self._source.pieces.label
        apart = label[network.node_of[self.taps]] != label[network.node_of[self.other]]
        unit[:, apart] = np.nan
        return unit

    @cached_property
    def _lossy_ohm(self) -> Floats:
        return lossy_ohm(self.net, self.point)

    def loop_ohm(self) -> Floats:
        """Σ R a² over everything but batteries, the held lead included."""
        total: Floats = self._lossy_ohm @ self.unit_currents**2 + self.held_ohm
        return total

    def partial_ohm(self, at: int, rows: Indices) -> Ohm:
        """Σ R a² over some elements at one tap, the held lead included."""
        return float(self._lossy_ohm[rows] @ self.unit_currents[rows, at] ** 2 + self.held_ohm[at])

    def counted_fraction(self, shunts: Indices) -> Floats:
        """Share of the load's current that the measuring shunts count at each tap."""
        if not len(shunts):
            return np.ones(len(self.taps))
        counted: Floats = np.minimum(np.abs(self.unit_currents[shunts]).sum(axis=0), 1.0)
        return counted

    def shared_ohm(self, heavy_tail: int, heavy_head: int) -> Floats:
        """Transfer resistance from a heavy load's terminals to the load, landed at each tap."""
        node_of = self.point.network.node_of
        at_heavy = self._columns[node_of[heavy_tail]] - self._columns[node_of[heavy_head]]
        sign = -1.0 if self.into_tap else 1.0
        shared: Floats = sign * (at_heavy[:-1] - at_heavy[-1])
        return shared


def held_ohm(levels: list[Level], figures: Figures) -> Ohm:
    """The resistance that figures add up to."""
    return float(sum(levels[number].value * factor for number, factor in figures))

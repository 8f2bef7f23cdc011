"""The numbers of a held lead at every candidate place."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.answer import Band
from server.engine.arrays import Flags, Floats, Indices
from server.engine.bands import LeadOhm, Uncertain, UnitCurrents, spread
from server.engine.drop import lossy_ohm
from server.engine.lead_update import LeadUpdate, Moves
from server.engine.linearised import Linearised
from server.engine.netlist import Netlist
from server.engine.operating_point import operating_point
from server.engine.shared_path import SourceNetwork
from server.engine.solution import EventSolution
from server.engine.what_if import MovedPoints, moved_network
from server.units import Ohm


def relays_doubtful(solved: EventSolution, moves: Moves) -> Flags:
    """The moves after which a combining relay may stand otherwise before the start."""
    if not len(solved.absent.network.relays):
        return np.zeros(len(moves), bool)
    return MovedPoints.of(solved.absent_linear, moves, relays_held=False).in_full


def solved_after(solved: EventSolution, moves: Moves, move: int) -> EventSolution:
    """The event after one move, solved in full: the instant before the start, then the first of it."""
    network = moved_network(solved.present.network, moves, move)
    before = operating_point(network, solved.absent.absent)
    present = operating_point(network, solved.present.absent, before.states.relays, before.states)
    return EventSolution(solved.event, solved.net, before, present)


WORTH = 3
"""Fewer moves than so many are each solved in full as fast as from another's place."""
MOST_VAIN = 3
"""After so many full solutions from which no other move followed, each move is solved by itself."""


@dataclass(frozen=True, eq=False)
class Alike:
    """A move solved in full, and the moves whose event follows from there, which they leave in its states."""

    base: int
    moves: Indices
    event: "EventNumbers"


@dataclass(frozen=True, eq=False)
class EventNumbers:
    """Voltages in an event after each move, with their bands; ``leads`` are the moved conductors."""

    solved: EventSolution
    moves: Moves
    leads: tuple[LeadOhm, ...]

    @cached_property
    def _points(self) -> tuple[tuple[slice, MovedPoints], ...]:
        update = LeadUpdate.of(self.solved.linear, self.moves)
        blocks = update.blocks(self.solved.present.network.size)
        return tuple((at, MovedPoints(block, relays_held=True)) for at, block in blocks)

    @cached_property
    def in_full(self) -> Flags:
        """The moves solved in full: a source, a relay, a converter comes to stand otherwise."""
        in_full = relays_doubtful(self.solved, self.moves)
        for at, points in self._points:
            in_full[at] |= points.in_full
        return in_full

    @cached_property
    def alike(self) -> tuple[Alike, ...]:
        """The moves that no quick answer holds for here, by what becomes of the network."""
        found, rest, vain = list[Alike](), np.flatnonzero(self.in_full), 0
        while len(rest):
            base, rest = int(rest[0]), rest[1:]
            solved, followed = self._events[base], rest[:0]
            settled = not (len(solved.present.unsettled) or len(solved.absent.unsettled))
            if settled and len(rest) >= WORTH and vain < MOST_VAIN:
                in_full = self._from(solved, rest).in_full
                followed, rest = rest[~in_full], rest[in_full]
                vain = 0 if len(followed) else vain + 1
            found.append(Alike(base, followed, self._from(solved, followed)))
        return tuple(found)

    def _from(self, solved: EventSolution, moves: Indices) -> "EventNumbers":
        """Some of the moves, from another place of the lead."""
        return EventNumbers(
            solved, self.moves.some(moves), tuple(self.leads[move] for move in moves.tolist())
        )

    @cached_property
    def _events(self) -> "_Events":
        return _Events(self.solved, self.moves)

    def _solved(self, move: int) -> Linearised:
        """One move solved in full; from the states of before where they are known to stay."""
        if self.in_full[move]:
            return self._events[move].linear
        present, network = self.solved.present, moved_network(self.solved.present.network, self.moves, move)
        return Linearised(operating_point(network, present.absent, present.states.relays, present.states))

    @property
    def first(self) -> int:
        """The element of the first column of ``voltage_v``."""
        return len(self.solved.net.network.resistors)

    @cached_property
    def voltage_v(self) -> Floats:
        """Voltages of all that are no plain resistors (columns: ``first`` on) after each move (rows)."""
        volts = np.empty((len(self.moves), self.solved.present.network.size - self.first))
        for at, points in self._points:
            volts[at] = points.voltage_v[:, self.first :]
        for one in self.alike:
            volts[one.base] = self._events[one.base].present.element_v[self.first :]
            if len(one.moves):
                volts[one.moves] = one.event.voltage_v
        return volts

    def bands(self, element: int) -> list[Band]:
        """An element's voltage with its band after each move; nan where it is fed no longer."""
        volts = self.voltage_v[:, element - self.first]
        below, above = self.widths(element)
        return list(map(Band, (volts - below).tolist(), volts.tolist(), (volts + above).tolist()))

    def widths(self, element: int) -> tuple[Floats, Floats]:
        """How far below and above its value an element's voltage may lie, after each move."""
        below, above = self.quick_widths(element)
        for one in self.alike:
            (below[one.base],), (above[one.base],) = self.widths_after(one.base, np.array([element]))
            if len(one.moves):
                below[one.moves], above[one.moves] = one.event.widths(element)
        return below, above

    def quick_widths(self, element: int) -> tuple[Floats, Floats]:
        """The same where no full solution is wanted; what it says of the other moves means nothing."""
        below, above = np.empty((2, len(self.moves)))
        lead_low, lead_high = self._lead_swings
        for (at, points), unit in zip(self._points, self._units, strict=True):
            row, ohm, answer = int(self.moves.row[0]), self.moves.ohm[at], points.answer(element)
            low, high = self._uncertain.swings(answer, unit)
            own_v = answer[:, row] * points.voltage_v[:, row]
            per_ohm = np.divide(own_v, ohm**2, out=np.zeros(len(ohm)), where=ohm > 0)[:, None]
            below[at], above[at] = spread(low + per_ohm * lead_low[at], high + per_ohm * lead_high[at])
        return below, above

    @cached_property
    def _uncertain(self) -> Uncertain:
        """What is uncertain besides the moved lead."""
        return self.solved.uncertain.without(int(self.moves.row[0]))

    @cached_property
    def _units(self) -> tuple[UnitCurrents, ...]:
        """What an ampere does at every element, after each move."""
        point = self.solved.present
        return tuple(
            UnitCurrents.of(
                point,
                points.voltage_v,
                np.nan_to_num(point.conductance * (points.voltage_v + point.rise_v)),
            )
            for _, points in self._points
        )

    @cached_property
    def _lead_swings(self) -> tuple[Floats, Floats]:
        """By how many ohms each figure (columns) changes the moved lead, after each move."""
        low, high = np.zeros((2, len(self.leads), self._uncertain.figures))
        for move, lead in enumerate(self.leads):
            for number, low_ohm, high_ohm in lead.swings:
                low[move, number] += low_ohm
                high[move, number] += high_ohm
        return low, high

    def widths_after(self, move: int, elements: Indices) -> tuple[Floats, Floats]:
        """How far below and above their values the voltages of some elements may lie, after one move."""
        linear = self._solved(move)
        uncertain = Uncertain.of(self.solved.net, linear.point)
        return uncertain.with_lead(int(self.moves.row[move]), self.leads[move]).widths(linear, elements)


class _Events(dict[int, EventSolution]):
    """The event after each move that was asked for, solved in full."""

    def __init__(self, solved: EventSolution, moves: Moves) -> None:
        super().__init__()
        self._solved, self._moves = solved, moves

    def __missing__(self, move: int) -> EventSolution:
        found = self[move] = solved_after(self._solved, self._moves, move)
        return found


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

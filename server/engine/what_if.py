"""What if a lead landed elsewhere: all candidate taps at once, without factorising anew.

As exact as a full solution of each: the lead is moved by ``lead_update``, and what loads draw beyond their
lines is put right by iteration. A move that would change the state of a source, diode, relay or converter has
no such answer and wants a full solution.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.lead_update import LeadUpdate, Moved, Moves
from server.engine.linearised import Linearised
from server.engine.network import Network
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.states import Borders, Idle, next_states


@dataclass(frozen=True, eq=False)
class MovedVoltages:
    """Voltages of ``elements`` (columns) by candidate (rows); ``in_full`` marks those solved in full."""

    elements: Indices
    voltage_v: Floats
    in_full: Flags


def moved_voltages(
    linear: Linearised, moves: Moves, elements: Indices | None = None, *, relays_held: bool
) -> MovedVoltages:
    """The voltages of elements after each move, as exact as a full solution of each.

    Where none are named, those of all that are no plain resistors. From a move that was solved in full follow
    those of the same lead that leave the network in the states it came to.
    """
    quick = quick_voltages(linear, moves, elements, relays_held=relays_held)
    rest = np.flatnonzero(quick.in_full)
    while len(rest):
        base, rest = int(rest[0]), rest[1:]
        point = solve_moved(linear.point, moves, base, relays_held)
        quick.voltage_v[base] = point.element_v[quick.elements]
        same = rest[moves.row[rest] == moves.row[base]]
        if len(same) and not len(point.unsettled):
            again = quick_voltages(Linearised(point), moves.some(same), elements, relays_held=relays_held)
            followed = same[~again.in_full]
            quick.voltage_v[followed] = again.voltage_v[~again.in_full]
            rest = np.setdiff1d(rest, followed)
    return quick


def solve_moved(point: OperatingPoint, moves: Moves, move: int, relays_held: bool) -> OperatingPoint:
    """The full solution of one candidate."""
    network = moved_network(point.network, moves, move)
    return operating_point(network, point.absent, point.states.relays if relays_held else None)


def moved_network(network: Network, moves: Moves, move: int) -> Network:
    """The network of one candidate."""
    row, kept, tap = int(moves.row[move]), int(moves.kept[move]), int(moves.tap[move])
    keeps_tail = network.solved_tail[row] == network.node_of[kept]
    ends = (kept, tap) if keeps_tail else (tap, kept)
    return network.with_lead(row, *ends, float(moves.ohm[move]))


def quick_voltages(
    linear: Linearised, moves: Moves, elements: Indices | None = None, *, relays_held: bool
) -> MovedVoltages:
    """The same without the full solutions: rows marked ``in_full`` still want one."""
    network = linear.point.network
    wanted = np.arange(len(network.resistors), network.size) if elements is None else elements
    voltage_v, in_full = np.empty((len(moves), len(wanted))), np.empty(len(moves), bool)
    for at, update in LeadUpdate.of(linear, moves).blocks(len(wanted)):
        points = MovedPoints(update, relays_held)
        voltage_v[at], in_full[at] = points.voltages(wanted), points.in_full
    return MovedVoltages(wanted, voltage_v, in_full)


@dataclass(frozen=True, eq=False)
class MovedPoints:
    """The points of all candidates that need no full solution, linearised where each stands."""

    update: LeadUpdate
    relays_held: bool

    @classmethod
    def of(cls, linear: Linearised, moves: Moves, *, relays_held: bool) -> "MovedPoints":
        """The points of some moves; ``relays_held`` keeps the combining relays as they stand."""
        return cls(LeadUpdate.of(linear, moves), relays_held)

    @property
    def linear(self) -> Linearised:
        """The point before the move."""
        return self.update.linear

    @cached_property
    def _volts(self) -> Moved:
        return self.update.moved(self.linear.point.node_v, self.linear.bending.excess_a)

    def voltages(self, elements: Indices) -> Floats:
        """The voltages of some elements after each move; not for the moved lead itself."""
        network = self.linear.point.network
        v = self._volts.across(network.solved_tail[elements], network.solved_head[elements])
        return self._told(v, elements)

    def _told(self, v: Floats, elements: Indices) -> Floats:
        """Element voltages after each move; nan between islands, which no move that is followed joins."""
        untold = np.isnan(self.linear.point.element_v[elements])
        if untold.any():
            v[:, untold] = np.nan
        return v

    @cached_property
    def in_full(self) -> Flags:
        """The candidates that want a full solution."""
        return self.update.refused | self._volts.unsettled | ~self._keeps_states()

    @cached_property
    def _borders(self) -> Borders:
        """The voltages that decide states; those of loads that do not bend or cannot starve are not asked."""
        network, bends = self.linear.point.network, self.linear.bending
        at, node_of = network.spans, network.node_of
        fixed = np.flatnonzero((network.loads.is_power == 0) & (network.loads.cut_out_v > 0))
        parts = [
            np.arange(network.size)[at["limited"]],
            np.arange(network.size)[at["diodes"]],
            at["loads"].start + fixed,
        ]
        tail, head = (node[np.concatenate(parts)] for node in (network.solved_tail, network.solved_head))
        relays, reference = network.relays, node_of[network.relays.reference]
        v = self._volts.across(
            np.concatenate([tail, node_of[relays.sense], node_of[relays.other_sense]]),
            np.concatenate([head, reference, reference]),
        )
        limited, diodes, own, either, other = np.split(
            v, np.cumsum([*(len(part) for part in parts), len(relays)]), axis=1
        )
        loads = np.full((len(self.update.moves), len(network.loads)), np.nan, order="F")
        loads[:, fixed] = own
        loads[:, bends.rows] = self._volts.at_bends[:, : len(bends)]
        return Borders(limited, diodes, np.fmax(either, other), loads)

    def _keeps_states(self) -> Flags:
        """Which candidates leave sources, diodes, relays and converters in the state of the base.

        Loads of constant power may pass their cut-out: their currents follow it.
        """
        point = self.linear.point
        network, states = point.network, point.states
        idle = Idle.of(network, self.linear.loads.unfed, point.absent)
        wanted = next_states(network, states, self._borders, idle, relays_held=self.relays_held)
        follows, may_be_either = self.linear.bending.cut_outs
        kept = (
            (wanted.limited == states.limited).all(axis=1),
            (wanted.diodes == states.diodes).all(axis=1),
            (wanted.relays == states.relays).all(axis=-1),
            ((wanted.starved == states.starved) | follows).all(axis=1),
            ~((wanted.starved | states.starved) & may_be_either).any(axis=1),
        )
        all_kept: Flags = np.logical_and.reduce(np.broadcast_arrays(*kept))
        return all_kept

    @cached_property
    def voltage_v(self) -> Floats:
        """The voltages of all elements; of the moved lead from its kept end to its new tap."""
        return self._told(self._volts.elements(), np.arange(self.linear.point.network.size))

    def answer(self, observed: int) -> Floats:
        """All elements' voltages for one ampere into one's tail and out of its head, after each move."""
        bends = self.linear.bending
        column = self.linear.port_columns(np.array([observed]))[:, 0]
        change = bends.slope_change(self._volts.at_bends)
        return self.update.moved(column, lambda v: change * v[:, : len(bends)]).elements()

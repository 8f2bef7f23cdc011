"""What if a lead landed elsewhere: all candidate taps at once, without factorising anew.

Moving a lead takes a conductance g_old off the nodes (x, a) and lays g_new between (x, k): a change of
rank two,
made in one step because without any lead the matrix would be singular. With U = [e_x - e_a, e_x - e_k],
C = diag(-g_old, g_new) and J the linearised matrix (Woodbury's identity):

    v' = v - J⁻¹U M⁻¹ Uᵀv,   M = C⁻¹ + UᵀJ⁻¹U.

What constant-power loads draw beyond their linearisation is then put right by iteration over the loads alone.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from server.engine.arrays import Flags, Floats, Indices
from server.engine.linearised import Bending, Linearised
from server.engine.network import SHORTEST_OHM, Loads, Network
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.states import Borders, Idle, next_states

SETTLED = 1e-10
"""Relative step of the voltages at which the correction stops; the next would be far smaller."""
MOST_CORRECTIONS = 12
SINGULAR = 1e-9
"""A determinant this small against what its terms are made of means that the move cuts the network."""


@dataclass(frozen=True, eq=False)
class Moves:
    """Candidate moves: resistor ``row`` keeps its end on node ``kept`` and lands on ``tap`` with ``ohm``."""

    row: Indices
    kept: Indices
    tap: Indices
    ohm: Floats

    def __len__(self) -> int:
        """How many candidates there are."""
        return len(self.row)


@dataclass(frozen=True, eq=False)
class MovedVoltages:
    """Voltages of ``elements`` (columns) by candidate (rows); ``in_full`` marks those solved in full."""

    elements: Indices
    voltage_v: Floats
    in_full: Flags


def moved_voltages(linear: Linearised, moves: Moves, *, relays_held: bool) -> MovedVoltages:
    """The voltages of all sources and loads after each move, as exact as a full solution of each."""
    quick = quick_voltages(linear, moves, relays_held=relays_held)
    for move in np.flatnonzero(quick.in_full).tolist():
        quick.voltage_v[move] = solve_moved(linear.point, moves, move, relays_held).element_v[quick.elements]
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


def quick_voltages(linear: Linearised, moves: Moves, *, relays_held: bool) -> MovedVoltages:
    """The same without the full solutions: rows marked ``in_full`` still want one."""
    first = len(linear.point.network.resistors)
    return _quick(linear, moves, np.arange(first, linear.point.network.size), relays_held=relays_held)[0]


def _quick(
    linear: Linearised, moves: Moves, elements: Indices, *, relays_held: bool
) -> tuple[MovedVoltages, "_Update"]:
    """Voltages of elements, which hold all that are no resistors, after each move."""
    update = _Update.of(linear, moves)
    bends = linear.bending
    excess, unsettled = _excess_currents(linear, update, bends)
    network = linear.point.network
    relays, node_of = network.relays, network.node_of
    reference = node_of[relays.reference]
    tail = np.concatenate([network.solved_tail[elements], node_of[relays.sense], node_of[relays.other_sense]])
    head = np.concatenate([network.solved_head[elements], reference, reference])
    update = update.with_excess(bends, excess)
    v = update.port_voltages(tail, head, bends, excess)
    v, either, other = np.split(v, [len(elements), len(elements) + len(relays)], axis=1)
    states_v = v[:, len(network.resistors) - network.size :]
    kept = _keeps_states(linear, states_v, np.fmax(either, other), relays_held=relays_held)
    return MovedVoltages(elements, v, update.refused | unsettled | ~kept), update


@dataclass(frozen=True, eq=False)
class MovedPoints:
    """Every element's voltage after each move, and the adjoint answer of one observed element.

    The moved resistor itself is read from its kept end to its new tap.
    """

    voltage_v: Floats
    answer: Floats
    in_full: Flags


def moved_points(linear: Linearised, moves: Moves, observed: int, *, relays_held: bool) -> MovedPoints:
    """All element voltages after each move, with what the bands of the observed one want.

    The answer is that of the network linearised before the move, with the move made: loads keep their slopes.
    """
    network = linear.point.network
    moved, update = _quick(linear, moves, np.arange(network.size), relays_held=relays_held)
    column = linear.port_columns(np.array([observed]))[:, 0]
    answer, v = update.moved_column(column), moved.voltage_v
    v[np.arange(len(moves)), moves.row] = update.lead_v
    for move in np.flatnonzero(moved.in_full).tolist():
        full = solve_moved(linear.point, moves, move, relays_held)
        again = Linearised(full)
        v[move] = full.element_v
        answer[move] = again.across(again.port_columns(np.array([observed])))[:, 0]
        row, keeps_tail = (
            moves.row[move],
            network.solved_tail[moves.row[move]] == network.node_of[moves.kept[move]],
        )
        if not keeps_tail:
            v[move, row], answer[move, row] = -v[move, row], -answer[move, row]
    return MovedPoints(v, answer, moved.in_full)


def _ends(point: OperatingPoint, elements: Indices) -> tuple[Indices, Indices]:
    return point.network.solved_tail[elements], point.network.solved_head[elements]


@dataclass(frozen=True, eq=False)
class _Update:
    """The rank-two change of every candidate, over the columns of J⁻¹ it needs."""

    linear: Linearised
    row: Indices
    ohm: Floats
    nodes: Indices
    columns: Floats
    x: Indices
    a: Indices
    k: Indices
    inverse: tuple[Floats, Floats, Floats]
    y: tuple[Floats, Floats]
    refused: Flags

    @classmethod
    def of(cls, linear: Linearised, moves: Moves) -> "_Update":
        point = linear.point
        network = point.network
        x, k = network.node_of[moves.kept], network.node_of[moves.tap]
        tail, head = network.solved_tail[moves.row], network.solved_head[moves.row]
        a = np.where(tail == x, head, tail)
        nodes, place = np.unique(np.concatenate([x, a, k]), return_inverse=True)
        columns = linear.columns(nodes)
        z = columns[nodes]
        ix, ia, ik = place.reshape(3, -1)
        aa = z[ix, ix] - 2 * z[ix, ia] + z[ia, ia] - network.resistors.ohm[moves.row]
        ak = z[ix, ix] - z[ix, ik] - z[ia, ix] + z[ia, ik]
        kk = z[ix, ix] - 2 * z[ix, ik] + z[ik, ik] + moves.ohm
        determinant = aa * kk - ak * ak
        label, v = point.islands.label, point.node_v
        refused = network.merged[moves.row] | (moves.ohm < SHORTEST_OHM) | (label[x] != label[k])
        refused |= np.abs(determinant) <= SINGULAR * (network.resistors.ohm[moves.row] * np.abs(kk) + ak * ak)
        refused |= (point.conductance[moves.row] == 0) | ~point.islands.node_fed[x]
        safe = np.where(refused, 1.0, determinant)
        inverse = (kk / safe, -ak / safe, aa / safe)
        across_a, across_k = v[x] - v[a], v[x] - v[k]
        y = _times(inverse, np.where(refused, 0.0, across_a), np.where(refused, 0.0, across_k))
        return cls(linear, moves.row, moves.ohm, nodes, columns, ix, ia, ik, inverse, y, refused)

    def ports(self, tail: Indices, head: Indices) -> Floats:
        """Columns of J⁻¹ seen between nodes: a row for each moved node, a column for each pair."""
        return np.ascontiguousarray((self.columns[tail] - self.columns[head]).T)

    def seen(self, ports: Floats) -> tuple[Floats, Floats]:
        """The two columns J⁻¹U of every candidate, at the ports."""
        kept = ports[self.x]
        return kept - ports[self.a], kept - ports[self.k]

    def moved_column(self, column: Floats) -> Floats:
        """A column of J⁻¹ at all elements after each move."""
        network = self.linear.point.network
        at = column[self.nodes]
        y_a, y_k = _times(self.inverse, at[self.x] - at[self.a], at[self.x] - at[self.k])
        seen_a, seen_k = self.seen(self.ports(network.solved_tail, network.solved_head))
        moved = column[network.solved_tail] - column[network.solved_head]
        answer: Floats = moved - y_a[:, None] * seen_a - y_k[:, None] * seen_k
        answer[np.arange(len(self.x)), self.row] = y_k * self.ohm
        return answer

    def with_excess(self, bends: Bending, excess: Floats) -> "_Update":
        """The same update with the excess currents of constant-power loads in its branch currents ``y``."""
        if not len(bends.power):
            return self
        with_power = self.seen(self.ports(*_ends(self.linear.point, bends.power)))
        more = _times(self.inverse, *((excess * seen).sum(axis=1) for seen in with_power))
        return replace(self, y=(self.y[0] - more[0], self.y[1] - more[1]))

    @property
    def lead_v(self) -> Floats:
        """Voltage of the moved lead from its kept end to its new tap: y is the current in it."""
        return self.y[1] * self.ohm

    def port_voltages(self, tail: Indices, head: Indices, bends: Bending, excess: Floats) -> Floats:
        """Voltages between nodes after each move, with the excess currents drawn."""
        point, many = self.linear.point, len(self.x)
        ports = self.ports(tail, head)
        y_a, y_k = self.y
        weights = np.stack([-y_a - y_k, y_a, y_k], axis=1).ravel()
        at = np.stack([self.x, self.a, self.k], axis=1).ravel()
        change = csr_array((weights, at, np.arange(0, 3 * many + 1, 3)), shape=(many, len(ports))) @ ports
        if len(bends.power):
            change -= excess @ (bends.answer[tail] - bends.answer[head]).T
        moved: Floats = point.node_v[tail] - point.node_v[head] + change
        return moved


def _times(inverse: tuple[Floats, Floats, Floats], a: Floats, k: Floats) -> tuple[Floats, Floats]:
    """A symmetric two-by-two matrix times a vector, for every candidate."""
    return inverse[0] * a + inverse[1] * k, inverse[1] * a + inverse[2] * k


def _excess_currents(linear: Linearised, update: _Update, bends: Bending) -> tuple[Floats, Flags]:
    """What each constant-power load draws beyond its linearisation, and the candidates that do not settle."""
    point, many = linear.point, len(update.x)
    excess = np.zeros((many, len(bends.power)))
    if not len(bends.power):
        return excess, np.zeros(many, bool)
    network, start = point.network, point.network.spans["loads"].start
    base_v, base_a = point.element_v[bends.power], point.current_a[bends.power]
    slope = linear.slope[bends.power]
    tail, head = _ends(point, bends.elements)
    mutual = (bends.answer[tail] - bends.answer[head]).T
    seen_a, seen_k = update.seen(update.ports(tail, head))
    y_a, y_k = update.y
    linear_v = point.element_v[bends.elements] - y_a[:, None] * seen_a - y_k[:, None] * seen_k
    count, size = len(bends.power), float(np.nanmax(np.abs(base_v)))
    v, step = linear_v, np.full(many, np.inf)
    amount = np.broadcast_to(network.loads.amount[bends.power - start], (many, count)).copy()
    for _ in range(MOST_CORRECTIONS):
        if len(bends.outputs):
            amount[:, bends.follows] = _converter_input_w(point, bends, v[:, count:])
        drawn = _load_currents(network.loads, bends.rows, amount, v[:, :count])
        excess = drawn - base_a - slope * (v[:, :count] - base_v)
        more = _times(
            update.inverse,
            (excess * seen_a[:, :count]).sum(axis=1),
            (excess * seen_k[:, :count]).sum(axis=1),
        )
        corrected = linear_v - excess @ mutual + more[0][:, None] * seen_a + more[1][:, None] * seen_k
        step = np.abs(corrected - v).max(axis=1)
        v = corrected
        if (step[~update.refused] <= SETTLED * size).all():
            break
    return excess, step > SETTLED * size


def _load_currents(loads: Loads, rows: Indices, amount: Floats, v: Floats) -> Floats:
    """Current of each load at its voltage, on the resistance line below its cut-out."""
    is_power, cut_out = loads.is_power[rows] > 0, loads.cut_out_v[rows]
    running = amount / np.where(is_power, np.maximum(v, 1e-3), 1.0)
    knee = np.where(cut_out > 0, cut_out, 1.0)
    starved = amount * v / np.where(is_power, knee**2, knee)
    return np.where(v < cut_out, starved, running)


def _converter_input_w(point: OperatingPoint, bends: Bending, across: Floats) -> Floats:
    """Input power of each converter at the given voltages (tail minus head) of its output."""
    converters, at = point.network.converters, bends.outputs
    live = np.isin(converters.output + point.network.spans["limited"].start, at)
    out_w = np.maximum(-across * point.conductance[at] * (across + point.rise_v[at]), 0.0)
    power: Floats = out_w / converters.efficiency[live] + converters.idle_w[live]
    return power


def _keeps_states(linear: Linearised, v: Floats, sensed_v: Floats, *, relays_held: bool) -> Flags:
    """Which candidates leave sources, diodes, relays and converters in the state of the base.

    Other loads may pass their cut-out: their currents follow it.
    """
    point = linear.point
    network, states = point.network, point.states
    first = len(network.resistors)

    def of(kind: str) -> Floats:
        span = network.spans[kind]
        return v[:, span.start - first : span.stop - first]

    borders = Borders(of("limited"), of("diodes"), sensed_v, of("loads"))
    idle = Idle.of(network, linear.loads.unfed, point.absent)
    wanted = next_states(network, states, borders, idle, relays_held=relays_held)
    kept = (
        (wanted.limited == states.limited).all(axis=1),
        (wanted.diodes == states.diodes).all(axis=1),
        (wanted.relays == states.relays).all(axis=-1),
        (wanted.starved == states.starved)[:, network.converters.load].all(axis=1),
    )
    all_kept: Flags = np.logical_and.reduce(np.broadcast_arrays(*kept))
    return all_kept

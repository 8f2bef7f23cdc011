"""A lead laid elsewhere as a change of rank two, for many candidates at once.

Moving a lead takes a conductance g_old off the nodes (x, a) and lays g_new between (x, k): one step, because
without any lead the matrix would be singular. With U = [e_x - e_a, e_x - e_k], C = diag(-g_old, g_new) and J
the linearised matrix, whatever J⁻¹ gave as v becomes (Woodbury's identity)

    v' = v - J⁻¹U M⁻¹ Uᵀv,   M = C⁻¹ + UᵀJ⁻¹U.

Currents j that loads draw beyond their lines come on top: v is then v - J⁻¹P j, P the loads' ends.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array

from server.engine.arrays import Flags, Floats, Indices
from server.engine.linearised import Linearised
from server.engine.network import SHORTEST_OHM

SETTLED = 1e-10
"""What is still to come, relative, when the correction stops."""
SHRINKING = 0.5
"""Steps that shrink by less each time tell little of those to come."""
MOST_CORRECTIONS = 12
IN_CACHE = 70_000
"""So many figures at a time fit into a processor's cache; beyond, memory sets the pace."""
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

    def some(self, at: slice | Indices) -> "Moves":
        """Some of the candidates."""
        return Moves(self.row[at], self.kept[at], self.tap[at], self.ohm[at])


@dataclass(frozen=True, eq=False)
class LeadUpdate:
    """The rank-two change of every candidate, over the columns of J⁻¹ it needs; ``refused`` have none.

    ``columns`` has a row for each of the touched ``nodes``.
    """

    linear: Linearised
    moves: Moves
    nodes: Indices
    columns: Floats
    x: Indices
    a: Indices
    k: Indices
    inverse: tuple[Floats, ...]
    refused: Flags

    @classmethod
    def of(cls, linear: Linearised, moves: Moves) -> "LeadUpdate":
        """The change of each move."""
        point = linear.point
        network = point.network
        x, k = network.node_of[moves.kept], network.node_of[moves.tap]
        tail, head = network.solved_tail[moves.row], network.solved_head[moves.row]
        a = np.where(tail == x, head, tail)
        touched = np.zeros(network.nodes, bool)
        for ends in (x, a, k):
            touched[ends] = True
        nodes, place = np.flatnonzero(touched), np.cumsum(touched) - 1
        columns = np.ascontiguousarray(linear.columns(nodes).T)  # a row for each node: symmetric
        ix, ia, ik = place[x], place[a], place[k]
        own, z = columns[np.arange(len(nodes)), nodes], columns.take(nodes, axis=1).ravel()
        zx, za, zk = own[ix], own[ia], own[ik]
        z_xa, z_xk, z_ak = (z[row * len(nodes) + other] for row, other in ((ix, ia), (ix, ik), (ia, ik)))
        aa = zx - 2 * z_xa + za - network.resistors.ohm[moves.row]
        ak = zx - z_xk - z_xa + z_ak
        kk = zx - 2 * z_xk + zk + moves.ohm
        determinant = aa * kk - ak * ak
        label = point.islands.label
        refused = network.merged[moves.row] | (moves.ohm < SHORTEST_OHM) | (label[x] != label[k])
        refused |= np.abs(determinant) <= SINGULAR * (network.resistors.ohm[moves.row] * np.abs(kk) + ak * ak)
        refused |= (point.conductance[moves.row] == 0) | ~point.islands.node_fed[x]
        per = np.divide(1.0, determinant, out=np.zeros(len(moves)), where=~refused)
        inverse = (kk * per, -ak * per, aa * per)
        return cls(linear, moves, nodes, columns, ix, ia, ik, inverse, refused)

    def blocks(self, figures: int) -> "Iterator[tuple[slice, LeadUpdate]]":
        """The changes of some moves after the other, with so many figures each: as fit into the cache."""
        step = max(IN_CACHE // max(figures, len(self.linear.bending.elements), 1), 1)
        for start in range(0, len(self.moves), step):
            at = slice(start, start + step)
            yield (
                at,
                replace(
                    self,
                    moves=self.moves.some(at),
                    x=self.x[at],
                    a=self.a[at],
                    k=self.k[at],
                    inverse=tuple(column[at] for column in self.inverse),
                    refused=self.refused[at],
                ),
            )

    def ports(self, tail: Indices, head: Indices) -> Floats:
        """Columns of J⁻¹ seen between nodes: a row for each moved node, a column for each pair."""
        ports: Floats = self.columns.take(tail, axis=1)
        ports -= self.columns.take(head, axis=1)
        return ports

    @cached_property
    def _seen(self) -> tuple[Floats, Floats]:
        """J⁻¹U of every candidate (columns), seen by the bending loads and the outputs that they follow."""
        network, elements = self.linear.point.network, self.linear.bending.elements
        ports = self.ports(network.solved_tail[elements], network.solved_head[elements]).T.copy()
        kept, left, laid = (ports.take(node, axis=1) for node in (self.x, self.a, self.k))
        return np.subtract(kept, left, out=left), np.subtract(kept, laid, out=laid)

    def _times(self, a: Floats, k: Floats) -> tuple[Floats, Floats]:
        """M⁻¹ times a vector, for every candidate."""
        aa, ak, kk = self.inverse
        return aa * a + ak * k, ak * a + kk * k

    def moved(self, node_v: Floats, extra: Callable[[Floats], Floats]) -> "Moved":
        """What J⁻¹ gave at the nodes, after each move.

        ``extra`` gives the currents that the bending loads draw beyond their lines at the voltages of its
        argument (a row for each move); it is asked until they settle.
        """
        bends = self.linear.bending
        at = np.where(np.isnan(node_v), 0.0, node_v)[self.nodes]
        y = self._times(at[self.x] - at[self.a], at[self.x] - at[self.k])
        if not len(bends):
            none = np.zeros((len(self.x), 0))
            return Moved(self, node_v, y, none, none, np.zeros(len(self.x), bool))
        network, (seen_a, seen_k) = self.linear.point.network, self._seen
        own_a, own_k = seen_a[: len(bends)], seen_k[: len(bends)]
        tail, head = network.solved_tail[bends.elements], network.solved_head[bends.elements]
        straight = (node_v[tail] - node_v[head])[:, None] - y[0] * seen_a - y[1] * seen_k
        tolerance = SETTLED * float(np.abs(straight[: len(bends)]).max(initial=0.0))
        v, new, term, last = straight, np.empty_like(straight), np.empty_like(straight), None
        for _ in range(MOST_CORRECTIONS):
            current = extra(v.T).T
            more = self._times((current * own_a).sum(axis=0), (current * own_k).sum(axis=0))
            np.matmul(bends.mutual, current, out=new)
            np.subtract(straight, new, out=new)
            new += np.multiply(seen_a, more[0], out=term)
            new += np.multiply(seen_k, more[1], out=term)
            step = np.abs(np.subtract(new, v, out=term), out=term).max(axis=0)
            v, new = new, np.empty_like(new) if v is straight else v
            unsettled = ~(_still_to_come(step, last) <= tolerance) & ~self.refused
            if not unsettled.any():
                break
            last = step
        return Moved(self, node_v, (y[0] - more[0], y[1] - more[1]), current.T, v.T, unsettled)


def _still_to_come(step: Floats, last: Floats | None) -> Floats:
    """About what all further steps add up to: a geometric series, where they shrink by half and more."""
    if last is None:
        return step
    ratio = np.divide(step, last, out=np.zeros_like(step), where=last > 0)
    return np.where(ratio < SHRINKING, step * ratio, step)


@dataclass(frozen=True, eq=False)
class Moved:
    """What is at the nodes after each move.

    ``current`` is what the bending loads draw beyond their lines, ``at_bends`` the voltages they stand at.
    """

    update: LeadUpdate
    before: Floats
    y: tuple[Floats, Floats]
    """Currents of the old lead taken off and of the new one laid."""
    current: Floats
    at_bends: Floats
    unsettled: Flags

    def across(self, tail: Indices, head: Indices) -> Floats:
        """Voltages between nodes, a row for each move."""
        if len(tail) > len(self.before):
            across: Floats = self._node_v.take(tail, axis=1)
            across -= self._node_v.take(head, axis=1)
            return across
        answer, before = self.update.linear.bending.answer, self.before
        return self._seen_by(
            self.update.ports(tail, head), answer[tail] - answer[head], before[tail] - before[head]
        )

    @cached_property
    def _node_v(self) -> Floats:
        """Voltages of all nodes, a row for each move."""
        return self._seen_by(self.update.columns, self.update.linear.bending.answer, self.before)

    def _seen_by(self, columns: Floats, answer: Floats, before: Floats) -> Floats:
        """Voltages, from what each ampere at a touched node or of a bending load makes of them."""
        seen: Floats = self._taken @ columns
        seen += self._drawn @ np.vstack([-answer.T, before])
        return seen

    @cached_property
    def _taken(self) -> csr_array:
        """What each move takes off and lays at the nodes it touches."""
        update, (y_a, y_k), many = self.update, self.y, len(self.update.x)
        weights = np.stack([-y_a - y_k, y_a, y_k], axis=1).ravel()
        at = np.stack([update.x, update.a, update.k], axis=1).ravel()
        return csr_array((weights, at, np.arange(0, 3 * many + 1, 3)), shape=(many, len(update.nodes)))

    @cached_property
    def _drawn(self) -> Floats:
        """What the bending loads draw beyond their lines, and one for what was there before."""
        return np.column_stack([self.current, np.ones(len(self.update.x))])

    def elements(self) -> Floats:
        """Voltages of all elements; of the moved resistor from its kept end to its new tap."""
        network, moves = self.update.linear.point.network, self.update.moves
        v = self.across(network.solved_tail, network.solved_head)
        v[np.arange(len(moves)), moves.row] = self.y[1] * moves.ohm
        return v

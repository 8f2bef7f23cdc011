"""Where one ampere flows that a load draws: by its own dead-end wiring, then through the rest of the network.

Nearly all wiring of a boat is branches that lead to loads. By Kirchhoff's current law a load's ampere flows
whole through every element of its branch, so only the network that is left without the branches, often small,
has to be solved; loads of one panel draw on it alike.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array

from server.engine.arrays import Floats, Indices
from server.engine.shared_path import SourceNetwork


@dataclass(frozen=True, eq=False)
class UnitWays:
    """The unit currents of some elements (inputs), each of which both ends lie on a fed island."""

    source: SourceNetwork
    elements: Indices

    def unit(self, column: int) -> Floats:
        """Current of every element while one input draws one ampere."""
        unit: Floats = self.core[:, self.core_of[column]].copy()
        for row, ampere in self.own[column].items():
            unit[row] += ampere
        return unit

    def squares_over(self, weights: Floats) -> Floats:
        """Σ w_e u_e² of every input (column) for several weights of the elements (rows)."""
        through: Floats = (weights @ self.core**2)[:, self.core_of]
        alone: Floats = (abs(self._own_matrix) @ weights.T).T
        return through + alone

    def squares_among(self, weights: Floats, rows: list[int], column: int) -> Floats:
        """The same of one input over some of the elements."""
        own, core = self.own[column], self.core_of[column]
        alone = [row for row in rows if row in own]
        shared = [row for row in rows if row not in own]
        total: Floats = weights[:, alone].sum(axis=1) + weights[:, shared] @ self.core[shared, core] ** 2
        return total

    def at(self, rows: slice) -> Floats:
        """The unit currents of a span of elements (rows) for every input (column)."""
        units: Floats = self.core[rows][:, self.core_of] + self._own_matrix[:, rows].toarray().T
        return units

    @cached_property
    def own(self) -> tuple[Mapping[int, float], ...]:
        """For each input the elements of its branches, with +1 where its ampere flows from tail to head."""
        network = self.source.point.network
        tails, heads = network.solved_tail[self.elements], network.solved_head[self.elements]
        found = []
        for tail, head in zip(tails.tolist(), heads.tolist(), strict=True):
            own = dict(self._climb(tail)[0])
            for row, ampere in self._climb(head)[0]:
                if row in own:  # out and back by the same element
                    del own[row]
                else:
                    own[row] = -ampere
            found.append(own)
        return tuple(found)

    @cached_property
    def core_of(self) -> Indices:
        """For each input its column of ``core``."""
        return self._pairs[1]

    @cached_property
    def core(self) -> Floats:
        """Currents of all elements for an ampere drawn at each pair of nodes where branches end (columns)."""
        network, pairs, g = self.source.point.network, self._pairs[0], self.source.conductance
        rhs = np.zeros((network.nodes, len(pairs)), order="F")
        at = np.arange(len(pairs))
        np.add.at(rhs, (pairs[:, 0], at), -1.0)
        np.add.at(rhs, (pairs[:, 1], at), 1.0)
        v = np.ascontiguousarray(self.source.factor.solve(rhs))
        core: Floats = g[:, None] * (v[network.pattern.tail] - v[network.pattern.head])
        core[self._branch_rows] = 0.0
        return core

    @cached_property
    def _pairs(self) -> tuple[Indices, Indices]:
        network = self.source.point.network
        tails, heads = (
            network.solved_tail[self.elements].tolist(),
            network.solved_head[self.elements].tolist(),
        )
        ends = [(self._climb(a)[1], self._climb(b)[1]) for a, b in zip(tails, heads, strict=True)]
        pairs, number = np.unique(np.array(ends, np.intp).reshape(-1, 2), axis=0, return_inverse=True)
        return pairs, number.reshape(-1)

    @cached_property
    def _own_matrix(self) -> csr_array:
        """The same as ``own``: inputs by elements."""
        rows = [row for own in self.own for row in own]
        amperes = [ampere for own in self.own for ampere in own.values()]
        starts = np.concatenate([[0], np.cumsum([len(own) for own in self.own], dtype=np.intp)])
        size = self.source.point.network.size
        return csr_array((np.array(amperes, float), np.array(rows, np.intp), starts), (len(self.own), size))

    def _climb(self, node: int) -> tuple[tuple[tuple[int, float], ...], int]:
        """The elements from a node to the end of its branch, for an ampere flowing to the node; that end."""
        passed = list[int]()
        while node not in self._climbed and node in self._parent:
            passed.append(node)
            node = self._parent[node][2]
        way, end = self._climbed.get(node, ((), node))
        for one in reversed(passed):
            row, ampere, _ = self._parent[one]
            way = ((row, ampere), *way)
            self._climbed[one] = way, end
        return way, end

    @cached_property
    def _climbed(self) -> dict[int, tuple[tuple[tuple[int, float], ...], int]]:
        return {}

    @cached_property
    def _branch_rows(self) -> list[int]:
        return [row for row, _, _ in self._parent.values()]

    @cached_property
    def _parent(self) -> dict[int, tuple[int, float, int]]:
        """For each node of a branch: the element towards its end, +1 if that points to the node, next node.

        Nodes on which one element ends are taken off until none is left; an island that is a tree keeps one.
        """
        network, pattern = self.source.point.network, self.source.point.network.pattern
        live = np.flatnonzero((self.source.conductance > 0) & (pattern.tail != pattern.head))
        at: list[dict[int, tuple[float, int]]] = [{} for _ in range(network.nodes)]
        for row, tail, head in zip(
            live.tolist(), pattern.tail[live].tolist(), pattern.head[live].tolist(), strict=True
        ):
            at[tail][row] = -1.0, head
            at[head][row] = 1.0, tail
        parent: dict[int, tuple[int, float, int]] = {}
        waiting = [node for node, ends in enumerate(at) if len(ends) == 1]
        while waiting:
            node = waiting.pop()
            if len(at[node]) != 1:
                continue
            row, (ampere, beyond) = at[node].popitem()
            parent[node] = row, ampere, beyond
            del at[beyond][row]
            if len(at[beyond]) == 1:
                waiting.append(beyond)
        return parent

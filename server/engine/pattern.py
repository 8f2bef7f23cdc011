"""The places of the conductance matrix that a network's elements touch."""

from copy import copy
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csc_array, csr_array

from server.engine.arrays import Floats, Indices


@dataclass(frozen=True, eq=False)
class Pattern:
    """Which places of the matrix the elements touch; built once for each topology."""

    nodes: int
    tail: Indices
    head: Indices

    @cached_property
    def _places(self) -> tuple[csc_array, Indices, Indices]:
        """An empty matrix of this pattern, where each stamp goes, where the diagonal stands."""
        n, own, count = self.nodes, np.arange(self.nodes), len(self.tail)
        rows = np.concatenate([self.tail, self.head, own])
        columns = np.concatenate([self.head, self.tail, own])
        keys, place = np.unique(columns * n + rows, return_inverse=True)
        beside, diagonal = place[: 2 * count], place[2 * count :]
        column = keys // n
        starts = np.concatenate([[0], np.cumsum(np.bincount(column, minlength=n))]).astype(np.int32)
        empty = csc_array((np.zeros(len(keys)), (keys - column * n).astype(np.int32), starts), shape=(n, n))
        empty.has_canonical_format = True
        return empty, np.concatenate([diagonal[self.tail], diagonal[self.head], beside]), diagonal

    def stamped(self, conductance: Floats) -> Floats:
        """The values of the matrix A·diag(g)·Aᵀ, A the incidence of the elements."""
        empty, place, _ = self._places
        stamps = np.concatenate([conductance, conductance, -conductance, -conductance])
        return np.bincount(place, stamps, empty.nnz).astype(np.float64, copy=False)

    def matrix(self, conductance: Floats, grounded: Floats) -> csc_array:
        """The matrix A·diag(g)·Aᵀ + diag(grounded)."""
        empty, _, diagonal = self._places
        data = self.stamped(conductance)
        data[diagonal] += grounded
        filled = copy(empty)
        filled.data = data
        return filled

    def links(self, conductance: Floats) -> csr_array:
        """Which nodes are joined by a conductance, as a symmetric graph."""
        empty, _, _ = self._places
        joined = self.stamped(conductance) < 0
        before = np.concatenate([[0], np.cumsum(joined, dtype=np.int32)])
        indices, starts = empty.indices[joined], before[empty.indptr]
        return csr_array((np.ones(len(indices)), indices, starts), shape=empty.shape)

    def into_nodes(self, current: Floats) -> Floats:
        """The sum of element currents that leave each node: A·i."""
        out = np.bincount(self.tail, current, self.nodes)
        arriving = np.bincount(self.head, current, self.nodes)
        return np.subtract(out, arriving, dtype=np.float64)

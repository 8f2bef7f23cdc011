"""The places of the conductance matrix that a network's elements touch."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csc_array

from server.engine.arrays import Floats, Indices


@dataclass(frozen=True, eq=False)
class Pattern:
    """Which places of the matrix the elements touch; built once for each topology."""

    nodes: int
    tail: Indices
    head: Indices

    @cached_property
    def _keys(self) -> tuple[Indices, Indices]:
        n, own = self.nodes, np.arange(self.nodes)
        rows = np.concatenate([self.tail, self.head, self.tail, self.head, own])
        columns = np.concatenate([self.tail, self.head, self.head, self.tail, own])
        keys, place = np.unique(columns * n + rows, return_inverse=True)
        return keys, place

    @cached_property
    def _shape(self) -> tuple[Indices, Indices]:
        keys, _ = self._keys
        starts = np.searchsorted(keys, np.arange(self.nodes + 1) * self.nodes)
        return (keys % self.nodes).astype(np.int32), starts.astype(np.int32)

    def matrix(self, conductance: Floats, grounded: Floats) -> csc_array:
        """The matrix A·diag(g)·Aᵀ + diag(grounded), A the incidence of the elements."""
        keys, place = self._keys
        rows, starts = self._shape
        stamps = np.concatenate([conductance, conductance, -conductance, -conductance, grounded])
        data = np.bincount(place, weights=stamps, minlength=len(keys))
        return csc_array((data, rows, starts), shape=(self.nodes, self.nodes))

    def into_nodes(self, current: Floats) -> Floats:
        """The sum of element currents that leave each node: A·i."""
        out = np.bincount(self.tail, weights=current, minlength=self.nodes)
        return out - np.bincount(self.head, weights=current, minlength=self.nodes)

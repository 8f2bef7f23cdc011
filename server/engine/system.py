"""The conductance matrix of a network, factorised sparsely."""

from typing import Protocol

import numpy as np
from scipy.sparse import csc_array
from scipy.sparse.linalg import splu

from server.engine.arrays import Floats, Indices
from server.engine.pattern import Pattern


class Factor(Protocol):
    """A factorised matrix."""

    def solve(self, rhs: Floats) -> Floats:
        """The solution for one right-hand side or for the columns of several."""


def grounding(pattern: Pattern, conductance: Floats, ground: Indices) -> Floats:
    """A conductance from each ground node to the reference, of the node's own size."""
    touching = np.bincount(pattern.tail, weights=conductance, minlength=pattern.nodes)
    touching += np.bincount(pattern.head, weights=conductance, minlength=pattern.nodes)
    grounded = np.zeros(pattern.nodes)
    grounded[ground] = np.where(touching[ground] > 0, touching[ground], 1.0)
    return grounded


def factorise(matrix: csc_array, *, definite: bool = True) -> Factor:
    """Sparse factorisation; without pivoting where the matrix is symmetric positive definite.

    Wiring is nearly a tree, whose factor hardly fills: merged columns (``relax``) and wide panels, meant for
    dense factors, would double its entries and its time.

    Raises:
        RuntimeError: the matrix is exactly singular.
    """
    if definite:
        factor: Factor = splu(
            matrix,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            relax=1,
            panel_size=4,
            options={"SymmetricMode": True},
        )
    else:
        factor = splu(matrix)
    return factor

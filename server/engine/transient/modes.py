r"""Modes of a linear system: every exponential exact, whatever the length of the step.

x' = A x + f(t) with A = V Λ V⁻¹ falls apart into single equations. For a polynomial f the answer is made of
the functions φ₀(z) = eᶻ, φₖ₊₁(z) = (φₖ(z) - 1/k!)/z (Hochbruck and Ostermann, Exponential integrators,
Acta Numerica 19, 2010, section 2): ∫₀^τ e^{λ(τ-s)} sᵏ/k! ds = τᵏ⁺¹ φₖ₊₁(λτ).
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import zgecon, zgetrf, zgetrs

from server.engine.arrays import Floats, Indices

Complexes = NDArray[np.complex128]
Numbers = NDArray[Any]
"""Real ones where all are, else complex ones."""

NEAR_ZERO = 2.0
"""Below this |z| the highest φ is summed as a series and the recurrence run down: upwards it would cancel."""
SERIES_TERMS = 20
"""2²¹/22! is below 2e-15: what is left out is rounding, more so of higher ones."""
DEFECTIVE = 1e-5
"""Reciprocal condition of the mode shapes below which two modes are taken to have run into one.

A state split into modes loses about the square of the condition in rounding.
"""
APART = 1e-6
"""Relative shift that keeps such modes apart: far below any tolerance of a component."""
SPREAD = (math.sqrt(5) - 1) / 2
"""Multiples of the golden section, less their whole part, are nowhere close together."""


@dataclass(frozen=True, eq=False)
class Modes:
    """Rates λ and shapes V, of each conjugate pair only one with its share doubled: x = Re(shape·m).

    The first ``reals`` of them are real. ``factor`` is of the shapes of states scaled by ``size``.
    """

    rate: Complexes
    shape: Complexes
    factor: Complexes
    pivot: NDArray[np.int32]
    kept: Indices
    reals: int
    size: Floats

    @classmethod
    def of(cls, A: Floats, size: Floats) -> "Modes":
        """The modes of a matrix; of one with coinciding shapes, those of a neighbour within 1e-6.

        ``size`` scales the states to one kind of unit (roots of energy), which conditions the shapes.
        """
        if not len(A):  # a network without loops, as one whose only loop is an open contact's
            nothing = np.zeros((0, 0), np.complex128)
            none = np.zeros(0, np.intp)
            return cls(np.zeros(0, np.complex128), nothing, nothing, np.zeros(0, np.int32), none, 0, size)
        alike = A * size[:, None] / size
        rate, shape = _eig(alike)
        factor, pivot, _ = zgetrf(shape)
        if zgecon(factor, np.linalg.norm(shape, 1))[0] < DEFECTIVE:
            shift = APART * (SPREAD * np.arange(1, len(A) + 1) % 1.0)
            rate, shape = _eig(alike * (1.0 + shift)[:, None])
            factor, pivot, _ = zgetrf(shape)
        real, turning = np.flatnonzero(rate.imag == 0), np.flatnonzero(rate.imag > 0)
        kept = np.concatenate([real, turning])
        doubled = np.where(rate.imag > 0, 2.0, 1.0)
        shares = (shape * doubled / size[:, None])[:, kept]
        return cls(rate[kept], shares, factor, pivot, kept, len(real), size)

    def project(self, x: Floats) -> Complexes:
        """The modal parts of states (columns, or one vector)."""
        if not self.kept.size:
            return x.astype(np.complex128)
        scaled = (x.T * self.size).T.astype(np.complex128)
        parts: Complexes = zgetrs(self.factor, self.pivot, scaled)[0][self.kept]
        return parts


def _eig(A: Floats) -> tuple[Complexes, Complexes]:
    rate, shape = np.linalg.eig(A)
    return rate.astype(np.complex128), shape.astype(np.complex128)


def phis(z: Numbers, highest: int) -> list[Numbers]:
    """φ₀(z) … φ_highest(z)."""
    near = np.abs(z) < NEAR_ZERO
    divisor = np.where(near, 1.0, z)
    found: list[Numbers] = [np.exp(z)]
    for k in range(highest):
        following = found[k] - 1 / math.factorial(k)
        following /= divisor
        found.append(following)
    if near.any():
        small = z[near]
        total = np.zeros_like(small)
        for j in range(SERIES_TERMS, -1, -1):
            total *= small
            total += 1 / math.factorial(j + highest)
        for k in range(highest, 0, -1):
            found[k][near] = total
            total = total * small + 1 / math.factorial(k - 1)
    return found

"""Modes of a linear system: x' = A x + f(t) with A = V Λ V⁻¹ falls apart into single equations."""

import math
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dgecon, dgetrf, dgetrs

from server.engine.arrays import Floats

Complexes = NDArray[np.complex128]
Numbers = NDArray[Any]
"""Real ones where all are, else complex ones."""

DEFECTIVE = 1e-5
"""Reciprocal condition of the mode shapes below which two modes are taken to have run into one.

A state split into modes loses about the square of the condition in rounding.
"""
APART = 1e-6
"""Relative shift that keeps such modes apart: far below any tolerance of a component."""
SPREAD = (math.sqrt(5) - 1) / 2
"""Multiples of the golden section, less their whole part, are nowhere close together."""


class Kind(NamedTuple):
    """The real modes or the turning ones: their rates, and where their parts stand among the stacked ones."""

    rate: Numbers
    rows: slice

    def picked(self, parts: Floats) -> Numbers:
        """Their parts; of turning modes as complex numbers."""
        own, count = parts[self.rows], len(self.rate)
        return own if self.rate.dtype == np.float64 else own[:count] + 1j * own[count:]

    def read(self, modal: Floats) -> Numbers:
        """What readings are made of: the real part of these times their parts."""
        own, count = modal[:, self.rows], len(self.rate)
        return own if self.rate.dtype == np.float64 else own[:, :count] - 1j * own[:, count:]

    def weights(self, modal: Floats) -> Floats:
        """How much each of them may move each reading, at the most."""
        own, count = np.abs(modal[:, self.rows]), len(self.rate)
        return own if self.rate.dtype == np.float64 else np.hypot(own[:, :count], own[:, count:])


def stacked(modes: Numbers) -> Floats:
    """Parts of modes of one kind in real numbers."""
    return modes if modes.dtype == np.float64 else np.concatenate([modes.real, modes.imag])


@dataclass(frozen=True, eq=False)
class Modes:
    """Rates λ, and states as x = basis·parts in real numbers.

    The parts of the real modes come first, then the real and then the imaginary parts of the turning ones: of
    each conjugate pair only one, with its share doubled. ``factor`` is of the basis of states scaled by
    ``size``.
    """

    A: Floats
    kinds: tuple[Kind, Kind]
    basis: Floats
    factor: Floats
    pivot: NDArray[np.int32]
    size: Floats

    @classmethod
    def of(cls, A: Floats, size: Floats) -> "Modes":
        """The modes of a matrix; of one with coinciding shapes, those of a neighbour within 1e-6.

        ``size`` scales the states to one kind of unit (roots of energy), which conditions the shapes.
        """
        alike = A * size[:, None] / size
        kinds, basis = _shapes(alike)
        factor, pivot, _ = _factored(basis)
        if len(A) and dgecon(factor, np.linalg.norm(basis, 1))[0] < DEFECTIVE:
            shift = APART * (SPREAD * np.arange(1, len(A) + 1) % 1.0)
            kinds, basis = _shapes(alike * (1.0 + shift)[:, None])
            factor, pivot, _ = _factored(basis)
        return cls(A, kinds, basis / size[:, None], factor, pivot, size)

    def are_of(self, A: Floats, size: Floats) -> bool:
        """Whether they are those of a matrix and its sizes, to the last bit."""
        return np.array_equal(A, self.A) and np.array_equal(size, self.size)

    @property
    def rate(self) -> Complexes:
        """The rates of all kept modes."""
        return np.concatenate([kind.rate for kind in self.kinds]).astype(np.complex128)

    def project(self, x: Floats) -> Floats:
        """The parts of states (columns, or one vector)."""
        if not len(x):  # a network without loops, as one whose only loop is an open contact's
            return x
        parts: Floats = dgetrs(self.factor, self.pivot, (x.T * self.size).T)[0]
        return parts


def _shapes(A: Floats) -> tuple[tuple[Kind, Kind], Floats]:
    rate, shape = np.linalg.eig(A)
    real, turning = np.flatnonzero(rate.imag == 0), np.flatnonzero(rate.imag > 0)
    turns = 2.0 * shape[:, turning]
    kinds = (
        Kind(rate[real].real, slice(len(real))),
        Kind(rate[turning].astype(np.complex128), slice(len(real), None)),
    )
    return kinds, np.hstack([shape[:, real].real, turns.real, -turns.imag])


def _factored(basis: Floats) -> tuple[Floats, NDArray[np.int32], int]:
    return dgetrf(basis) if len(basis) else (basis, np.zeros(0, np.int32), 0)

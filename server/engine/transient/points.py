"""The points of a step, and the polynomials through values there.

Inputs of a step are polynomials of σ = τ/span through their values at the Lobatto points of 0 … 1 (Abramowitz
and Stegun 1964, section 25.4: the ends, and the zeros of the derivative of a Legendre polynomial).
"""

import math
from typing import Any

import numpy as np
from numpy.polynomial import Legendre
from numpy.typing import NDArray

from server.engine.arrays import Floats

COUNT = 7
"""Points of a step, its two ends included: inputs are sextics."""
POWERS = np.arange(COUNT)


def _lobatto() -> Floats:
    inner = Legendre.basis(COUNT - 1, domain=[0.0, 1.0]).deriv().roots().real
    return np.concatenate([[0.0], np.sort(inner), [1.0]])


POINTS: Floats = _lobatto()
LATER: Floats = POINTS[1:]
TO_POWERS: Floats = np.linalg.inv(POINTS[:, None] ** POWERS).T.astype(np.float64)
"""Values at the points times this are the coefficients of the polynomial."""
LEFT_OUT = COUNT // 2
"""A polynomial of one degree less goes through all points but this one."""
MISSING = float(np.prod(POINTS[LEFT_OUT] - np.delete(POINTS, LEFT_OUT)))
"""What it misses there, for a highest coefficient of 1."""
SUMMED: Floats = LATER[:, None] ** (POWERS + 1) / (POWERS + 1) @ TO_POWERS.T
"""Values at the points times this (transposed) are the integrals to the points but the first."""
FACTORIALS: Floats = np.array([math.factorial(k) for k in range(COUNT)], np.float64)
_BENT: Floats = np.array(
    [
        [math.comb(i, j) / math.comb(COUNT - 3, j) * (j + 2) * (j + 1) for i in range(COUNT - 2)]
        for j in range(COUNT - 2)
    ]
)


def bending(powers: NDArray[Any], spans: Floats) -> Floats:
    """A bound of the second derivative of polynomials (last axis: powers of σ) over steps of these lengths.

    A polynomial lies within the hull of its Bernstein coefficients (Farouki, The Bernstein polynomial basis,
    Computer Aided Geometric Design 29, 2012).
    """
    bent = powers[..., 2:]
    bound: Floats = np.abs(bent @ _BENT[: bent.shape[-1]]).max(axis=-1) / spans**2
    return bound

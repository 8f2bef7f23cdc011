"""What a step of one length does to modes: m' = λ m + f, with f the polynomial through its values at points.

The answer at a point σ is ∫ e^{z(σ-s)} f(s) ds times the span, z = λ span. For a power of s that is a power
series in z, and also e^{zσ} and powers of σ over powers of z, by parts (any textbook on integrals); the
latter cancel where z is small.
"""

import math
from typing import NamedTuple

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.halves import SLOW, TERMS
from server.engine.transient.modes import Kind, Numbers, stacked
from server.engine.transient.points import COUNT, FACTORIALS, LATER, LEFT_OUT, MISSING, POWERS, TO_POWERS
from server.units import Second

WANTED = COUNT - 1
"""Points of a step at which inputs are sought: all but the first."""


def _by_value(by_power: Floats) -> Floats:
    """Replies to values at the points instead of to powers (last axis), by the first axis and all else."""
    by_value: Floats = by_power @ TO_POWERS.T
    return np.ascontiguousarray(by_value.reshape(len(by_power), -1))


def _series() -> Floats:
    """What is k! σ^(k+n+1) / (k+n+1)!, by the power n of z, point and power k of s."""
    over = np.array([[math.factorial(n + k + 1) for k in range(COUNT)] for n in range(TERMS)], np.float64)
    exponents = np.arange(TERMS)[:, None] + POWERS + 1
    found: Floats = FACTORIALS * LATER[:, None] ** exponents[:, None, :] / over[:, None, :]
    return found


def _by_parts() -> Floats:
    """What is -k!/(k-n)! σ^(k-n), by the power -(n+1) of z, point and power k of s."""
    found = np.zeros((COUNT, WANTED, COUNT))
    for n in range(COUNT):
        for k in range(n, COUNT):
            found[n, :, k] = -FACTORIALS[k] / FACTORIALS[k - n] * LATER ** (k - n)
    return found


SERIES = _by_value(_series())
BY_PARTS = _by_value(_by_parts())
FADING = _by_value(np.diag(FACTORIALS))


class Replies(NamedTuple):
    """What a step of one length does to the modes of a kind until its later points.

    ``forced`` is by modes, points, and values of the inputs at all points.
    """

    kind: Kind
    decay: Numbers
    forced: Numbers

    @classmethod
    def of(cls, kind: Kind, span: Second) -> "Replies":
        """The replies of a kind of modes."""
        z = kind.rate * span
        decay = np.exp(z[:, None] * LATER)
        forced: Numbers = np.empty((len(z), WANTED * COUNT), z.dtype)
        is_slow = np.abs(z) < SLOW
        slow, fast = np.flatnonzero(is_slow), np.flatnonzero(~is_slow)
        forced[slow] = np.vander(z[slow], TERMS, increasing=True) @ SERIES
        over = np.vander(1 / z[fast], COUNT + 1, increasing=True)[:, 1:]
        faded = decay[fast, :, None] * (over @ FADING)[:, None, :]
        forced[fast] = over @ BY_PARTS + faded.reshape(len(fast), WANTED * COUNT)
        return cls(kind, decay, forced.reshape(len(z), WANTED, COUNT) * span)

    def free(self, parts: Floats) -> Floats:
        """Their parts at the points where nothing drives them."""
        return stacked(self.decay * self.kind.picked(parts)[:, None])

    def driven(self, forcing: Floats) -> Floats:
        """Their parts at the points that a forcing brings about, by its values at all points (columns)."""
        return stacked((self.forced @ self.kind.picked(forcing)[:, :, None])[:, :, 0])

    def missed(self, highest: Floats) -> Floats:
        """What of them is missing at the points without the highest power of a forcing."""
        return stacked(self.forced[:, :, LEFT_OUT] * (MISSING * self.kind.picked(highest)[:, None]))

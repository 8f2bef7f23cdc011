"""The modes of a stretch at its instants: the real ones in real numbers, the turning ones in complex ones.

In a piece m' = λ m + Σ Fₖ σᵏ with σ = τ/span. Of a mode that is fast beside the piece, what is not the
polynomial Σ Cₖ σᵏ that follows the inputs fades: m = h e^{λτ} + Σ Cₖ σᵏ. A slow one is the power series of
its equation, which has no h (any textbook on linear differential equations).
"""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.transient.modes import Kind, Numbers
from server.engine.transient.points import bending

SLOW = 2.0
"""A mode with |λ span| below this is slow: the polynomial of a fast one would cancel with what fades."""
TERMS = 25
"""Coefficients of a piece. 2²⁵/25! is below 3e-18: what is left out of a series is rounding."""


class Instants(NamedTuple):
    """The piece of each instant, how long after its start, and that as a share of its span."""

    at: Indices
    tau: Floats
    sigma: Floats

    @property
    def powers(self) -> Floats:
        """1, σ, σ² … of each instant (rows)."""
        return np.vander(self.sigma, TERMS, increasing=True)


@dataclass(frozen=True, eq=False)
class Half:
    """A kind of a stretch's modes: their parts at every piece's start, and forcings there.

    Forcings are by powers of σ, modes, pieces.
    """

    kind: Kind
    m0: Numbers
    F: Numbers
    spans: Floats

    @cached_property
    def _turns(self) -> Numbers:
        """λ span of every mode (rows) in every piece."""
        turns: Numbers = self.kind.rate[:, None] * self.spans
        return turns

    @cached_property
    def smooth(self) -> Numbers:
        """C by modes, pieces and powers."""
        count, turns = len(self.F), self._turns
        slow = np.abs(turns) < SLOW
        found: Numbers = np.zeros((*turns.shape, TERMS), turns.dtype)
        pushed, divisor = self.F * self.spans, np.where(slow, 1.0, turns)
        above: Numbers | float = 0.0
        for k in reversed(range(count)):
            above = ((k + 1) * above - pushed[k]) / divisor
            found[:, :, k] = above
        if slow.any():
            found[slow] = _series(self.m0[slow], turns[slow], pushed[:, slow])
        return found

    @cached_property
    def _fading_at_first(self) -> Numbers:
        """The h of all modes and pieces."""
        first: Numbers = self.m0 - self.smooth[:, :, 0]
        return first

    def fading(self, here: Instants) -> Numbers:
        """What fades of the modes, at instants (columns)."""
        found: Numbers = np.exp(self.kind.rate[:, None] * here.tau)
        found *= self._fading_at_first.take(here.at, axis=1)
        return found

    def faded(self, here: Instants) -> Numbers:
        """The same, summed over time from each piece's start to an instant in it."""
        rate = self.kind.rate[:, None]
        summed: Numbers = np.expm1(rate * here.tau) / np.where(rate == 0, 1.0, rate)
        return summed * self._fading_at_first.take(here.at, axis=1)

    def bend(self, modal: Floats, here: Instants) -> Floats:
        """A bound of what the modes add to the second derivative of each reading, at instants.

        What a mode has of it at its piece's start fades with the mode; what the inputs bend adds for as long
        as the mode remembers.
        """
        rate, rising = self.kind.rate[:, None], self.F[1] / self.spans if len(self.F) > 1 else 0.0
        fading = np.abs(rate * (rate * self.m0 + self.F[0]) + rising)
        memory = np.minimum(self.spans, 1 / np.maximum(np.abs(rate), 1e-300))
        kept = bending(self.F.transpose(1, 2, 0), self.spans) * memory
        left = fading.take(here.at, axis=1)
        left *= np.exp(rate.real * here.tau)
        left += kept.take(here.at, axis=1)
        bound: Floats = self.kind.weights(modal) @ left
        return bound


def _series(m0: Numbers, turns: Numbers, pushed: Numbers) -> Numbers:
    """Coefficients (columns) of m = Σ Cₖ σᵏ with dm/dσ = turns·m + Σ pushedₖ σᵏ."""
    found: Numbers = np.empty((len(m0), TERMS), m0.dtype)
    found[:, 0] = m0
    for k in range(TERMS - 1):
        rising = turns * found[:, k]
        if k < len(pushed):
            rising += pushed[k]
        found[:, k + 1] = rising / (k + 1)
    return found

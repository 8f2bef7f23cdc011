"""The modes of a stretch at its instants: the real ones in real numbers, the turning ones in complex ones."""

from typing import NamedTuple

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.transient.modes import Kind, Numbers, phis, stacked
from server.engine.transient.points import FACTORIALS, POWERS, bending


class Instants(NamedTuple):
    """The piece of each instant, how long after its start, and that as a share of its span."""

    at: Indices
    tau: Floats
    sigma: Floats


class Half(NamedTuple):
    """A kind of a stretch's modes: their parts at every piece's start, and forcings there.

    Forcings are by powers of σ, modes, pieces.
    """

    kind: Kind
    m0: Numbers
    F: Numbers

    def modes(self, here: Instants, order: int = 0) -> Numbers:
        """Modes at instants (columns); with ``order`` 1 their integrals from the pieces' starts."""
        found, forced = self._found(here, order)
        forced *= self._shares(here, order)
        forced *= found[1 + order :]
        modes: Numbers = found[order]
        modes *= self.m0.take(here.at, axis=1)
        modes *= here.tau**order
        modes += forced.sum(axis=0)
        return modes

    def sloped(self, here: Instants) -> tuple[Numbers, Numbers]:
        """Modes at instants and their rates of change."""
        found, forced = self._found(here)
        forced *= here.sigma ** POWERS[: len(self.F), None, None]
        rising = forced.sum(axis=0)
        forced *= FACTORIALS[: len(self.F), None, None] * here.tau
        forced *= found[1:]
        modes: Numbers = found[0]
        modes *= self.m0.take(here.at, axis=1)
        modes += forced.sum(axis=0)
        rising += self.kind.rate[:, None] * modes
        return modes, rising

    def _found(self, here: Instants, order: int = 0) -> tuple[Numbers, Numbers]:
        """The functions of the modes at instants, and the forcings of their pieces."""
        found = phis(self.kind.rate[:, None] * here.tau, len(self.F) + order)
        return found, self.F.take(here.at, axis=2)

    def _shares(self, here: Instants, order: int) -> Floats:
        powers = slice(len(self.F)), None, None
        shares: Floats = FACTORIALS[powers] * here.sigma ** POWERS[powers] * here.tau ** (1 + order)
        return shares

    def bend(self, modal: Floats, here: Instants, spans: Floats) -> Floats:
        """A bound of what the modes add to the second derivative of each reading, at instants.

        What a mode has of it at its piece's start fades with the mode; what the inputs bend adds for as long
        as the mode remembers.
        """
        rate, rising = self.kind.rate[:, None], self.F[1] / spans if len(self.F) > 1 else 0.0
        fading = np.abs(rate * (rate * self.m0 + self.F[0]) + rising)
        memory = np.minimum(spans, 1 / np.maximum(np.abs(rate), 1e-300))
        kept = bending(self.F.transpose(1, 2, 0), spans) * memory
        left = fading.take(here.at, axis=1)
        left *= np.exp(rate.real * here.tau)
        left += kept.take(here.at, axis=1)
        bound: Floats = self.kind.weights(modal) @ left
        return bound

    def read(self, modal: Floats, modes: Numbers) -> Floats:
        """What the modes add to each reading."""
        found: Floats = modal[:, self.kind.rows] @ stacked(modes)
        return found

    def read_paired(self, modal: Floats, modes: Numbers) -> Floats:
        """What the modes at instant k add to reading k."""
        found: Floats = (modal[:, self.kind.rows].T * stacked(modes)).sum(axis=0)
        return found

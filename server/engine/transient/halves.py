"""The modes of a stretch at its instants: the real ones in real numbers, the turning ones in complex ones."""

from typing import NamedTuple

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.transient.modes import Complexes, Numbers, phis
from server.engine.transient.points import FACTORIALS


class Instants(NamedTuple):
    """The piece of each instant, how long after its start, and that as a share of its span."""

    at: Indices
    tau: Floats
    sigma: Floats


class Half(NamedTuple):
    """Some of a stretch's modes: which, their rates, states at every piece's start, and forcings there.

    Forcings are by powers of σ, modes, pieces.
    """

    rows: slice
    rate: Numbers
    m0: Numbers
    F: Numbers

    def modes(self, here: Instants, order: int = 0) -> Numbers:
        """Modes at instants (columns); with ``order`` 1 their integrals from the pieces' starts."""
        at, tau, sigma = here
        found = phis(self.rate[:, None] * tau, len(self.F) + order)
        modes = found[order]
        modes *= self.m0.take(at, axis=1)
        modes *= tau**order
        for k, forcing in enumerate(self.F):
            part = found[k + 1 + order]
            part *= forcing.take(at, axis=1)
            part *= FACTORIALS[k] * sigma**k * tau ** (1 + order)
            modes += part
        return modes

    def sloped(self, here: Instants) -> tuple[Numbers, Numbers]:
        """Modes at instants and their rates of change."""
        at, tau, sigma = here
        found = phis(self.rate[:, None] * tau, len(self.F))
        modes, rising = found[0], np.zeros_like(found[0])
        modes *= self.m0.take(at, axis=1)
        for k, forcing in enumerate(self.F):
            now = forcing.take(at, axis=1)
            now *= sigma**k
            rising += now
            now *= FACTORIALS[k] * tau
            now *= found[k + 1]
            modes += now
        rising += self.rate[:, None] * modes
        return modes, rising

    def read(self, modal: Complexes, modes: Numbers) -> Floats:
        """What the modes add to each reading."""
        found: Floats = (self._weights(modal) @ modes).real
        return found

    def read_paired(self, modal: Complexes, modes: Numbers) -> Floats:
        """What the modes at instant k add to reading k."""
        found: Floats = (self._weights(modal).T * modes).sum(axis=0).real
        return found

    def _weights(self, modal: Complexes) -> Numbers:
        weights: Numbers = modal[:, self.rows]
        return weights.real if self.rate.dtype == np.float64 else weights

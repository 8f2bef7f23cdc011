"""A source whose EMF follows a wave in time: straight lines between corners, from what it is before them."""

from dataclasses import dataclass

import numpy as np

from server.engine.arrays import Floats, Indices
from server.units import Second


@dataclass(frozen=True, eq=False)
class Supply:
    """The EMF of each of some branches (``rows``) rises by its ``share`` of a wave.

    The wave has corners at ``time_s``, the first at zero or later; there it begins at 0 V, and after the last
    it stays.
    """

    rows: Indices
    share: Floats
    time_s: Floats
    rise_v: Floats

    def shares(self, branches: int) -> Floats:
        """The share of every branch of a circuit."""
        found = np.zeros(branches)
        found[self.rows] = self.share
        return found

    def line_since(self, since_s: Second, times: Floats) -> Floats:
        """The straight line that the wave follows from an instant on, at some instants.

        Beyond the next corner it goes straight on: a step that is cut at the corner must not bend before.

        >>> wave = Supply(np.array([0]), np.ones(1), np.array([0.0, 1.0, 3.0]), np.array([0.0, -2.0, -2.0]))
        >>> [wave.line_since(since_s, np.array([2.0])).tolist() for since_s in (-1.0, 0.5, 1.0)]
        [[0.0], [-4.0], [-2.0]]
        """
        t, v = self.time_s, self.rise_v
        at = int(np.searchsorted(t, since_s, side="right")) - 1
        if at < 0:
            return np.full(len(times), v[0])
        if at == len(t) - 1:
            return np.full(len(times), v[-1])
        line: Floats = v[at] + (times - t[at]) * ((v[at + 1] - v[at]) / (t[at + 1] - t[at]))
        return line

"""Waveforms as straight lines between instants: exact means, times and crossings.

An edge is two values at one instant. Before its first and after its last instant a wave keeps its end values.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Floats
from server.units import Second


@dataclass(frozen=True, eq=False)
class Wave:
    """Values over rising instants, with straight lines between."""

    time_s: Floats
    values: Floats

    @cached_property
    def _area(self) -> Floats:
        """Integral from the first instant to each."""
        step = np.diff(self.time_s) * (self.values[1:] + self.values[:-1]) / 2
        return np.concatenate([[0.0], np.cumsum(step)])

    def at(self, time_s: Floats) -> Floats:
        """Values at some instants; at an edge the later value."""
        t, v = self.time_s, self.values
        i = np.clip(np.searchsorted(t, time_s, side="right") - 1, 0, len(t) - 1)
        j = np.minimum(i + 1, len(t) - 1)
        width = t[j] - t[i]
        share = np.where(width > 0, np.clip(time_s - t[i], 0.0, width) / np.where(width > 0, width, 1.0), 0.0)
        found: Floats = v[i] + share * (v[j] - v[i])
        return found

    def integral_to(self, time_s: Floats) -> Floats:
        """Integral from the first instant to some instants."""
        t, v = self.time_s, self.values
        i = np.clip(np.searchsorted(t, time_s, side="right") - 1, 0, len(t) - 1)
        rest_s = time_s - t[i]
        inside: Floats = self._area[i] + rest_s * (v[i] + self.at(time_s)) / 2
        return np.where(time_s < t[0], (time_s - t[0]) * v[0], inside)

    def mean(self, start_s: Second, end_s: Second) -> float:
        """Mean between two instants; at one instant its value."""
        if end_s <= start_s:
            return float(self.at(np.array([start_s]))[0])
        first, last = self.integral_to(np.array([start_s, end_s]))
        return float((last - first) / (end_s - start_s))

    def between(self, start_s: Second, end_s: Second) -> "Wave":
        """The piece between two instants, both ends included."""
        inside = (self.time_s > start_s) & (self.time_s < end_s)
        ends = self.at(np.array([start_s, end_s]))
        time_s = np.concatenate([[start_s], self.time_s[inside], [end_s]])
        return Wave(time_s, np.concatenate([ends[:1], self.values[inside], ends[1:]]))

    def stretches_below(self, level: float) -> Floats:
        """Start and end (columns) of every stretch in which the wave is below a level."""
        t, v = self.time_s, self.values
        below = v < level
        change = np.flatnonzero(below[1:] != below[:-1])
        rise = v[change + 1] - v[change]
        crossing = t[change] + (level - v[change]) / rise * (t[change + 1] - t[change])
        starts = crossing[below[change + 1]]
        ends = crossing[~below[change + 1]]
        if below[0]:
            starts = np.concatenate([t[:1], starts])
        if below[-1]:
            ends = np.concatenate([ends, t[-1:]])
        return np.column_stack([starts, ends])

    def longest_below(self, level: float) -> Second:
        """The longest stretch below a level."""
        stretches = self.stretches_below(level)
        return float((stretches[:, 1] - stretches[:, 0]).max(initial=0.0))

    def first_below(self, level: float, for_longer_than_s: Second = 0.0) -> Second | None:
        """When the first stretch below a level that lasts longer than some time begins; None without one."""
        stretches = self.stretches_below(level)
        long = stretches[stretches[:, 1] - stretches[:, 0] > for_longer_than_s]
        return float(long[0, 0]) if len(long) else None

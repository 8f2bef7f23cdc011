"""The exact lowest and highest of voltages, and the exact time below a level.

On a grid whose chords stay within ``COARSE_V`` of the waveform, the lowest true value cannot lie further
below the lowest sample than that; every dip that could hold it is refined to where the slope is zero.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.transient.equations import Outputs
from server.engine.transient.segment import Segment
from server.units import Second, Volt

COARSE_V = 0.01
FINE_V = 1e-3
EXACT_V = 1e-6
"""Refined until no more than this is at stake: a value is flat where its slope is zero."""
MOST_TURNS = 40


@dataclass(frozen=True, eq=False)
class Window:
    """A segment, what is read in it, and from when until when."""

    segment: Segment
    outputs: Outputs
    start_s: Second
    end_s: Second

    def samples(self, chord_v: Volt) -> tuple[Floats, Floats]:
        """Instants and readings on a grid, its ends included."""
        grid = self.segment.grid(self.outputs, chord_v)
        inside = grid[(grid > self.start_s) & (grid < self.end_s)]
        times = np.concatenate([[self.start_s], inside, [self.end_s]])
        return times, self.segment.values(self.outputs, times)


@dataclass(frozen=True, eq=False)
class Extremes:
    """For each reading its lowest and highest value and the instants of both."""

    low: Floats
    low_at: Floats
    high: Floats
    high_at: Floats

    @property
    def figures(self) -> tuple[Floats, Floats, Floats, Floats]:
        """All four."""
        return self.low, self.low_at, self.high, self.high_at


def extremes(windows: list[Window], count: int) -> Extremes:
    """The extremes of ``count`` readings over some windows; nan without any."""
    samples = [window.samples(COARSE_V) for window in windows]
    low, low_at = _lowest(windows, samples, count, 1.0)
    high, high_at = _lowest(windows, samples, count, -1.0)
    return Extremes(low, low_at, -high, high_at)


def _lowest(
    windows: list[Window], samples: list[tuple[Floats, Floats]], count: int, sign: float
) -> tuple[Floats, Floats]:
    """The lowest of sign times the readings."""
    best, best_at = np.full(count, np.nan), np.full(count, np.nan)
    for times, values in samples:
        at = (sign * values).argmin(axis=1)
        _keep_lower(best, best_at, np.arange(count), sign * values[np.arange(count), at], times[at])
    for window, (times, values) in zip(windows, samples, strict=True):
        row, at = _dips(sign * values, best + COARSE_V)
        last = len(times) - 1
        row, found_at = _flat(window, row, times[np.maximum(at - 1, 0)], times[np.minimum(at + 1, last)])
        found = sign * window.segment.paired(_picked(window.outputs, row), found_at)[0]
        order = np.argsort(-found)
        _keep_lower(best, best_at, row[order], found[order], found_at[order])
    return best, best_at


def _keep_lower(best: Floats, best_at: Floats, row: Indices, value: Floats, at: Floats) -> None:
    """Take values lower than the best so far; of several for one row the last, which is the lowest."""
    lower = ~(value >= best[row])
    best[row[lower]], best_at[row[lower]] = value[lower], at[lower]


def _dips(values: Floats, below: Floats) -> tuple[Indices, Indices]:
    """Samples no higher than their neighbours and not above a level: row and place."""
    edge = np.full((len(values), 1), np.inf)
    padded = np.concatenate([edge, values, edge], axis=1)
    dip = (values <= padded[:, :-2]) & (values <= padded[:, 2:]) & (values <= below[:, None])
    row, at = np.nonzero(dip)
    return row, at


def _flat(window: Window, row: Indices, left: Floats, right: Floats) -> tuple[Indices, Floats]:
    """Where the slopes of readings change their sign between two instants: row and instant."""
    ends = window.segment.paired(_picked(window.outputs, np.tile(row, 2)), np.concatenate([left, right]))[1]
    crosses = np.flatnonzero(ends[: len(row)] * ends[len(row) :] < 0)
    asked = _picked(window.outputs, row[crosses])

    def slope(times: Floats) -> tuple[Floats, Floats]:
        found = window.segment.paired(asked, times)[1]
        return found, found * (right[crosses] - left[crosses])

    return row[crosses], _crossings(slope, left[crosses], right[crosses])


def _crossings(function: Callable[[Floats], tuple[Floats, Floats]], left: Floats, right: Floats) -> Floats:
    """Zeros between pairs of instants, all at once, by regula falsi with the Illinois rule.

    ``function`` gives what shall be zero and how many volts that is off.
    """
    a, b, last, middle = left, right, np.zeros(len(left)), left
    if not len(left):
        return left
    fa, fb = function(a)[0], function(b)[0]
    for _ in range(MOST_TURNS):
        middle = a + np.where(fa == fb, 0.5, fa / np.where(fa == fb, 1.0, fa - fb)) * (b - a)
        f, off = function(middle)
        if np.abs(off).max() < EXACT_V:
            break
        side = np.where(f * fa > 0, 1.0, -1.0)
        again = side == last
        fb = np.where(side > 0, np.where(again, fb / 2, fb), f)
        fa = np.where(side > 0, f, np.where(again, fa / 2, fa))
        a, b = np.where(side > 0, middle, a), np.where(side > 0, b, middle)
        last = side
    return middle


def longest_below(windows: list[Window], level: Volt) -> Second:
    """The longest unbroken time for which the first reading is below a level."""
    longest, since = 0.0, None
    for window in windows:
        times, values = window.samples(FINE_V)
        times, values = _with_shallow_dips(window, times, values[:1], level)
        below = values < level
        change = np.flatnonzero(below[1:] != below[:-1])
        at = _level_times(window, level, times[change], times[change + 1])
        since = (window.start_s if since is None else since) if below[0] else None
        for instant, before in zip(at.tolist(), below[change].tolist(), strict=True):
            longest = max(longest, instant - since) if before and since is not None else longest
            since = None if before else instant
        if since is not None:
            longest = max(longest, window.end_s - since)
    return longest


def _level_times(window: Window, level: Volt, left: Floats, right: Floats) -> Floats:
    """When the first reading passes a level, between pairs of instants."""
    asked = _picked(window.outputs, np.zeros(len(left), np.intp))

    def above(times: Floats) -> tuple[Floats, Floats]:
        found = window.segment.paired(asked, times)[0] - level
        return found, found

    return _crossings(above, left, right)


def _with_shallow_dips(window: Window, times: Floats, values: Floats, level: Volt) -> tuple[Floats, Floats]:
    """The samples of one reading with the bottoms of dips and tops of peaks that a chord may hide."""
    found = []
    for sign in (1.0, -1.0):
        row, at = _dips(sign * values, np.array([sign * level + FINE_V]))
        near = sign * values[0, at] >= sign * level
        row, at = row[near], at[near]
        left, right = times[np.maximum(at - 1, 0)], times[np.minimum(at + 1, len(times) - 1)]
        found.append(_flat(window, row, left, right)[1])
    every = np.unique(np.concatenate([times, *found]))
    return every, window.segment.values(_picked(window.outputs, np.zeros(1, np.intp)), every)[0]


def _picked(outputs: Outputs, row: Indices) -> Outputs:
    return Outputs(outputs.state[row], outputs.modal[row], outputs.direct[row])

"""The exact lowest and highest of voltages, and the exact time below a level.

On a grid whose chords stay within ``CHORD_V`` of the waveform, the lowest true value cannot lie further
below the lowest sample than that. Every stretch between two samples near the lowest one is looked into: by
its values and slopes at both ends, whether it turns within; each turn is refined to where the slope is zero.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.transient.equations import Outputs
from server.engine.transient.readings import Readings
from server.engine.transient.segment import Segment
from server.units import Second, Volt

CHORD_V = 1e-3
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

    @cached_property
    def readings(self) -> Readings:
        """What is read in it."""
        return self.segment.readings(self.outputs)

    def samples(self, chord_v: Volt) -> "Samples":
        """Readings and their slopes on a grid, its ends included."""
        grid = self.segment.grid(self.outputs, chord_v)
        inside = grid[(grid > self.start_s) & (grid < self.end_s)]
        times = np.concatenate([[self.start_s], inside, [self.end_s]])
        return Samples(times, *self.readings.sloped(times))


@dataclass(frozen=True, eq=False)
class Samples:
    """Readings (rows) and their slopes at instants."""

    times: Floats
    values: Floats
    slopes: Floats

    def turns(self, readings: Readings, sign: float, below: Floats) -> "Turns":
        """Stretches that may hold a lowest of sign times a reading, near enough to a level.

        The slope rises through zero between both ends; or it has the same sign at both, but the cubic through
        values and slopes says that it has the other in between.
        """
        times, step = self.times, np.diff(self.times)
        values = sign * self.values
        near = np.minimum(values[:, :-1], values[:, 1:]) <= below[:, None]
        row, at = np.nonzero(near)
        start, end = self.slopes[row, at], self.slopes[row, at + 1]
        a, b = sign * start * step[at], sign * end * step[at]
        rise = values[row, at + 1] - values[row, at]
        bend, twist = 3 * rise - 2 * a - b, 3 * (a + b - 2 * rise)
        middle = -bend / np.where(twist == 0, 1.0, twist)
        steepest = a + bend * middle
        hidden = (twist != 0) & (middle > 0) & (middle < 1) & (a * b >= 0) & (steepest * (a + b) < 0)
        plain, inner = np.flatnonzero((a < 0) & (b > 0)), np.flatnonzero(hidden)
        root = np.sqrt(np.maximum(bend * bend - a * twist, 0.0))
        between = times[at[inner]] + middle[inner] * step[at[inner]]
        slope = readings.paired(row[inner], between)[1] if inner.size else between
        away = root[inner] / np.abs(twist[inner]) * step[at[inner]]
        plainly = times[at[plain]] - a[plain] / (bend + root)[plain] * step[at[plain]]
        return Turns(
            np.concatenate([row[plain], row[inner], row[inner]]),
            np.concatenate([times[at[plain]], times[at[inner]], between]),
            np.concatenate([times[at[plain] + 1], between, times[at[inner] + 1]]),
            np.concatenate([start[plain], start[inner], slope]),
            np.concatenate([end[plain], slope, end[inner]]),
            np.concatenate([plainly, between - away, between + away]),
        )


class Turns(NamedTuple):
    """Readings (rows) that may turn between two instants, their slopes there, and about when they do."""

    row: Indices
    left: Floats
    right: Floats
    slope_left: Floats
    slope_right: Floats
    about: Floats

    def picked(self, which: Indices) -> "Turns":
        """Some of them."""
        return Turns._make(figure[which] for figure in self)


class Turned(NamedTuple):
    """Readings (rows) where they turn, and when."""

    row: Indices
    at: Floats
    value: Floats


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
    return extremes_among(windows, [window.samples(CHORD_V) for window in windows], count, CHORD_V)


def extremes_among(
    windows: list[Window], samples: list[Samples], count: int, chord_v: Volt, still_v: Volt = 0.0
) -> Extremes:
    """The extremes of readings, given samples of them whose chords are true to ``chord_v``.

    A turn that hides between two samples stays unseen if it is shallower than that. Of readings that move by
    less than ``still_v`` in all, the samples' own extremes are taken.
    """
    low, high = _Best(count, 1.0), _Best(count, -1.0)
    for one in samples:
        for best in (low, high):
            best.sampled(one)
    moves = -high.value - low.value >= still_v
    for window, one in zip(windows, samples, strict=True):
        turns = [
            one.turns(window.readings, best.sign, np.where(moves, best.value + chord_v, -np.inf))
            for best in (low, high)
        ]
        found = _flat(window, Turns._make(map(np.concatenate, zip(*turns, strict=True))))
        for best in (low, high):
            best.keep(found.row, found.value, found.at)
    return Extremes(low.value, low.at, -high.value, high.at)


@dataclass(frozen=True, eq=False)
class _Best:
    """The lowest of sign times each reading so far, and when; nan before any."""

    count: int
    sign: float

    @cached_property
    def value(self) -> Floats:
        """The values."""
        return np.full(self.count, np.nan)

    @cached_property
    def at(self) -> Floats:
        """The instants."""
        return np.full(self.count, np.nan)

    def sampled(self, samples: Samples) -> None:
        """Take what samples have of lower values."""
        rows = np.arange(self.count)
        at = (self.sign * samples.values).argmin(axis=1)
        self.keep(rows, samples.values[rows, at], samples.times[at])

    def keep(self, row: Indices, values: Floats, at: Floats) -> None:
        """Take lower values; of several for one row the last of the sorted ones, which is the lowest."""
        signed = self.sign * values
        order = np.argsort(-signed, kind="stable")
        lower = order[~(signed[order] >= self.value[row[order]])]
        self.value[row[lower]], self.at[row[lower]] = signed[lower], at[lower]


def _flat(window: Window, turns: Turns) -> Turned:
    """Where the slopes of readings change their sign between two instants."""
    found = turns.picked(np.flatnonzero(turns.slope_left * turns.slope_right < 0))
    width = found.right - found.left

    def slope(which: Indices, times: Floats) -> tuple[Floats, Floats, Floats]:
        value, rising = window.readings.paired(found.row[which], times)
        return rising, rising * width[which], value

    return Turned(found.row, *_crossings(slope, found))


def _crossings(
    function: Callable[[Indices, Floats], tuple[Floats, Floats, Floats]], turns: Turns
) -> tuple[Floats, Floats]:
    """Zeros between pairs of instants, all at once, by regula falsi with the Illinois rule; and values there.

    ``function`` gives for some of them at instants what shall be zero, how many volts that is off, and the
    value. ``turns`` has what shall be zero at both ends, and where to look first.
    """
    a, b, fa, fb = turns.left.copy(), turns.right.copy(), turns.slope_left.copy(), turns.slope_right.copy()
    at = np.where((turns.about > a) & (turns.about < b), turns.about, (a + b) / 2)
    last, value, live = np.zeros(len(at)), np.empty(len(at)), np.arange(len(at))
    for _ in range(MOST_TURNS):  # pragma: no branch - it comes together in three turns or so
        f, off, value[live] = function(live, at[live])
        going = np.abs(off) >= EXACT_V
        live, f = live[going], f[going]
        if not live.size:
            break
        left, right = fa[live], fb[live]
        side = np.where(f * left > 0, 1.0, -1.0)
        again = side == last[live]
        fb[live] = right = np.where(side > 0, np.where(again, right / 2, right), f)
        fa[live] = left = np.where(side > 0, f, np.where(again, left / 2, left))
        a[live] = np.where(side > 0, at[live], a[live])
        b[live] = np.where(side > 0, b[live], at[live])
        last[live] = side
        at[live] = a[live] + left / (left - right) * (b[live] - a[live])
    return at, value


def longest_below(windows: list[Window], level: Volt) -> Second:
    """The longest unbroken time for which the first reading is below a level."""
    longest, since = 0.0, None
    for window in windows:
        times, values = _with_shallow_turns(window, window.samples(CHORD_V), level)
        below = values < level
        change = np.flatnonzero(below[1:] != below[:-1])
        at = _level_times(
            window, level, times[change], times[change + 1], values[[change, change + 1]] - level
        )
        since = (window.start_s if since is None else since) if below[0] else None
        for instant, before in zip(at.tolist(), below[change].tolist(), strict=True):
            longest = max(longest, instant - since) if before and since is not None else longest
            since = None if before else instant
        if since is not None:
            longest = max(longest, window.end_s - since)
    return longest


def _level_times(window: Window, level: Volt, left: Floats, right: Floats, above_v: Floats) -> Floats:
    """When the first reading passes a level, between instants at which it is above by so much (two rows)."""
    first = np.zeros(len(left), np.intp)

    def above(which: Indices, times: Floats) -> tuple[Floats, Floats, Floats]:
        value = window.readings.paired(first[which], times)[0]
        return value - level, value - level, value

    before, after = above_v
    about = left + before / (before - after) * (right - left)
    return _crossings(above, Turns(first, left, right, before, after, about))[0]


def _with_shallow_turns(window: Window, samples: Samples, level: Volt) -> tuple[Floats, Floats]:
    """The samples of one reading, with the turns near a level that a chord may hide."""
    found = [
        _flat(window, samples.turns(window.readings, sign, np.array([sign * level + CHORD_V]))).at
        for sign in (1.0, -1.0)
    ]
    every = np.unique(np.concatenate([samples.times, *found]))
    return every, window.readings.values(every)[0]

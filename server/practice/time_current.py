"""How fast fuses and breakers open: bands of time by multiples of the rating.

No band of a class could be read in a public text: the shipped ones are from memory and wide. They may tell
what is assumed and which curve to look up, never pass or fail; a band read off the maker's curve may.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from server.practice.tables import rows
from server.units import Ratio, Second

NEVER: Second = math.inf


@dataclass(frozen=True, slots=True)
class Opening:
    """The shortest and the longest time after which a device opens; `NEVER` where it may stay closed."""

    shortest_s: Second
    longest_s: Second


@dataclass(frozen=True, slots=True)
class BandPoint:
    """At this multiple of its rating a device opens between these two times."""

    multiple: Ratio
    shortest_s: Second
    longest_s: Second


@dataclass(frozen=True, slots=True)
class Band:
    """A time-current band as known at some multiples of the rating."""

    points: tuple[BandPoint, ...]
    source: str
    is_assumed: bool

    def opening(self, multiple: Ratio) -> Opening:
        """When a device opens at a steady multiple of its rating.

        Between two points nothing is interpolated: more current only opens faster, so the shortest time is
        that of the points above and the longest that of the points below. Up to its rating a device never
        opens, beyond the last point it may do so at once.

        >>> Band((BandPoint(2, 1, 100), BandPoint(4, 0.2, 5)), "a curve", False).opening(3)
        Opening(shortest_s=0.2, longest_s=100)
        """
        if multiple <= 1:
            return Opening(NEVER, NEVER)
        return Opening(
            max((point.shortest_s for point in self.points if point.multiple >= multiple), default=0.0),
            min((point.longest_s for point in self.points if point.multiple <= multiple), default=NEVER),
        )

    def opening_along(self, times_s: Sequence[Second], multiples: Sequence[Ratio]) -> Opening:
        """When a device opens whose current changes: where ∫ dt / t(multiple) reaches 1.

        That is how dependent-time protection adds up a varying current (IEC 60255-151, from memory). For the
        shortest time each stretch counts with the larger multiple of its ends, for the longest with the
        smaller.

        >>> Band((BandPoint(2, 1, 4),), "a curve", False).opening_along((0, 10), (2, 2))
        Opening(shortest_s=1.0, longest_s=4.0)
        """
        shortest = longest = NEVER
        fast = slow = 0.0
        for (start, end), (one, other) in zip(pairwise(times_s), pairwise(multiples), strict=True):
            if shortest == NEVER:
                shortest, fast = _reached(fast, start, end, self.opening(max(one, other)).shortest_s)
            if longest == NEVER:
                longest, slow = _reached(slow, start, end, self.opening(min(one, other)).longest_s)
        return Opening(shortest, longest)


def _reached(used: Ratio, start_s: Second, end_s: Second, opens_s: Second) -> tuple[Second, Ratio]:
    """When a device that has used a share of its time opens within a stretch, and what is used after it."""
    if opens_s == NEVER:
        return NEVER, used
    needed_s = (1 - used) * opens_s
    if needed_s <= end_s - start_s:
        return start_s + needed_s, 1.0
    return NEVER, used + (end_s - start_s) / opens_s


@cache
def class_band(device_class: str) -> Band | None:
    """The band assumed for a class of device; None for an unknown class.

    >>> class_band("blade").opening(2)
    Opening(shortest_s=0.15, longest_s=5.0)
    """
    points = tuple(
        BandPoint(
            float(row["multiple"]),
            float(row["shortest_s"]),
            float(row["longest_s"]) if row["longest_s"] else NEVER,
        )
        for row in rows("time_current")
        if row["device_class"] == device_class
    )
    if not points:
        return None
    return Band(points, "time-current band of the class, assumed, from memory", is_assumed=True)


@cache
def any_band() -> Band:
    """The band of a device of unstated class: as fast as the fastest and as slow as the slowest."""
    bands = [band for row in rows("time_current") if (band := class_band(row["device_class"])) is not None]
    multiples = sorted({point.multiple for band in bands for point in band.points})
    openings = [(multiple, [band.opening(multiple) for band in bands]) for multiple in multiples]
    points = tuple(
        BandPoint(multiple, min(one.shortest_s for one in every), max(one.longest_s for one in every))
        for multiple, every in openings
    )
    return Band(points, "time-current bands of all classes, assumed, from memory", is_assumed=True)

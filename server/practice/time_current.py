"""How fast fuses and breakers open: bands of time by multiples of the rating.

No band of a class could be read in a public text: the shipped ones are from memory and wide. They may tell
what is assumed and which curve to look up, never pass or fail; a band read off the maker's curve may.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

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

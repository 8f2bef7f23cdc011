"""The sheet of the plan: how metres aboard become units of the drawing, and how far it reaches."""

import math
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.hull import Point
from server.units import Metre

WIDTH = 820.0
EDGE = 48.0
LEAST_BREADTH_M: Metre = 1.5
_ROOM = 0.15
"""Share of what is placed so far that is left free beyond it; our own choice."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """How metres become the drawing's units."""

    length_m: Metre
    half_m: Metre

    @property
    def scale(self) -> float:
        """Units for each metre."""
        return (WIDTH - 2 * EDGE) / self.length_m

    @property
    def height(self) -> float:
        """Height of the drawing."""
        return 2 * self.middle

    @property
    def middle(self) -> float:
        """Where the centreline lies."""
        return self.half_m * self.scale + EDGE

    def at(self, point: Point) -> Point:
        """A point of the plan in the drawing's units."""
        return EDGE + point[0] * self.scale, self.middle - point[1] * self.scale

    @classmethod
    def of(cls, boat: Boat) -> "Sheet | None":
        """The sheet on which all that is placed has room; None where nothing has a place."""
        things = [one.place for one in (*boat.waypoints, *boat.parts) if one.place is not None]
        corners = [corner for zone in boat.zones for corner in zone.outline]
        reach = [one.from_bow_m for one in things] + [one.from_bow_m for one in corners]
        if boat.underlay is not None:
            reach += [boat.underlay.first.from_bow_m, boat.underlay.second.from_bow_m]
        farthest = max(reach, default=0.0)
        if boat.length_m is None and not farthest:
            return None
        length = _room_beyond(farthest) if boat.length_m is None else max(boat.length_m, farthest)
        sides = [abs(one.from_centreline_m) for one in things]
        sides += [abs(one.from_centreline_m) for one in corners]
        beam = 0.0 if boat.hull is None else boat.hull.beam_m
        return cls(length, max(beam / 2, LEAST_BREADTH_M, *sides))


def _room_beyond(farthest: Metre) -> Metre:
    """Where the sheet ends while nobody knows the boat's length: whole metres, with room to go on."""
    return math.ceil(farthest + max(1.0, _ROOM * farthest))

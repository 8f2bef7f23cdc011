"""How long a conductor is taken to be once an end of it has moved."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from server.boat.assumed import assumed
from server.boat.boat import Boat, Override
from server.boat.value import Place
from server.units import Metre, Ratio

ALLOWANCE_KEY = "length_allowance"
END_ALLOWANCE_KEY = "length_end_allowance"
REACH_KEY = "waypoint_reach"


@dataclass(frozen=True, slots=True)
class Allowance:
    """How much longer a conductor is than the straight line: a factor for detours, and a bit at each end."""

    detours: Ratio
    each_end: Metre

    @classmethod
    def of(cls, boat: Boat) -> "Allowance":
        """The boat's own assumptions, else the built-in ones; an allowance never shortens."""
        return allowance_of(boat.assumptions)


def allowance_of(assumptions: Iterable[Override]) -> Allowance:
    """The allowance from a boat's assumptions, else the built-in one; an allowance never shortens."""
    known = tuple(assumptions)
    _, detours, _ = assumed(known, ALLOWANCE_KEY)
    _, each_end, _ = assumed(known, END_ALLOWANCE_KEY)
    return Allowance(max(1.0, detours), max(0.0, each_end))


def reach_of(assumptions: Iterable[Override]) -> Metre:
    """How far a part may lie from its nearest waypoint and still be reached from it unasked."""
    return assumed(assumptions, REACH_KEY)[1]


def straight_line(one: Place, other: Place) -> Metre:
    """The distance between two places, heights included.

    >>> straight_line(Place(from_bow_m=1.0), Place(from_bow_m=4.0, height_m=4.0))
    5.0
    """
    return math.dist(_coordinates(one), _coordinates(other))


def estimated_length(one: Place, other: Place, allowance: Allowance) -> Metre:
    """The straight line between two places with an allowance; to the centimetre.

    >>> bow, stern = Place(from_bow_m=2.0), Place(from_bow_m=10.0, from_centreline_m=1.0, height_m=4.0)
    >>> estimated_length(bow, stern, Allowance(detours=1.2, each_end=0.15))
    11.1
    """
    return round(straight_line(one, other) * allowance.detours + 2 * allowance.each_end, 2)


def _coordinates(place: Place) -> tuple[float, float, float]:
    return place.from_bow_m, place.from_centreline_m, place.height_m

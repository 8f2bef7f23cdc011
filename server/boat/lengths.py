"""How long a conductor is taken to be once an end of it has moved."""

import math
from dataclasses import dataclass
from typing import Self

from server.boat.boat import Boat
from server.boat.value import Place
from server.practice.assumptions import default
from server.units import Metre, Ratio

ALLOWANCE_KEY = "length_allowance"
END_ALLOWANCE_KEY = "length_end_allowance"


@dataclass(frozen=True, slots=True)
class Allowance:
    """How much longer a conductor is than the straight line: a factor for detours, and a bit at each end."""

    detours: Ratio
    each_end: Metre

    @classmethod
    def of(cls, boat: Boat) -> Self:
        """The boat's own assumptions, else the built-in ones; an allowance never shortens."""
        return cls(max(1.0, _assumed(boat, ALLOWANCE_KEY)), max(0.0, _assumed(boat, END_ALLOWANCE_KEY)))


def estimated_length(one: Place, other: Place, allowance: Allowance) -> Metre:
    """The straight line between two places with an allowance; to the centimetre.

    >>> bow, stern = Place(from_bow_m=2.0), Place(from_bow_m=10.0, from_centreline_m=1.0, height_m=4.0)
    >>> estimated_length(bow, stern, Allowance(detours=1.2, each_end=0.15))
    11.1
    """
    line = math.dist(_coordinates(one), _coordinates(other))
    return round(line * allowance.detours + 2 * allowance.each_end, 2)


def _coordinates(place: Place) -> tuple[float, float, float]:
    return place.from_bow_m, place.from_centreline_m, place.height_m


def _assumed(boat: Boat, key: str) -> float:
    own = (
        override.value for override in boat.assumptions if override.key == key and override.subject is None
    )
    return next(own, default(key).value)

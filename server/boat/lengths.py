"""How long a conductor is taken to be once an end of it has moved."""

from server.boat.boat import Boat
from server.boat.value import Place
from server.units import Metre, Ratio

ROUTE_ALLOWANCE: Ratio = 0.15
"""Added to the way along the boat's three axes for detours and slack: common practice, no source."""

TAILS_M: Metre = 0.3
"""Added for bringing both ends to their terminals: common practice, no source."""

ROUTE_ALLOWANCE_KEY = "route_allowance"


def route_allowance(boat: Boat) -> Ratio:
    """The boat's own allowance for detours where it states one, else the default."""
    stated = (o.value for o in boat.assumptions if o.key == ROUTE_ALLOWANCE_KEY and o.subject is None)
    return next(stated, ROUTE_ALLOWANCE)


def estimated_length(one: Place, other: Place, allowance: Ratio) -> Metre:
    """The way between two places along, across and up, with an allowance and tails; to the centimetre.

    >>> bow, stern = Place(from_bow_m=2.0), Place(from_bow_m=8.0, from_centreline_m=1.0, height_m=-1.0)
    >>> estimated_length(bow, stern, 0.25)
    10.3
    """
    along = abs(one.from_bow_m - other.from_bow_m)
    aside = abs(one.from_centreline_m - other.from_centreline_m)
    up = abs(one.height_m - other.height_m)
    return round((along + aside + up) * max(0.0, 1 + allowance) + TAILS_M, 2)

"""The hull in plan view: an outline of our own from length, beam and the shapes of bow and stern."""

import math
from itertools import combinations
from types import MappingProxyType
from typing import Literal

from server.boat.value import NonNegative, Positive, Value
from server.units import Metre

Bow = Literal["fine", "full", "square"]
Stern = Literal["broad", "narrow", "pointed"]
Point = tuple[Metre, Metre]
"""Metres from the bow, and from the centreline with starboard positive."""

Edge = tuple[Point, Point]
"""A straight line from corner to corner."""

WIDEST = 0.55
"""Where the beam is reached, as a share of the length; our own choice, for a picture and nothing else."""
_STATIONS = 40
_BOWS = MappingProxyType({"fine": (0.0, 1.0), "full": (0.0, 0.6), "square": (0.5, 0.6)})
"""Breadth at the very bow, and the power of a sine by which it fills out."""
_STERNS = MappingProxyType({"broad": 0.85, "narrow": 0.5, "pointed": 0.0})
"""Breadth at the stern; shares of the beam, our own choice as above."""


class Hull(Value):
    """The shape of the hull on the plan; its length is the boat's."""

    beam_m: Positive
    bow: Bow = "fine"
    stern: Stern = "broad"


class Corner(Value):
    """A corner of an outline on the plan, measured as a ``Place`` is."""

    from_bow_m: NonNegative
    from_centreline_m: float


Outline = tuple[Corner, ...]
MOST_CORNERS = 40
FEWEST_CORNERS = 3


def half_breadth(hull: Hull, share: float) -> Metre:
    """Half the breadth at a share of the length from the bow.

    >>> half_breadth(Hull(beam_m=3.0), 0.0), half_breadth(Hull(beam_m=3.0), WIDEST)
    (0.0, 1.5)
    """
    start, fullness = _BOWS[hull.bow]
    if share <= WIDEST:
        breadth: float = start + (1 - start) * math.sin(math.pi / 2 * share / WIDEST) ** fullness
    else:
        aft = (share - WIDEST) / (1 - WIDEST)
        breadth = 1 - (1 - _STERNS[hull.stern]) * aft**2
    return hull.beam_m / 2 * breadth


def hull_outline(hull: Hull, length_m: Metre) -> tuple[Point, ...]:
    """The outline from the bow along starboard to the stern and back along port."""
    shares = [n / _STATIONS for n in range(_STATIONS + 1)]
    starboard = [(share * length_m, half_breadth(hull, share)) for share in shares]
    return (*starboard, *((x, -y) for x, y in reversed(starboard)))


def rectangle(from_bow_m: Metre, to_bow_m: Metre, port_m: Metre, starboard_m: Metre) -> Outline:
    """The outline of a space between two frames and two lines along the boat."""
    return tuple(
        Corner(from_bow_m=x, from_centreline_m=y)
        for x, y in (
            (from_bow_m, port_m),
            (to_bow_m, port_m),
            (to_bow_m, starboard_m),
            (from_bow_m, starboard_m),
        )
    )


def is_rectangle(outline: Outline) -> bool:
    """Whether an outline is four corners with its sides along and across the boat."""
    points = [(corner.from_bow_m, corner.from_centreline_m) for corner in outline]
    xs, ys = {x for x, _ in points}, {y for _, y in points}
    return len(points) == len(set(points)) == _SIDES and len(xs) == len(ys) == _SIDES // 2


_SIDES = 4


def crosses_itself(outline: Outline) -> bool:
    """Whether an outline is no plain shape: two of its edges meet elsewhere than at their common corner."""
    edges = _edges(outline)
    after = {(n, (n + 1) % len(edges)) for n in range(len(edges))}
    return any(
        _folds_back(edges[n], edges[m])
        if (n, m) in after
        else _folds_back(edges[m], edges[n])
        if (m, n) in after
        else _meet(edges[n], edges[m])
        for n, m in combinations(range(len(edges)), 2)
    )


def _folds_back(one: Edge, then: Edge) -> bool:
    return _lies_on(then[1], one) or _lies_on(one[0], then)


def _meet(one: Edge, other: Edge) -> bool:
    touch = any(_lies_on(end, other) for end in one) or any(_lies_on(end, one) for end in other)
    return touch or _cross(*one, *other)


def is_inside(point: Point, outline: Outline) -> bool:
    """Whether a point lies within an outline: a line from it crosses the edge an odd number of times."""
    x, y = point
    inside = False
    for one, other in _edges(outline):
        if (one[1] > y) != (other[1] > y):
            at = one[0] + (y - one[1]) / (other[1] - one[1]) * (other[0] - one[0])
            inside ^= x < at
    return inside


def is_touched(start: Point, end: Point, outline: Outline) -> bool:
    """Whether a straight line between two points runs through an outline, be it for a part of its way."""
    if is_inside(start, outline) or is_inside(end, outline):
        return True
    return any(_cross(start, end, one, other) for one, other in _edges(outline))


def _edges(outline: Outline) -> list[Edge]:
    points = [(corner.from_bow_m, corner.from_centreline_m) for corner in outline]
    return list(zip(points, [*points[1:], *points[:1]], strict=True))


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _lies_on(at: Point, edge: Edge) -> bool:
    """Whether a point lies on an edge or at one of its ends."""
    (x1, y1), (x2, y2) = edge
    within = min(x1, x2) <= at[0] <= max(x1, x2) and min(y1, y2) <= at[1] <= max(y1, y2)
    return within and _side(*edge, at) == 0


def _side(a: Point, b: Point, at: Point) -> float:
    return (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])

"""Vertical ways on the plan: a run that goes up or down has an arrow along it, and says how far."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from server.boat.decks import Deck, deck_of
from server.boat.hull import Point
from server.boat.runs import Run, Waypoint
from server.drawing.svg import add, number
from server.units import Metre

LEAST_RISE_M: Metre = 0.05
"""A smaller difference of heights is none worth drawing; our own choice."""
SHORT = 40.0
"""In the drawing's units: a run that is shorter on the plan has no room for an arrow along it."""
RING = 20.0
HEAD = 11.0
GAP = 5.0
"""Between the two heads of an arrow that goes both ways."""


@dataclass(frozen=True, slots=True)
class Rise:
    """How far a run goes up or down, in words, and towards which of its ends the arrow points.

    ``towards`` is 1 for its end, -1 for its start, 0 where nobody said which end is the higher.
    """

    words: str
    towards: int


def rise_of(run: Run, ends: tuple[Waypoint, Waypoint], decks: Sequence[Deck], shown: str) -> Rise | None:
    """What a run does from deck to deck; None where it stays level.

    Seen from the deck that is shown, else from its lower end.
    """
    heights = [end.place.height_m for end in ends if end.place is not None]
    up = heights[-1] - heights[0] if len(heights) == len(ends) else 0.0
    metres = abs(up) if run.vertical_drop_m is None else run.vertical_drop_m
    if metres < LEAST_RISE_M:
        return None
    if abs(up) < LEAST_RISE_M:
        return Rise(f"up and down, {metres:g} m", 0)
    on = [deck_of(end, decks) for end in ends]
    from_end = (on[-1] == shown and on[0] != shown) if shown in on else up < 0
    goal = on[0] if from_end else on[-1]
    name = next((f" to {deck.name}" for deck in decks if deck.id == goal and on[0] != on[-1]), "")
    is_up = (up < 0) if from_end else (up > 0)
    return Rise(f"{'up' if is_up else 'down'} {round(metres, 2):g} m{name}", -1 if from_end else 1)


def draw_rise(link: Element, rise: Rise, ends: tuple[Point, Point]) -> Point:
    """An arrow along the run, or a ring where it stands straight up; gives where its words belong."""
    (x1, y1), (x2, y2) = ends if rise.towards >= 0 else ends[::-1]
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    length = math.hypot(x2 - x1, y2 - y1)
    if length < SHORT:
        add(link, "circle", class_="run-touch run-ring-touch", cx=middle[0], cy=middle[1], r=RING)
        add(link, "circle", class_="run-ring", cx=middle[0], cy=middle[1], r=RING)
        return middle[0] + RING, middle[1] + RING
    along = ((x2 - x1) / length, (y2 - y1) / length)
    ways = (along,) if rise.towards else (along, (-along[0], -along[1]))
    for dx, dy in ways:
        foot = (middle[0] + dx * GAP, middle[1] + dy * GAP) if not rise.towards else middle
        _head(link, foot, (dx, dy))
    return middle


def _head(link: Element, at: Point, along: Point) -> None:
    """The head of an arrow whose foot is at a point."""
    tip = at[0] + along[0] * HEAD * 1.6, at[1] + along[1] * HEAD * 1.6
    sides = [(at[0] - side * along[1] * HEAD, at[1] + side * along[0] * HEAD) for side in (1, -1)]
    points = " ".join(f"{number(x)},{number(y)}" for x, y in (tip, *sides))
    add(link, "polygon", class_="run-arrow", points=points)

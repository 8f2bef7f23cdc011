"""How tangled a picture is, and how far things have moved between two of them."""

from itertools import pairwise

from server.boat.boat import Boat
from server.drawing.diagram import picture_layout
from server.drawing.lines import upright_lines
from server.drawing.paths import Uprights
from server.drawing.shapes import Layout


def laid_out(boat: Boat, unfolded: frozenset[str] = frozenset()) -> Layout:
    """The layout of a boat in its first mode."""
    return picture_layout(boat, mode_id=boat.modes[0].id if boat.modes else None, unfolded=unfolded)


def crossings(layout: Layout) -> int:
    """How often a level line passes an upright one without meeting it: the hops that a reader must follow."""
    uprights = Uprights(upright_lines(layout))
    return sum(
        len(uprights.crossing(x0, x1, y0))
        for wire in layout.wires
        for (x0, y0), (x1, y1) in pairwise(wire.points)
        if y0 == y1
    )


def rows(layout: Layout) -> list[str]:
    """The rows from the top down."""
    return [plate.rung.key for plate in layout.plates]


def lanes(layout: Layout) -> list[str]:
    """The bars of the whole picture from the left to the right; those that stand above each other by name."""
    bars = [up for up in layout.uprights if up.place.kind in ("busbar", "section", "post", "engine-block")]
    return [up.place.key for up in sorted(bars, key=lambda up: (round(up.x), up.place.key))]


def out_of_order(before: list[str], after: list[str]) -> int:
    """How many things that both pictures show have changed places with a neighbour."""
    was = {key: n for n, key in enumerate(before)}
    kept = [was[key] for key in after if key in was]
    return sum(a > b for a, b in pairwise(kept))

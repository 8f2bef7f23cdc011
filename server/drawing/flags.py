"""Where the figures of a held lead stand: like flags, each on a pole from its mark, near the hand's row.

Flags of marks in the row stand above it, in such an order that no pole passes another flag;
those of marks that lie higher or lower stand beyond them, ordered the other way round.
"""

from dataclasses import dataclass, replace

from server.drawing.circuit import Polarity
from server.drawing.marks import MARK_RADIUS
from server.drawing.measures import Box, text_width
from server.drawing.shapes import Layout, Point

HEIGHT = 28.0
PITCH = 32.0
MARGIN = 6.0
OVERHANG = 14.0
CLEAR = MARK_RADIUS + 3
NEAR = 60.0


@dataclass(frozen=True, slots=True)
class Flag:
    """A figure in its box, with the mark it belongs to and the end of its pole."""

    text: str
    kind: str
    at: Point
    box: Box
    foot: float


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A figure before it has a place; ``sides`` are the left edges it may have, the better first."""

    text: str
    kind: str
    at: Point
    sides: tuple[float, ...]

    @property
    def room(self) -> float:
        return _room(self.text)


def placed_flags(
    layout: Layout,
    texts: list[tuple[str, str, Point]],
    marks: list[Point],
    row: float,
    polarity: Polarity,
) -> list[Flag]:
    """A flag for each text, kind and point; ``marks`` are the points that no flag may cover."""
    wanted = [
        _Wanted(text, kind, at, _sides(layout, text, at[0], -1 if polarity == "positive" else 1))
        for text, kind, at in texts
    ]
    upwards = [one for one in wanted if one.at[1] <= row + NEAR]
    if row - PITCH * (len(upwards) + 1) < 0:
        upwards = []
    flags: list[Flag] = []
    for way, group in ((-1, upwards), (1, [one for one in wanted if one not in upwards])):
        near, base = _near(group, row, way)
        far = [one for one in group if one not in near]
        y = base + way * (CLEAR + HEIGHT / 2 + 2)
        for one, x in (*_ordered(near), *_ordered(far)[::-1]):
            box = Box(x, y - HEIGHT / 2, one.room, HEIGHT)
            while box.y > MARGIN and any(_covers(box, mark) for mark in marks):
                y += way * 4
                box = replace(box, y=y - HEIGHT / 2)
            flags.append(Flag(one.text, one.kind, one.at, box, min(max(one.at[0], box.x), box.right)))
            y += way * PITCH
    return flags


def _near(group: list[_Wanted], row: float, way: int) -> tuple[list[_Wanted], float]:
    """The figures whose marks the stack would reach, and the height beyond them where it begins."""
    near: list[_Wanted] = []
    while True:
        base = row + way * max((0.0, *(way * (one.at[1] - row) for one in near)))
        reach = way * (base - row) + CLEAR + PITCH * (len(group) + 1)
        found = [one for one in group if way * (one.at[1] - row) <= reach]
        if len(found) == len(near):
            return near, base
        near = found


def _room(text: str) -> float:
    return text_width(text) + 16


def _sides(layout: Layout, text: str, pole: float, outward: int) -> tuple[float, ...]:
    """Left edges of a flag that hangs outwards from its pole, or inwards, inside the picture."""
    room = _room(text)
    hung = (pole - OVERHANG, pole + OVERHANG - room)
    inside = (min(max(x, MARGIN), layout.width - MARGIN - room) for x in hung[::outward])
    return tuple(inside)


def _ordered(wanted: list[_Wanted]) -> list[tuple[_Wanted, float]]:
    """Figures from the row outwards with their left edges: none hangs over the pole of one further on."""
    rest = list(wanted)
    done: list[tuple[_Wanted, float]] = []
    while rest:
        choices = [(one, x) for side in (0, 1) for one in rest for x in one.sides[side : side + 1]]
        one, x = min(choices, key=lambda choice: _hung_over(choice, rest))
        rest.remove(one)
        done.append((one, x))
    return done


def _hung_over(choice: tuple[_Wanted, float], rest: list[_Wanted]) -> int:
    """How many other poles a flag would hang over."""
    one, x = choice
    return sum(x - 1 < other.at[0] < x + one.room + 1 for other in rest if other is not one)


def _covers(box: Box, mark: Point) -> bool:
    return box.meets(Box(mark[0] - CLEAR, mark[1] - CLEAR, 2 * CLEAR, 2 * CLEAR))

"""Names on the plan, each where it covers no other."""

from xml.etree.ElementTree import Element

from server.boat.hull import Point
from server.drawing.svg import add

LETTER, LINE = 9.6, 22.0
"""Room of one letter and of one line, generous for the sizes that the style sheet gives."""

LONGEST = 28
"""Letters of a name that stand on the drawing; whole it stands in the lists."""

Box = tuple[float, float, float, float]


class Labels:
    """The names that stand on a drawing so far."""

    def __init__(self, width: float, height: float) -> None:
        """An empty drawing of this size."""
        self._size = width, height
        self._taken: list[Box] = []

    def fixed(self, parent: Element, text: str, at: Point, class_: str) -> None:
        """A name that stands where it is put; others keep clear of it."""
        self._taken.append(_box(text, at))
        add(parent, "text", text, class_=class_, x=at[0], y=at[1])

    def keep_clear(self, at: Point, half: float) -> None:
        """Room of a mark that no name may cover."""
        self._taken.append((at[0] - half, at[1] - half, at[0] + half, at[1] + half))

    def near(self, parent: Element, text: str, at: Point, class_: str, *, must: bool) -> bool:
        """A name beside a point where one fits; else, if it must stand, on the first side."""
        text = text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
        wide, (x, y) = LETTER * len(text), at
        right, left, middle = x + 14, x - 14 - wide, x - wide / 2
        sides: tuple[Point, ...] = ((right, y + 6), (left, y + 6), (middle, y - 16), (middle, y + 28))
        if must:
            rows = (y - 16, y + 28, y - 16 - LINE, y + 28 + LINE, y - 16 - 2 * LINE, y + 28 + 2 * LINE)
            sides += tuple((column, row) for row in rows for column in (right, left, middle))
        free = next((side for side in sides if self._is_free(_box(text, side))), None)
        if free is None and not must:
            return False
        inside = min(max(sides[0][0], 2.0), self._size[0] - wide)
        place = (inside, sides[0][1]) if free is None else free
        self._taken.append(_box(text, place))
        add(parent, "text", text, class_=class_, x=place[0], y=place[1])
        return True

    def _is_free(self, box: Box) -> bool:
        left, top, right, bottom = box
        if left < 0 or top < 0 or right > self._size[0] or bottom > self._size[1] - LINE:
            return False
        return not any(
            left < other[2] and other[0] < right and top < other[3] and other[1] < bottom
            for other in self._taken
        )


def _box(text: str, at: Point) -> Box:
    return at[0], at[1] - LINE + 4, at[0] + LETTER * len(text), at[1] + 4

"""Room for the words in and beside a chart."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from server.drawing.labels import Anchor, Occupied
from server.drawing.measures import Box, text_width

SIZE = 16.0
"""Height of the words in the chart."""


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text at its baseline."""

    x: float
    y: float
    text: str
    anchor: Anchor = "start"

    @property
    def box(self) -> Box:
        """The room it takes."""
        width = text_width(self.text, SIZE)
        left = {"start": self.x, "middle": self.x - width / 2, "end": self.x - width}[self.anchor]
        return Box(left, self.y - SIZE * 0.85, width, SIZE * 1.1)


def first_free(occupied: Occupied, within: Box, candidates: Iterable[Words]) -> Words | None:
    """The first place that is free and inside, which is then taken; None where there is no room."""
    for words in candidates:
        box = words.box
        inside = box.x >= within.x and box.right <= within.right
        if inside and box.y >= within.y and box.bottom <= within.bottom and occupied.is_free(box):
            occupied.add(box)
            return words
    return None


def spread(wished: Sequence[float], gap: float, top: float, bottom: float) -> list[float]:
    """Places as near to the wished ones as may be, in the same order, a gap apart, between top and bottom.

    Where there is not room for all, they go on below the bottom.

    >>> spread([10, 12, 90], 20, 0, 100)
    [10, 30, 90]
    """
    order = sorted(range(len(wished)), key=lambda number: wished[number])
    places = list(wished)
    lowest = top
    for number in order:
        places[number] = max(places[number], lowest)
        lowest = places[number] + gap
    highest = max(bottom, top + gap * (len(wished) - 1))
    for number in reversed(order):
        places[number] = min(places[number], highest)
        highest = places[number] - gap
    return places

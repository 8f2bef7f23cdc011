"""Finding a free spot for each bar's name."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from server.drawing.measures import TEXT, Box, clipped, text_width, wrapped

Anchor = Literal["start", "middle", "end"]
CELL = 128
NAME_ROOMS = (340.0, 240.0, 160.0, 110.0)
HEIGHT = 18.0
MARGIN = 4.0
BONDING_ROOM = 78.0


@dataclass(frozen=True, slots=True)
class Label:
    """A line of text with its baseline's start, middle or end."""

    x: float
    y: float
    text: str
    anchor: Anchor
    kind: str
    title: str = ""

    @property
    def box(self) -> Box:
        """The room it takes."""
        width = text_width(self.text)
        left = {"start": self.x, "middle": self.x - width / 2, "end": self.x - width}[self.anchor]
        return Box(left, self.y - TEXT * 0.85, width, HEIGHT)


class Occupied:
    """What already stands on the sheet, in cells so that asking is quick."""

    def __init__(self) -> None:
        """An empty sheet."""
        self._cells: dict[tuple[int, int], list[Box]] = defaultdict(list)

    def add(self, box: Box) -> None:
        """Keep a rectangle free of text."""
        for cell in _cells(box):
            self._cells[cell].append(box)

    def is_free(self, box: Box) -> bool:
        """Whether nothing stands there yet."""
        return not any(box.meets(other) for cell in _cells(box) for other in self._cells.get(cell, ()))


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for column in range(int(box.x // CELL), int(box.right // CELL) + 1):
        for row in range(int(box.y // CELL), int(box.bottom // CELL) + 1):
            yield column, row


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar that wants its name: where it stands, where conductors land, and which way the ladder lies."""

    name: str
    kind: str
    x: float
    half: float
    top: float
    bottom: float
    landings: tuple[float, ...]
    inward: int


def bar_label(occupied: Occupied, sheet_width: float, bar: Bar) -> Label | None:
    """A bar's name beside or above it, shortened where there is little room; None where there is none."""
    for room in NAME_ROOMS:
        text = clipped(bar.name, room)
        for label in _candidates(text, bar):
            if (
                label.box.x > MARGIN
                and label.box.right < sheet_width - MARGIN
                and occupied.is_free(label.box)
            ):
                occupied.add(label.box)
                return label
    return None


def bonding_label(occupied: Occupied, bar: Bar) -> list[Label]:
    """The name of a bonding bar in short lines towards the picture's edge; empty where there is no room."""
    outward = -bar.inward
    anchor: Anchor = "start" if outward > 0 else "end"
    x = bar.x + outward * (bar.half + 8)
    lines = wrapped(bar.name, BONDING_ROOM, 3)
    for dy in range(0, 160, 6):
        labels = [
            Label(x, bar.top + 6 + dy + 19 * n, line, anchor, bar.kind, bar.name)
            for n, line in enumerate(lines)
        ]
        if all(occupied.is_free(label.box) for label in labels):
            for label in labels:
                occupied.add(label.box)
            return labels
    return []


def _candidates(text: str, bar: Bar) -> Iterator[Label]:
    inner: Anchor = "start" if bar.inward > 0 else "end"
    outer: Anchor = "end" if bar.inward > 0 else "start"
    inside, outside = bar.x + bar.inward * (bar.half + 8), bar.x - bar.inward * (bar.half + 8)
    edge = bar.inward * bar.half

    def at(x: float, y: float, anchor: Anchor) -> Label:
        return Label(x, y, text, anchor, bar.kind, bar.name)

    yield at(bar.x, bar.top - 14, "middle")
    yield at(bar.x - edge, bar.top - 14, inner)
    yield at(bar.x + edge, bar.top - 14, outer)
    yield at(inside, bar.top + 2, inner)
    yield at(outside, bar.top + 2, outer)
    for y in bar.landings:
        for dy in (24, 30, -18, -40):
            yield at(inside, y + dy, inner)
            yield at(outside, y + dy, outer)
    yield at(bar.x, bar.bottom + 20, "middle")
    yield at(bar.x + edge, bar.bottom + 20, outer)
    yield at(bar.x - edge, bar.bottom + 20, inner)
    yield at(bar.x, bar.top - 34, "middle")
    for far in range(0, 120, 20):
        for y in (bar.bottom + 28 + far, bar.top - 16 - far):
            yield at(bar.x + bar.half, y, "end")
            yield at(bar.x - bar.half, y, "start")
    for y in range(int(bar.top) + 10, int(bar.bottom), 12):
        yield at(outside, y, outer)
        yield at(inside, y, inner)

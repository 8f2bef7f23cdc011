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


def bar_label(
    occupied: Occupied,
    width: float,
    name: str,
    x: float,
    half: float,
    ys: list[float],
    span: tuple[float, float],
    inward: int,
    kind: str,
) -> Label | None:
    """A bar's name beside or above it, shortened where there is little room; None where there is none."""
    for room in NAME_ROOMS:
        text = clipped(name, room)
        for label in _candidates(text, name, x, half, ys, span, inward, kind):
            if label.box.x > 4 and label.box.right < width - 4 and occupied.is_free(label.box):
                occupied.add(label.box)
                return label
    return None


def bonding_label(
    occupied: Occupied, width: float, name: str, x: float, half: float, top: float
) -> list[Label]:
    """The name of a bonding bar in short lines at the picture's edge, below each other; empty where there is no room."""
    right = x > width / 2
    lines = wrapped(name, BONDING_ROOM, 3)
    for dy in range(0, 160, 6):
        labels = [
            Label(
                x + (half + 8) * (1 if right else -1),
                top + 6 + dy + 19 * n,
                line,
                "start" if right else "end",
                "bar-name",
                name,
            )
            for n, line in enumerate(lines)
        ]
        if all(occupied.is_free(label.box) for label in labels):
            for label in labels:
                occupied.add(label.box)
            return labels
    return []


def _candidates(
    text: str,
    name: str,
    x: float,
    half: float,
    ys: list[float],
    span: tuple[float, float],
    inward: int,
    kind: str,
) -> Iterator[Label]:
    inner: Anchor = "start" if inward > 0 else "end"
    outer: Anchor = "end" if inward > 0 else "start"
    off = half + 8
    for dy in (-14, 2):
        if dy < 0:
            yield Label(x, span[0] + dy, text, "middle", kind, name)
            yield Label(x - inward * half, span[0] + dy, text, inner, kind, name)
            yield Label(x + inward * half, span[0] + dy, text, outer, kind, name)
        else:
            yield Label(x + inward * off, span[0] + dy, text, inner, kind, name)
            yield Label(x - inward * off, span[0] + dy, text, outer, kind, name)
    for y in ys:
        for dy in (24, 30, -18, -40):
            yield Label(x + inward * off, y + dy, text, inner, kind, name)
            yield Label(x - inward * off, y + dy, text, outer, kind, name)
    yield Label(x, span[0] - 34, text, "middle", kind, name)
    yield Label(x, span[1] + 20, text, "middle", kind, name)
    for far in range(0, 120, 20):
        for y in (span[1] + 28 + far, span[0] - 16 - far):
            yield Label(x + half, y, text, "end", kind, name)
            yield Label(x - half, y, text, "start", kind, name)
    for y in range(int(span[0]) + 10, int(span[1]), 12):
        yield Label(x - inward * off, y, text, outer, kind, name)
        yield Label(x + inward * off, y, text, inner, kind, name)

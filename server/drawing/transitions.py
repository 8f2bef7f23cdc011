"""A picture of up to three battery switches: each combination a box, each turn a line between two.

The largest dial runs across, the next one down, the third in depth, as the edges of a cube are drawn: no box
ever lies on a line. A single dial of more than two positions stands round a circle.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from server.drawing.svg import Svg, add, finished, number, root

MOST_SWITCHES = 3
MOST_BOXES = 32
PITCH_X, PITCH_Y = 96.0, 68.0
"""Half the way between neighbours across and down; the third switch is drawn half way between."""
BOX_HEIGHT = 44.0
LETTER = 8.6
MARGIN = 12.0
CROSSING = 11.0
"""So far before its middle, where lines cross, the mark of a line in a picture of three switches stands."""
ARC, BESIDE = 24.0, 22.0
"""How far from its boxes the line from the last position of a dial back to the first runs, over or beside."""

Positions = tuple[str, ...]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Box:
    """One combination: what is written on it, whether it stands so now, what mark it bears, where it leads.

    ``is_shown`` says that the turns beside the picture start there; ``url`` is where a touch leads.
    """

    at: Positions
    words: str
    is_now: bool
    mark: str
    told: str
    is_shown: bool = False
    url: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A turn either way between two combinations; ``kind`` is ``danger``, ``banks`` or ``sound``."""

    one: Positions
    other: Positions
    mark: str
    kind: str
    told: str


def can_be_drawn(dials: Sequence[Sequence[str]]) -> bool:
    """Whether so many positions make a picture that can be read."""
    lengths = sorted((len(dial) for dial in dials), reverse=True)
    return (
        0 < len(lengths) <= MOST_SWITCHES
        and math.prod(lengths) <= MOST_BOXES
        and (len(lengths) < MOST_SWITCHES or lengths[1] <= 2)  # noqa: PLR2004 - as a cube
    )


def transitions(
    dials: Sequence[Sequence[str]], boxes: Sequence[Box], lines: Sequence[Line], title: str
) -> Svg:
    """The picture; ``dials`` are the positions of each switch in the order of its dial."""
    width = max(LETTER * len(box.words) for box in boxes) + 40.0
    places = _places(dials, width)
    right = max(x for x, _ in places.values()) + width / 2 + MARGIN
    down = max(y for _, y in places.values()) + BOX_HEIGHT / 2 + MARGIN
    picture = root(right, down, class_="transitions", role="group", aria_label=title)
    picture.set("width", number(right))
    picture.set("height", number(down))
    add(picture, "title", title)
    for line in lines:
        _line(picture, dials, places, line, width / 2)
    for box in boxes:
        _box(picture, box, places[box.at], width)
    return finished(picture, right, down)


def _places(dials: Sequence[Sequence[str]], width: float) -> Mapping[Positions, Point]:
    """The middle of every box."""
    if len(dials) == 1 and len(dials[0]) > 2:  # noqa: PLR2004 - two make a line
        return dict(_round(dials[0], width))
    order = _axes(dials)
    step_x = max(PITCH_X, width * (0.62 if len(dials) == MOST_SWITCHES else 0.75))
    top = MARGIN + BOX_HEIGHT / 2 + (ARC if len(dials[order[0]]) > 2 else 0.0)  # noqa: PLR2004
    left = MARGIN + width / 2 + (BESIDE if len(order) > 1 and len(dials[order[1]]) > 2 else 0.0)  # noqa: PLR2004
    found: dict[Positions, Point] = {}
    for numbers in _numbers(dials):
        across, below, deep = (numbers[axis] if axis is not None else 0 for axis in _padded(order))
        at = tuple(dial[number] for dial, number in zip(dials, numbers, strict=True))
        found[at] = (left + (2 * across + deep) * step_x, top + (2 * below + deep) * PITCH_Y)
    return found


def _round(dial: Sequence[str], width: float) -> Iterator[tuple[Positions, Point]]:
    """Positions of one dial round a circle, the first at the top, as they follow clockwise."""
    far_x, far_y = width * 1.1, max(PITCH_Y * 1.5, BOX_HEIGHT * len(dial) / 2.5)
    for place, position in enumerate(dial):
        turned = 2 * math.pi * place / len(dial)
        x = MARGIN + width / 2 + far_x * (1 + math.sin(turned))
        y = MARGIN + BOX_HEIGHT / 2 + far_y * (1 - math.cos(turned))
        yield (position,), (x, y)


def _axes(dials: Sequence[Sequence[str]]) -> list[int]:
    """The numbers of the switches: across, down, in depth."""
    return sorted(range(len(dials)), key=lambda number: -len(dials[number]))


def _padded(order: list[int]) -> tuple[int | None, int | None, int | None]:
    across, below, deep = (*order, None, None)[:MOST_SWITCHES]
    return across, below, deep


def _numbers(dials: Sequence[Sequence[str]]) -> Iterator[tuple[int, ...]]:
    if not dials:
        yield ()
        return
    for rest in _numbers(dials[1:]):
        for first in range(len(dials[0])):
            yield (first, *rest)


def _line(
    picture: Element,
    dials: Sequence[Sequence[str]],
    places: Mapping[Positions, Point],
    line: Line,
    half: float,
) -> None:
    (x, y), (to_x, to_y) = places[line.one], places[line.other]
    group = add(picture, "g", class_=f"transition {line.kind}")
    add(group, "title", line.told)
    aside = CROSSING / math.hypot(to_x - x, to_y - y) if len(dials) == MOST_SWITCHES else 0.0
    middle = (x + to_x) / 2 - aside * (to_x - x), (y + to_y) / 2 - aside * (to_y - y)
    if _is_back_to_first(dials, line) and y == to_y:
        high = y - BOX_HEIGHT / 2 - ARC + 4
        add(group, "path", d=f"M{x:.1f} {y:.1f} V{high:.1f} H{to_x:.1f} V{y:.1f}", fill="none")
        middle = (middle[0], high)
    elif _is_back_to_first(dials, line) and x == to_x:
        beside = x - half - BESIDE
        add(group, "path", d=f"M{x:.1f} {y:.1f} H{beside:.1f} V{to_y:.1f} H{x:.1f}", fill="none")
        middle = (beside, middle[1])
    else:
        add(group, "line", x1=x, y1=y, x2=to_x, y2=to_y)
    if line.mark:
        add(group, "circle", cx=middle[0], cy=middle[1], r=10.0, class_="transition-plate")
        add(group, "text", line.mark, x=middle[0], y=middle[1] + 5, text_anchor="middle", font_size=15.0)


def _is_back_to_first(dials: Sequence[Sequence[str]], line: Line) -> bool:
    """Whether a turn goes between the last and the first position of a dial drawn as a row."""
    ends = zip(dials, line.one, line.other, strict=True)
    return len(dials) > 1 and any(
        len(dial) > 2 and one != other and {one, other} == {dial[0], dial[-1]}  # noqa: PLR2004 - two are a line
        for dial, one, other in ends
    )


def _box(picture: Element, box: Box, at: Point, width: float) -> None:
    x, y = at
    states = {"now": box.is_now, "danger": box.mark, "shown": box.is_shown}
    kinds = " ".join(["combination", *(state for state, holds in states.items() if holds)])
    holder = add(picture, "a", href=box.url) if box.url else picture
    group = add(holder, "g", class_=kinds)
    add(group, "title", box.told)
    left, top = x - width / 2, y - BOX_HEIGHT / 2
    add(group, "rect", x=left, y=top, width=width, height=BOX_HEIGHT, rx=4.0)
    if box.is_now:
        add(group, "rect", x=left + 4, y=top + 4, width=width - 8, height=BOX_HEIGHT - 8, rx=2.0)
    words = f"{box.mark} {box.words}" if box.mark else box.words
    add(group, "text", words, x=x, y=y + 5, text_anchor="middle", font_size=15.0)

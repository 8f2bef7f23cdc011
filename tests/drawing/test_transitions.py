"""The picture of battery switches: every box and turn is there, and no box lies on another or on a line."""

import re
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise, product
from xml.etree import ElementTree

import pytest

from server.drawing.svg import NAMESPACE
from server.drawing.transitions import BOX_HEIGHT, Box, Line, can_be_drawn, transitions

Dials = Sequence[Sequence[str]]
Point = tuple[float, float]
ON_OFF = ("off", "on")
SELECTOR = ("off", "one", "both", "two")
THREE = ("off", "one", "two")
DRAWN: list[Dials] = [
    (ON_OFF,), (THREE,), (SELECTOR,), (ON_OFF, ON_OFF), (ON_OFF, SELECTOR), (THREE, SELECTOR),
    (ON_OFF, ON_OFF, ON_OFF), (ON_OFF, SELECTOR, ON_OFF), (THREE, ON_OFF, ON_OFF),
]  # fmt: skip


def boxes_of(dials: Dials) -> list[Box]:
    """The second is now, the first bears a mark."""
    return [
        Box(at, " · ".join(at), n == 1, "▲" if n == 0 else "", "/".join(at))
        for n, at in enumerate(product(*dials))
    ]


def lines_of(dials: Dials) -> Iterator[Line]:
    for at in product(*dials):
        for number, dial in enumerate(dials):
            place = dial.index(at[number])
            if place + 1 < len(dial) or len(dial) > 2:
                onward = (*at[:number], dial[(place + 1) % len(dial)], *at[number + 1 :])
                yield Line(at, onward, "▲", "danger", f"{'/'.join(at)} to {'/'.join(onward)}")


def drawn(dials: Dials) -> ElementTree.Element:
    markup = transitions(dials, boxes_of(dials), list(lines_of(dials)), "Turns").markup
    return ElementTree.fromstring(markup)  # noqa: S314 - our own drawing


def rectangles(picture: ElementTree.Element) -> dict[str, tuple[float, float, float, float]]:
    """The outer frame of every box, by what is told of it."""
    found = {}
    for group in picture.iter(f"{{{NAMESPACE}}}g"):
        if (group.get("class") or "").startswith("combination"):
            title, frame = group[0].text or "", group[1]
            x, y = float(frame.get("x", "0")), float(frame.get("y", "0"))
            width, height = float(frame.get("width", "0")), float(frame.get("height", "0"))
            found[title] = (x, y, x + width, y + height)
    return found


def strokes(picture: ElementTree.Element) -> Iterator[tuple[str, Point, Point]]:
    """Every straight stroke of every line, with what is told of it."""
    for group in picture.iter(f"{{{NAMESPACE}}}g"):
        if (group.get("class") or "").startswith("transition"):
            for one, other in pairwise(corners(group[1])):
                yield group[0].text or "", one, other


def corners(shape: ElementTree.Element) -> list[Point]:
    """The corners of a line, or of a path that runs across and down."""
    if shape.tag.endswith("line"):
        x1, y1, x2, y2 = (float(shape.get(name, "0")) for name in ("x1", "y1", "x2", "y2"))
        return [(x1, y1), (x2, y2)]
    found: list[Point] = []
    for letter, text in re.findall(r"([MVH])([-\d. ]+)", shape.get("d", "")):
        values = [float(one) for one in text.split()]
        x, y = found[-1] if found else (values[0], values[-1])
        found.append((x, values[-1]) if letter == "V" else (values[0], y))
    return found


def touches(box: tuple[float, float, float, float], a: Point, b: Point) -> bool:
    """Whether a stroke passes over a box: looked at in many places along it."""
    steps = [n / 200 for n in range(201)]
    spots = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in steps]
    return any(box[0] < x < box[2] and box[1] < y < box[3] for x, y in spots)


@pytest.mark.parametrize("dials", DRAWN)
def test_every_combination_and_every_turn_is_there_once(dials: Dials) -> None:
    assert can_be_drawn(dials)
    picture = drawn(dials)

    assert set(rectangles(picture)) == {box.told for box in boxes_of(dials)}
    assert {told for told, _, _ in strokes(picture)} == {line.told for line in lines_of(dials)}


@pytest.mark.parametrize("dials", DRAWN)
def test_boxes_lie_apart_inside_the_picture_and_off_the_lines_of_others(dials: Dials) -> None:
    picture = drawn(dials)
    frames, (_, _, width, height) = rectangles(picture), map(float, (picture.get("viewBox") or "").split())

    for one, other in combinations(frames.values(), 2):
        assert one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]
    for frame in frames.values():
        assert frame[0] >= 0
        assert frame[1] >= 0
        assert frame[2] <= width
        assert frame[3] <= height
    for told, a, b in strokes(picture):
        assert min(a[0], b[0], a[1], b[1]) >= 0
        ends = told.split(" to ")
        assert not [name for name, frame in frames.items() if name not in ends and touches(frame, a, b)], told


def test_now_is_framed_twice_and_a_marked_box_bears_its_mark() -> None:
    every = drawn((SELECTOR,)).iter(f"{{{NAMESPACE}}}g")
    groups = [group for group in every if (group.get("class") or "").startswith("combination")]

    assert [len([one for one in g if one.tag.endswith("rect")]) for g in groups] == [1, 2, 1, 1]
    assert groups[0][-1].text == "▲ off"
    assert float(groups[0][1].get("height", "0")) == BOX_HEIGHT


@pytest.mark.parametrize("dials", [(), (ON_OFF,) * 4, (THREE,) * 3, (SELECTOR, THREE, ON_OFF)])
def test_more_than_a_picture_holds_is_not_drawn(dials: Dials) -> None:
    assert not can_be_drawn(dials)

"""Reading finished pictures: texts with their boxes, lines with their hops, and what is drawn at all."""

import re
from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import Element, fromstring

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.drawing.svg import Svg

SEEDS = Path(__file__).parents[2] / "seed_boats"
BOATS = sorted(path.stem for path in SEEDS.glob("*.json"))
WIDEST_CHARACTER_EM = 0.6
"""Wider than the average character of any common sans-serif face."""


def seed(name: str) -> Boat:
    return read_boat((SEEDS / f"{name}.json").read_bytes())


@dataclass(frozen=True)
class TextBox:
    """A text as drawn, with a box on the safe side."""

    text: str
    left: float
    right: float
    top: float
    bottom: float

    def overlaps(self, other: "TextBox") -> bool:
        return (
            self.left < other.right - 0.5
            and other.left < self.right - 0.5
            and self.top < other.bottom - 0.5
            and other.top < self.bottom - 0.5
        )


def parsed(svg: Svg) -> Element:
    return fromstring(re.sub(r'xmlns="[^"]+"', "", svg.markup, count=1))  # noqa: S314 - our own drawing


def texts(svg: Svg) -> list[TextBox]:
    return [_text_box(node, dx, dy) for node, dx, dy in _walk(parsed(svg), 0.0, 0.0) if node.tag == "text"]


def _walk(node: Element, dx: float, dy: float) -> list[tuple[Element, float, float]]:
    if moved := re.match(r"translate\(([-\d.]+) ([-\d.]+)\)", node.get("transform", "")):
        dx, dy = dx + float(moved[1]), dy + float(moved[2])
    found = [(node, dx, dy)]
    for child in node:
        found += _walk(child, dx, dy)
    return found


def _text_box(node: Element, dx: float, dy: float) -> TextBox:
    title = node.find("title")
    text = (node.text or "") + ((title.tail or "") if title is not None else "")
    size = float(node.attrib["font-size"])
    x, y = float(node.attrib["x"]) + dx, float(node.attrib["y"]) + dy
    width = len(text) * size * WIDEST_CHARACTER_EM
    left = {"start": x, "middle": x - width / 2, "end": x - width}[node.get("text-anchor", "start")]
    return TextBox(text, left, left + width, y - 0.75 * size, y + 0.22 * size)


def sizes(svg: Svg) -> set[float]:
    return {float(node.attrib["font-size"]) for node in parsed(svg).iter("text")}


def level_stretches(data: str) -> list[tuple[float, float, float]]:
    """The straight level stretches of a path as (left, right, y); a hop is a gap between two of them."""
    found, x, y = [], 0.0, 0.0
    for command, body in re.findall(r"([MLHVa])([^MLHVa]*)", data):
        numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", body)]
        if command in "ML":
            x, y = numbers
        elif command == "H":
            found.append((min(x, numbers[0]), max(x, numbers[0]), y))
            x = numbers[0]
        elif command == "V":
            y = numbers[0]
        else:
            x, y = x + numbers[-2], y + numbers[-1]
    return found


def upright_stretches(data: str) -> list[tuple[float, float, float]]:
    """The upright stretches of a path as (x, top, bottom)."""
    found, x, y = [], 0.0, 0.0
    for command, body in re.findall(r"([MLHVa])([^MLHVa]*)", data):
        numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", body)]
        if command in "ML":
            x, y = numbers
        elif command == "H":
            x = numbers[0]
        elif command == "V":
            found.append((x, min(y, numbers[0]), max(y, numbers[0])))
            y = numbers[0]
        else:
            x, y = x + numbers[-2], y + numbers[-1]
    return found

"""What whole parts answer to both leads of a load: a sign on each of their bars, figures at the best."""

from dataclasses import dataclass

from server.drawing.flags import placed_flags
from server.drawing.legend import legend_height
from server.drawing.marks import Spot
from server.drawing.overlay import BEST, put_flag, put_sign
from server.drawing.shapes import Layout, Point
from server.drawing.svg import Svg, add, finished, root
from server.engine.answer import Mark


@dataclass(frozen=True)
class PartAnswer:
    """A part on which both leads may land, the best first: its sign, and its figure in words."""

    part: str
    mark: Mark
    figure: str


def part_overlay(layout: Layout, load: str, answers: tuple[PartAnswer, ...]) -> Svg:
    """The overlay with root ``#tap-answers``: each of a part's bars is the place, along all of its length.

    The signs of one part are ``mark-both--<part>``, then ``mark-both--<part>--2`` and so on.
    """
    height = layout.height + legend_height(layout.width)
    svg = root(layout.width, height, id="tap-answers", class_="tap-answers", aria_hidden="true")
    poles = add(svg, "g", class_="leaders")
    row = _row(layout, load)
    texts: list[tuple[str, str, Point]] = []
    points: list[Point] = []
    for rank, answer in enumerate(answers, start=1):
        spots = spots_of(layout, answer.part)
        for number, spot in enumerate(spots, start=1):
            name = f"both--{answer.part}" + (f"--{number}" if number > 1 else "")
            put_sign(svg, name, answer.mark, spot.at(row), spot)
            points.append(spot.at(row))
        if spots and rank <= BEST and answer.mark != "breaks":
            texts.append((f"{rank} · {answer.figure}", "best", spots[0].at(row)))
    for flag in placed_flags(layout, texts, points, row, layout.portrait or "positive"):
        put_flag(svg, poles, flag)
    return finished(svg, layout.width, height)


def spots_of(layout: Layout, part: str) -> list[Spot]:
    """The stretches of metal of a part, its bars first; a folded or small part is a point."""
    bars = [
        Spot(up.x, up.y0, up.y1)
        for up in layout.uprights
        if up.place.kind not in {"block", "end", "turn"} and any(at[0] == part for at in up.place.terminals)
    ]
    if bars:
        return bars
    points = [Spot(x, y, y) for at, (x, y) in layout.terminals.items() if at[0] == part]
    return points[:1] or [
        Spot(port.x, port.y, port.y)
        for plate in layout.plates
        if part in layout.folds.get(plate.rung.key.removeprefix("rung:"), ())
        for port in plate.ports[:1]
    ]


def _row(layout: Layout, load: str) -> float:
    """The height of the load's plate."""
    for plate in layout.plates:
        if load == plate.rung.part or load in plate.rung.members:
            return plate.box.y + layout.style.plate_height / 2
    return layout.bottom / 2

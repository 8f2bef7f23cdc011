"""The small picture of a boat's wiring for its card: the ladder's lines without a word."""

from xml.etree.ElementTree import Element

from server.boat.boat import Boat
from server.drawing.ladder import ladder
from server.drawing.shapes import Layout, Point
from server.drawing.svg import Svg, add, finished, number, root

CARD_WIDTH = 320.0
CARD_HEIGHT = 180.0
OVERVIEW_LINE = 8.0
"""Drawn at the picture's own size, and shown about eight times smaller."""
OVERVIEW_WIDTH, OVERVIEW_HEIGHT = 160.0, 200.0
"""What it is fitted into, in pixels of the screen."""


def card_picture(boat: Boat) -> Svg:
    """A silhouette of the wiring, 320 by 180, the same for the same boat."""
    layout = ladder(boat, boat.modes[0].id if boat.modes else None)
    svg = root(
        CARD_WIDTH,
        CARD_HEIGHT,
        class_="card-wiring",
        role="img",
        aria_label=f"Small picture of the wiring of {boat.name}",
    )
    _put_silhouette(svg, layout, CARD_WIDTH / layout.width, CARD_HEIGHT / layout.bottom)
    return finished(svg, CARD_WIDTH, CARD_HEIGHT)


def overview(layout: Layout) -> Svg:
    """The whole of a large picture in small: the same lines and plates without words, to move about by."""
    fit = min(OVERVIEW_WIDTH / layout.width, OVERVIEW_HEIGHT / layout.height)
    svg = root(layout.width, layout.height, id="overview-lines", class_="overview-lines", aria_hidden="true")
    svg.set("width", number(layout.width * fit))
    svg.set("height", number(layout.height * fit))
    _put_silhouette(svg, layout, 1.0, 1.0, line=OVERVIEW_LINE)
    return finished(svg, layout.width, layout.height)


def _put_silhouette(svg: Element, layout: Layout, sx: float, sy: float, line: float = 1.2) -> None:
    for side in ("negative", "positive"):
        add(svg, "path", d=_lines(layout, side, sx, sy), class_=side, fill="none", stroke_width=line)
        add(svg, "path", d=_bars(layout, side, sx, sy), class_=side, fill="none", stroke_width=2 * line)
    boxes = [p.box for p in layout.plates if p.rung.kind != "tie"] + [b.box for b in layout.batteries]
    plates = "".join(
        f"M{number(b.x * sx)} {number(b.y * sy)}h{number(b.width * sx)}v{number(max(b.height * sy - 1, 1))}"
        f"h{number(-b.width * sx)}z"
        for b in boxes
    )
    add(svg, "path", d=plates, class_="plates", stroke_width=line / 1.5)


def _path(points: tuple[Point, ...], sx: float, sy: float) -> str:
    return "M" + "L".join(f"{number(x * sx)} {number(y * sy)}" for x, y in points)


def _lines(layout: Layout, side: str, sx: float, sy: float) -> str:
    wires = [_path(w.points, sx, sy) for w in layout.wires if w.side == side]
    stems = [_path(u.path, sx, sy) for u in layout.uprights if u.place.side == side]
    return "".join(wires + stems)


def _bars(layout: Layout, side: str, sx: float, sy: float) -> str:
    thick = ("busbar", "section", "engine-block", "post")
    return "".join(
        _path(((u.x, u.y0), (u.x, u.y1)), sx, sy)
        for u in layout.uprights
        if u.place.side == side and u.place.kind in thick
    )

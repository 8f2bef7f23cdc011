"""The targets that a lead can be put down on, as SVG."""

from xml.etree.ElementTree import Element, SubElement

from server.drawing.measures import TARGET
from server.drawing.shapes import Layout
from server.drawing.svg import number


def put_taps(parent: Element, layout: Layout) -> None:
    """A target for each terminal; those at one point share one touch area."""
    ordered = sorted(layout.taps, key=lambda t: (t.side, t.x, t.y))
    for order, tap in enumerate(ordered):
        x, y = number(tap.x), number(tap.y)
        for n, (part, terminal) in enumerate(tap.terminals):
            target = SubElement(
                parent,
                "g",
                {
                    "id": f"tap-{part}--{terminal}",
                    "class": "tap bar-tap" if tap.is_bar else "tap",
                    "data-part": part,
                    "data-terminal": terminal,
                    "data-x": x,
                    "data-y": y,
                    "data-polarity": tap.side,
                    "data-order": str(order),
                },
            )
            if not n:
                target.set("data-name", tap.name)
                corner = {"x": number(tap.x - TARGET / 2), "y": number(tap.y - TARGET / 2)}
                SubElement(target, "rect", corner | {"width": "48", "height": "48", "fill": "none"})

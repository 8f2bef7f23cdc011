"""The legend below the ladder: what each line, dot and symbol means."""

from xml.etree.ElementTree import Element

from server.drawing.circuit import Step, StepKind
from server.drawing.measures import EDGE, text_width
from server.drawing.svg import add, number
from server.drawing.symbols import step_symbol

ROW = 34.0
SAMPLE = 44.0


def legend_height(width: float) -> float:
    """The height of the legend of a picture of this width."""
    return ROW * (_places(width)[-1][1] + 1) + 6


def put_legend(parent: Element, top: float, width: float) -> None:
    """Samples with their words, in rows as wide as the picture."""
    group = add(parent, "g", class_="legend", role="group", aria_label="Legend")
    add(group, "path", d=f"M{EDGE} {number(top)}H{number(width - EDGE)}", class_="engraving", fill="none")
    for (kind, word), (x, row) in zip(ENTRIES, _places(width), strict=True):
        y = top + 28 + ROW * row
        sample = add(
            group, "g", transform=f"translate({number(x + SAMPLE / 2)} {number(y - 5)})", class_="sample"
        )
        _sample(sample, kind)
        add(group, "text", word, x=x + SAMPLE + 8, y=y, font_size="16", class_="legend-word")


def _places(width: float) -> list[tuple[float, int]]:
    """Left edge and row of every entry."""
    places: list[tuple[float, int]] = []
    x, row = float(EDGE), 0
    for _, word in ENTRIES:
        room = SAMPLE + 8 + text_width(word) + 20
        if x + room > width - EDGE and x > EDGE:
            x, row = float(EDGE), row + 1
        places.append((x, row))
        x += room
    return places


ENTRIES = (
    ("positive", "positive"),
    ("negative", "negative"),
    ("dead", "not alive"),
    ("join", "joined"),
    ("tap", "a lead’s tap"),
    ("hop", "crosses, not joined"),
    ("fuse", "fuse"),
    ("breaker", "breaker"),
    ("closed", "switch closed"),
    ("open", "open"),
    ("shunt", "shunt"),
    ("connector", "connector"),
    ("bonding", "bonding"),
    ("number", "number of a cable"),
    ("ghost", "before"),
)


def _sample(group: Element, kind: str) -> None:
    line = {"fill": "none", "stroke_width": "3"}
    if kind in ("positive", "negative", "bonding"):
        add(group, "path", d="M-20 0H20", class_=f"conductor {kind}", **line)
    elif kind == "number":
        add(group, "text", "no. 7", x=0, y=5, text_anchor="middle", font_size="16", class_="copper")
    elif kind == "dead":
        add(group, "path", d="M-20 0H20", class_="conductor positive dead", **line)
    elif kind == "ghost":
        add(group, "path", d="M-20 0H20", class_="ghost", **line)
    elif kind in ("join", "tap"):
        add(group, "path", d="M-20 0H20M0 -10V10", class_="conductor negative", **line)
        add(group, "circle", cx=0.0, cy=0.0, r=5.0, class_="join" if kind == "join" else "tap-ring")
    elif kind == "hop":
        add(group, "path", d="M0 -10V10M-20 0H-7a7 7 0 0 1 14 0H20", class_="conductor negative", **line)
    else:
        steps: dict[str, StepKind] = {
            "closed": "contact",
            "open": "contact",
            "fuse": "fuse",
            "breaker": "breaker",
        }
        step = Step(
            steps.get(kind, "shunt" if kind == "shunt" else "connector"),
            (),
            "",
            "",
            "",
            ("", ""),
            ("", ""),
            kind == "open",
        )
        part = add(group, "g", class_="part sample-part")
        step_symbol(part, step)

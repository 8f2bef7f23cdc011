"""Drawings are values whose markup no text can break out of."""

from pathlib import Path

import pytest
from jinja2 import Environment

import server
from server.drawing.diagram import wiring_diagram
from server.drawing.svg import add, finished, number, root
from tests.drawing.pictures import parsed, texts
from tests.drawing.small_boats import bar, battery, boat, load, wire

HOSTILE = "</text><script>alert(1)</script>"


def test_a_hostile_name_stays_text_in_the_diagram() -> None:
    drawn = wiring_diagram(
        boat(
            [battery("house"), bar("minus"), load("radio") | {"name": HOSTILE}],
            [wire("w1", "house.positive", "radio.supply"), wire("w2", "radio.negative", "minus.stud-1")],
        ),
        mode_id=None,
    )

    assert "<script" not in drawn.markup
    whole = [node.get("aria-label") for node in parsed(drawn).iter() if node.get("id") == "load-radio"]
    assert whole == [HOSTILE]
    assert any(t.text.startswith("</text><script>") for t in texts(drawn))


def test_attributes_cannot_be_broken_out_of() -> None:
    svg = root(10, 10)
    add(svg, "g", aria_label='"><script>&')

    drawn = finished(svg, 10, 10)

    assert next(parsed(drawn).iter("g")).get("aria-label") == '"><script>&'


def test_a_template_takes_a_drawing_as_it_is_and_nothing_else() -> None:
    page = Environment(autoescape=True).from_string("{{ drawing }}{{ text }}")

    shown = page.render(drawing=finished(root(1, 1), 1, 1), text="<b>")

    assert shown.startswith("<svg ")
    assert shown.endswith("&lt;b&gt;")


def test_only_drawings_hold_trusted_markup() -> None:
    sources = [path.read_text(encoding="utf-8") for path in Path(server.__file__).parent.rglob("*.py")]
    classes = [part for source in sources for part in source.split("\nclass ")[1:] if "def __html__" in part]

    holders = [part.split(":")[0] for part in classes if "(Protocol)" not in part.splitlines()[0]]

    assert holders == ["Svg"]


@pytest.mark.parametrize(("value", "text"), [(3.0, "3"), (2.04, "2"), (-0.26, "-0.3"), (12.56, "12.6")])
def test_coordinates_have_one_decimal_at_most(value: float, text: str) -> None:
    assert number(value) == text

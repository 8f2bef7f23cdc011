"""The wiring diagram of the demo boats: complete, legible, and never drawn as joined where it is not."""

import re
from collections import Counter

import pytest

from server.boat.boat import Boat
from server.drawing.diagram import picture_layout, wiring_diagram
from server.drawing.shapes import Layout, Portrait
from tests.drawing.pictures import BOATS, level_stretches, parsed, sizes, texts, upright_stretches
from tests.drawing.pictures import seed as seed_boat
from tests.drawing.small_boats import ALL

SEEDS_AND_CASES = [*BOATS, *ALL]
VIEWS = [(name, portrait) for name in SEEDS_AND_CASES for portrait in (None, "positive", "negative")]


def seed(name: str) -> Boat:
    return ALL[name]() if name in ALL else seed_boat(name)


def first_mode(boat: Boat) -> str | None:
    return boat.modes[0].id if boat.modes else None


def shown_ids(boat: Boat, portrait: Portrait = None) -> tuple[set[str], Layout]:
    mode = first_mode(boat)
    layout = picture_layout(boat, mode_id=mode, portrait=portrait)
    drawn = {i for wire in layout.wires if wire.step for i in wire.step.ids}
    drawn |= {i for symbol in layout.symbols for i in symbol.step.ids}
    drawn |= {up.place.part for up in layout.uprights}
    drawn |= {m for plate in layout.plates for m in (plate.rung.part, *plate.rung.members)}
    drawn |= {m for box in layout.batteries for m in box.members}
    drawn |= {i for held in layout.folds.values() for i in held}
    return drawn, layout


@pytest.mark.parametrize("name", SEEDS_AND_CASES)
def test_every_part_and_conductor_is_drawn_or_held_by_a_named_fold(name: str) -> None:
    boat = seed(name)

    drawn, _ = shown_ids(boat)

    assert {p.id for p in boat.parts} | {k.id for k in boat.conductors} <= drawn


@pytest.mark.parametrize("name", SEEDS_AND_CASES)
def test_what_the_layout_holds_stands_in_the_svg(name: str) -> None:
    boat = seed(name)
    drawing = parsed(wiring_diagram(boat, mode_id=first_mode(boat)))
    _, layout = shown_ids(boat)
    ids = {node.get("id", "") for node in drawing.iter()}
    held = {i for ids in layout.folds.values() for i in ids}
    together = {i for node in drawing.iter() for i in node.get("data-conductors", "").split()}
    together |= {i for node in drawing.iter() for i in node.get("data-members", "").split()}

    missing = [
        k.id for k in boat.conductors if f"conductor-{k.id}" not in ids and k.id not in held | together
    ]
    assert missing == []
    for part in boat.parts:
        own = f"part-{part.id}"
        assert part.id in held | together or any(
            i in (f"load-{part.id}", own) or i.startswith(f"{own}--") for i in ids
        ), part.id


@pytest.mark.parametrize("name", SEEDS_AND_CASES)
def test_no_id_is_used_twice(name: str) -> None:
    boat = seed(name)
    drawing = parsed(wiring_diagram(boat, mode_id=first_mode(boat)))

    used = Counter(node.get("id") for node in drawing.iter() if node.get("id"))

    assert [i for i, count in used.items() if count > 1] == []


@pytest.mark.parametrize(("name", "portrait"), VIEWS)
def test_no_text_overlaps_another(name: str, portrait: Portrait) -> None:
    boat = seed(name)

    boxes = texts(wiring_diagram(boat, mode_id=first_mode(boat), portrait=portrait))

    clashes = [
        (a.text, b.text)
        for n, a in enumerate(boxes)
        for b in boxes[n + 1 :]
        if a.text and b.text and a.overlaps(b)
    ]
    assert clashes == []


@pytest.mark.parametrize(("name", "portrait"), VIEWS)
def test_every_text_lies_inside_the_picture_at_a_legible_size(name: str, portrait: Portrait) -> None:
    boat = seed(name)

    svg = wiring_diagram(boat, mode_id=first_mode(boat), portrait=portrait)

    assert min(sizes(svg)) >= 16
    outside = [t.text for t in texts(svg) if t.left < 0 or t.right > svg.width or t.bottom > svg.height]
    assert outside == []


@pytest.mark.parametrize("name", SEEDS_AND_CASES)
def test_every_bar_has_its_name_beside_it(name: str) -> None:
    boat = seed(name)

    layout = picture_layout(boat, mode_id=first_mode(boat))

    assert layout.unlabelled == ()


@pytest.mark.parametrize(("name", "portrait"), VIEWS)
def test_a_conductor_that_crosses_another_hops_over_it(name: str, portrait: Portrait) -> None:
    """That a hop means "not joined" is common drawing practice, no source."""
    boat = seed(name)
    drawing = parsed(wiring_diagram(boat, mode_id=first_mode(boat), portrait=portrait))
    joints = {
        (float(n.attrib["cx"]), float(n.attrib["cy"]))
        for n in drawing.iter("circle")
        if n.get("class") in ("join", "tap-ring", "loose-end", "post")
    }
    lines = [
        n
        for n in drawing.iter("path")
        if "conductor" in n.get("class", "") and n.get("d", "").startswith("M")
    ]
    lines = [n for n in lines if "stroke-width" in n.attrib and n.get("stroke-width") != "3"]
    level = [s for n in lines for s in level_stretches(n.attrib["d"])]
    upright = [s for n in lines for s in upright_stretches(n.attrib["d"])]
    bars = [g.find("rect") for g in drawing.iter("g") if g.get("class", "").startswith("bar ")]
    upright += [
        (
            float(r.attrib["x"]) + float(r.attrib["width"]) / 2,
            float(r.attrib["y"]),
            float(r.attrib["y"]) + float(r.attrib["height"]),
        )
        for r in bars
        if r is not None
    ]

    faults = [
        (x, y)
        for left, right, y in level
        for x, top, bottom in upright
        if left + 1 < x < right - 1 and top + 1 < y < bottom - 1 and (x, y) not in joints
    ]
    assert faults == []


@pytest.mark.parametrize("name", SEEDS_AND_CASES)
def test_no_symbol_sits_on_a_lane_or_a_plate(name: str) -> None:
    boat = seed(name)
    layout = picture_layout(boat, mode_id=first_mode(boat))

    for symbol in layout.symbols:
        for up in layout.uprights:
            assert not (abs(symbol.x - up.x) < 18 + up.half and up.y0 - 8 < symbol.y < up.y1 + 8), (
                symbol,
                up.place.key,
            )
        for plate in layout.plates:
            inside = plate.box.x < symbol.x < plate.box.right and plate.box.y < symbol.y < plate.box.bottom
            assert not inside


@pytest.mark.parametrize("name", SEEDS_AND_CASES)
def test_lanes_keep_apart_and_lie_outside_the_plates(name: str) -> None:
    boat = seed(name)
    layout = picture_layout(boat, mode_id=first_mode(boat))

    for n, a in enumerate(layout.uprights):
        assert a.x + a.half < layout.plate_left or a.x - a.half > layout.plate_right
        for b in layout.uprights[n + 1 :]:
            apart = abs(a.x - b.x) >= a.half + b.half + 10
            assert apart or a.y1 < b.y0 or b.y1 < a.y0, (a.place.key, b.place.key)


def test_the_picture_names_no_style_and_no_script() -> None:
    boat = seed(BOATS[0])

    markup = wiring_diagram(boat, mode_id=first_mode(boat)).markup

    assert re.search(r"style=|<script|on\w+=", markup) is None

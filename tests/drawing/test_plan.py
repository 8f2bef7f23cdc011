"""The hull in plan view: everything at its place, to scale, and no name over another."""

import re
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring

from server.boat.boat import Boat, Zone
from server.boat.edits import PlacePart, PutWaypoint, PutZone, apply
from server.boat.hull import Hull, rectangle
from server.drawing.plan import EDGE, WIDTH, Lit, Sheet, draw_plan
from server.drawing.plan_labels import LETTER, Labels
from server.drawing.svg import root
from tests.boat.run_boat import BARE, BOAT, at

HULL = Hull(beam_m=3.0)
SVG = "{http://www.w3.org/2000/svg}"


def drawn(boat: Boat, lit: Lit = Lit()) -> Element:  # noqa: B008 - a frozen value
    picture = draw_plan(boat, "/boats/b/plan", lit)
    assert picture is not None
    tree: Element = fromstring(str(picture))
    return tree


def placed() -> Boat:
    """The run boat on a hull of 12 m, its waypoints in a row and some parts beside them."""
    boat = BOAT.model_copy(update={"hull": HULL, "length_m": 12.0})
    for number, waypoint in enumerate(boat.waypoints[:4]):
        moved = waypoint.model_copy(update={"place": at(10.0 - 2 * number)})
        boat = apply(boat, PutWaypoint(waypoint=moved))
    boat = apply(boat, PlacePart(part="house", place=at(10.0, 0.5), waypoint="locker"))
    return apply(boat, PlacePart(part="lamp", place=at(4.0, -0.6), waypoint="mast"))


def thing(tree: Element, name: str) -> Element:
    return next(one for one in tree.iter(f"{SVG}a") if one.get("id") == f"spot-{name}")


def dot(tree: Element, name: str) -> tuple[float, float]:
    mark = next(one for one in thing(tree, name) if one.get("class") == "plan-dot")
    if mark.tag == f"{SVG}circle":
        return float(mark.get("cx", "nan")), float(mark.get("cy", "nan"))
    half = float(mark.get("width", "nan")) / 2
    return float(mark.get("x", "nan")) + half, float(mark.get("y", "nan")) + half


def test_a_thing_lies_where_its_metres_say_with_starboard_above() -> None:
    tree, sheet = drawn(placed()), Sheet.of(placed())
    assert sheet is not None
    scale = (WIDTH - 2 * EDGE) / 12.0

    assert dot(tree, "house")[0] == pytest.approx(EDGE + 10.0 * scale, abs=0.1)
    assert dot(tree, "house")[1] == pytest.approx(sheet.middle - 0.5 * scale, abs=0.1)
    assert dot(tree, "lamp")[1] > dot(tree, "mast")[1] > dot(tree, "house")[1]
    assert float(tree.get("data-scale", "nan")) == pytest.approx(scale, abs=1e-3)
    assert (thing(tree, "house").get("data-x"), thing(tree, "house").get("data-y")) == ("10.000", "0.500")


def test_a_run_joins_its_waypoints_and_what_has_no_place_is_not_drawn() -> None:
    tree = drawn(placed())
    line = next(one for one in thing(tree, "r1") if one.get("class") == "run-line")

    assert [float(line.get(name, "nan")) for name in ("x1", "x2")] == [
        pytest.approx(dot(tree, "locker")[0], abs=0.1),
        pytest.approx(dot(tree, "engine")[0], abs=0.1),
    ]
    names = {one.get("id") for one in tree.iter(f"{SVG}a")}
    assert "spot-island" not in names
    assert "spot-plotter" not in names
    assert len([one for one in tree.iter() if (one.get("class") or "").startswith("plan-tether")]) == 2


def test_what_is_chosen_and_what_lies_on_the_way_is_marked() -> None:
    lit = Lit("lamp", frozenset({"r1"}), frozenset({"locker", "house"}))
    tree = drawn(placed(), lit)

    assert "chosen" in (thing(tree, "lamp").get("class") or "")
    assert {
        name for name in ("r1", "r2", "locker", "mast") if "on-way" in (thing(tree, name).get("class") or "")
    } == {"r1", "locker"}


@pytest.mark.parametrize(
    ("spaces", "kind", "words"),
    [
        ({"engine_space": True}, "zone-engine", "Space: engine space"),
        ({"vapour_risk": True}, "zone-vapour", "Space: vapour"),
        ({"damp": True}, "zone-damp", "Space: damp"),
        ({}, "zone-dry", "Space"),
    ],
)
def test_a_zone_is_told_by_its_line_and_its_word(spaces: dict[str, bool], kind: str, words: str) -> None:
    zone = Zone.model_validate(
        {"id": "new", "name": "Space", "outline": rectangle(2.0, 4.0, -1.0, 1.0), **spaces}
    )
    tree = drawn(apply(placed(), PutZone(zone=zone)))
    classes = [one.get("class") for one in tree.iter(f"{SVG}path")]

    assert f"plan-zone {kind}" in classes
    assert words in [one.text for one in tree.iter(f"{SVG}text")]


def test_without_any_place_there_is_nothing_to_draw() -> None:
    assert draw_plan(BARE, "/boats/b/plan", Lit()) is None
    assert draw_plan(apply(BARE, PlacePart(part="lamp", place=at(0.0))), "/boats/b/plan", Lit()) is None


def test_a_long_boat_is_marked_every_other_metre() -> None:
    marks = [one.text for one in drawn(placed().model_copy(update={"length_m": 24.0})).iter(f"{SVG}text")]

    assert "2 m" in marks
    assert "3 m" not in marks
    assert "3 m" in [one.text for one in drawn(placed()).iter(f"{SVG}text")]


def test_no_name_covers_another_and_one_without_room_is_left_out() -> None:
    svg = root(400, 300)
    labels = Labels(400, 300)
    told = [labels.near(svg, f"Name {n}", (200.0, 150.0), "name", must=False) for n in range(10)]
    boxes = [
        (float(one.get("x", "nan")), float(one.get("y", "nan")), LETTER * len(one.text or "")) for one in svg
    ]

    assert True in told
    assert False in told
    for n, (x, y, wide) in enumerate(boxes):
        for ox, oy, owide in boxes[n + 1 :]:
            assert x + wide <= ox or ox + owide <= x or abs(y - oy) >= 20
    assert labels.near(svg, "x" * 60, (390.0, 150.0), "name", must=True)
    last = svg[-1]
    assert (last.text or "").endswith("…")
    assert float(last.get("x", "nan")) + LETTER * len(last.text or "") <= 400


def test_a_name_is_text_and_never_markup() -> None:
    boat = placed()
    nasty = boat.waypoints[0].model_copy(update={"name": "</text><script>"})
    picture = str(draw_plan(apply(boat, PutWaypoint(waypoint=nasty)), "/boats/b/plan", Lit()))

    assert "<script>" not in picture
    assert re.search(r"&lt;/text&gt;&lt;script&gt;", picture)

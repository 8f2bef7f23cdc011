"""The hull in plan view: everything at its place, to scale, and no name over another."""

import re
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring

from server.boat.boat import Boat, Zone
from server.boat.decks import Deck
from server.boat.edits import PlacePart, PutRun, PutWaypoint, PutZone, apply
from server.boat.hull import Hull, rectangle
from server.drawing.plan import draw_plan
from server.drawing.plan_labels import LETTER, Labels
from server.drawing.plan_links import Lit
from server.drawing.plan_sheet import EDGE, WIDTH, Sheet
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


DECKS = (Deck(id="sole", name="Cabin sole", floor_m=-0.3), Deck(id="bridge", name="Bridge deck", floor_m=1.8))


def on_decks() -> Boat:
    """The boat on a hull whose mast waypoint and lamp are on the bridge deck, all else on the cabin sole."""
    boat = placed().model_copy(update={"decks": DECKS})
    mast = boat.waypoints[3].model_copy(update={"place": at(4.0, height_m=2.0)})
    boat = apply(boat, PutWaypoint(waypoint=mast))
    return apply(boat, PlacePart(part="lamp", place=at(4.0, -0.6, 2.0), waypoint="mast"))


def shown(boat: Boat, deck: str) -> Element:
    tree: Element = fromstring(str(draw_plan(boat, "/boats/b/plan", Lit(), None, deck)))
    return tree


def test_what_is_on_another_deck_is_pale_and_lies_below() -> None:
    tree = shown(on_decks(), "sole")
    things = {(one.get("id") or "").removeprefix("spot-"): one for one in tree.iter(f"{SVG}a")}
    pale = {name for name, one in things.items() if "pale" in (one.get("class") or "")}
    order = list(things)

    assert pale == {"mast", "lamp"}
    assert order.index("mast") < order.index("locker")
    assert order.index("lamp") < order.index("house")
    assert {"locker", "engine", "saloon", "r1", "r2"} <= shown_pale(on_decks(), "bridge")
    assert "pale" not in str(draw_plan(on_decks(), "/boats/b/plan", Lit()))


def shown_pale(boat: Boat, deck: str) -> set[str]:
    links = shown(boat, deck).iter(f"{SVG}a")
    return {(one.get("id") or "")[5:] for one in links if "pale" in (one.get("class") or "")}


def test_what_is_chosen_lies_above_what_is_in_the_same_place() -> None:
    boat = apply(placed(), PlacePart(part="plotter", place=at(10.0, 0.5), waypoint="saloon"))
    parts = [one.get("id") for one in drawn(boat, Lit("house")).iter(f"{SVG}a")]

    assert parts[-1] == "spot-house"
    assert [one.get("id") for one in drawn(boat).iter(f"{SVG}a")][-1] != "spot-house"


def test_a_zone_of_another_deck_is_pale_and_one_of_all_decks_is_not() -> None:
    zone = Zone(id="new", name="Space", outline=rectangle(2.0, 4.0, -1.0, 1.0), deck="bridge")
    boat = apply(on_decks(), PutZone(zone=zone))
    everywhere = apply(on_decks(), PutZone(zone=zone.model_copy(update={"deck": None})))

    def classes(tree: Element) -> str:
        paths = (one.get("class") or "" for one in tree.iter(f"{SVG}path"))
        return next(one for one in paths if "zone" in one)

    assert "pale" in classes(shown(boat, "sole"))
    assert "pale" not in classes(shown(boat, "bridge"))
    assert "pale" not in classes(shown(everywhere, "sole"))


@pytest.mark.parametrize(
    ("deck", "words", "points_aft"),
    [
        ("", "up 2 m to Bridge deck", False),
        ("sole", "up 2 m to Bridge deck", False),
        ("bridge", "down 2 m to Cabin sole", True),
    ],
)
def test_a_way_between_decks_says_up_or_down_as_seen_from_the_shown_one(
    deck: str, words: str, points_aft: bool
) -> None:
    """From the saloon, 6 m from the bow on the sole, to the mast, 4 m from it on the bridge deck."""
    steep = on_decks().runs[2].model_copy(update={"vertical_drop_m": None})
    tree = shown(apply(on_decks(), PutRun(run=steep)), deck)
    arrow = next(one for one in thing(tree, "r3") if one.get("class") == "run-arrow")
    xs = [float(point.split(",")[0]) for point in (arrow.get("points") or "").split()]

    assert words in [one.text for one in tree.iter(f"{SVG}text")]
    assert words in (thing(tree, "r3").get("aria-label") or "")
    assert (xs[0] > xs[1]) is points_aft


def test_a_way_straight_up_is_a_ring_and_one_whose_way_nobody_said_has_two_heads() -> None:
    boat = on_decks()
    foot = boat.waypoints[2].model_copy(update={"place": at(4.0, 0.1)})
    upright = shown(apply(boat, PutWaypoint(waypoint=foot)), "")
    level = boat.waypoints[3].model_copy(update={"place": at(4.0)})
    unsaid = shown(apply(boat, PutWaypoint(waypoint=level)), "")
    heads = [one for one in thing(unsaid, "r3") if one.get("class") == "run-arrow"]

    assert [one.get("class") for one in thing(upright, "r3")][-1] == "run-ring"
    assert len(heads) == 2
    assert "up and down, 0.5 m" in [one.text for one in unsaid.iter(f"{SVG}text")]
    assert all(one.get("class") != "run-arrow" for one in thing(unsaid, "r1"))


def test_the_sheet_has_room_beyond_what_is_placed_until_the_length_is_known() -> None:
    far = apply(BARE, PlacePart(part="lamp", place=at(9.6)))
    sheets = [Sheet.of(one) for one in (far, far.model_copy(update={"length_m": 14.0}))]
    long = Sheet.of(BARE.model_copy(update={"length_m": 8.0}))
    short = Sheet.of(far.model_copy(update={"length_m": 8.0}))

    assert [one.length_m if one else None for one in (*sheets, long, short)] == [12, 14.0, 8.0, 9.6]


def test_names_that_must_stand_do_not_cover_each_other() -> None:
    svg = root(800, 400)
    labels = Labels(800, 400)
    for n in range(12):
        labels.near(svg, f"Waypoint {n:02}", (400.0, 200.0), "name", must=True)
    boxes = [(float(one.get("x", "nan")), float(one.get("y", "nan"))) for one in svg]
    wide = LETTER * 11

    assert all(
        abs(x - ox) >= wide or abs(y - oy) >= 20
        for n, (x, y) in enumerate(boxes)
        for ox, oy in boxes[n + 1 :]
    )

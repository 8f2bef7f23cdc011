"""The hull's outline and what lies inside of a drawn space."""

import hypothesis.strategies as st
import pytest
from hypothesis import given

from server.boat.boat import Zone
from server.boat.constructors import fuse
from server.boat.decks import Deck
from server.boat.hull import (
    WIDEST,
    Bow,
    Corner,
    Hull,
    Outline,
    Stern,
    crosses_itself,
    half_breadth,
    hull_outline,
    is_inside,
    is_rectangle,
    is_touched,
    rectangle,
)
from server.boat.value import Place
from server.boat.zones import lies_in
from tests.boat.test_laws import LAW

SHAPES: tuple[tuple[Bow, Stern], ...] = (
    ("fine", "broad"),
    ("full", "narrow"),
    ("square", "pointed"),
)
ROOM = rectangle(2.0, 5.0, -1.0, 1.0)


@pytest.mark.parametrize(("bow", "stern"), SHAPES)
def test_the_outline_is_as_long_and_as_broad_as_stated_and_the_same_on_both_sides(
    bow: Bow, stern: Stern
) -> None:
    hull = Hull(beam_m=3.2, bow=bow, stern=stern)
    outline = hull_outline(hull, 10.0)

    assert (min(x for x, _ in outline), max(x for x, _ in outline)) == (0.0, 10.0)
    assert max(half_breadth(hull, n / 1000) for n in range(1001)) == pytest.approx(1.6)
    assert half_breadth(hull, WIDEST) == pytest.approx(1.6)
    assert {(x, -y) for x, y in outline} == set(outline)


def test_bows_and_sterns_differ_as_their_names_say() -> None:
    bows = [half_breadth(Hull(beam_m=2.0, bow=bow), 0.1) for bow in ("fine", "full", "square")]
    sterns = [half_breadth(Hull(beam_m=2.0, stern=one), 1.0) for one in ("broad", "narrow", "pointed")]

    assert bows == sorted(bows)
    assert len(set(bows)) == 3
    assert sterns == [0.85, 0.5, 0.0]


@LAW
@given(st.floats(0, 8), st.floats(-3, 3))
def test_inside_a_rectangle_is_between_its_sides(x: float, y: float) -> None:
    if min(abs(x - 2.0), abs(x - 5.0), abs(y - 1.0), abs(y + 1.0)) > 1e-9:
        assert is_inside((x, y), ROOM) == (2.0 < x < 5.0 and -1.0 < y < 1.0)


def test_a_polygon_may_have_a_bay() -> None:
    corners = [(0, 0), (6, 0), (6, 4), (4, 4), (4, 2), (2, 2), (2, 4), (0, 4)]
    outline = tuple(Corner(from_bow_m=x, from_centreline_m=y) for x, y in corners)

    assert is_inside((1, 3), outline)
    assert not is_inside((3, 3), outline)
    assert is_inside((5, 3), outline)


@pytest.mark.parametrize(
    ("start", "end", "touched"),
    [
        ((3.0, 0.0), (9.0, 0.0), True),
        ((9.0, 0.0), (3.0, 0.0), True),
        ((1.0, 0.0), (9.0, 0.5), True),
        ((1.0, 2.0), (9.0, 2.0), False),
        ((1.0, -3.0), (1.5, 3.0), False),
    ],
)
def test_a_line_through_a_space_touches_it(
    start: tuple[float, float], end: tuple[float, float], touched: bool
) -> None:
    assert is_touched(start, end, ROOM) is touched


def test_a_part_lies_in_the_zone_it_says_else_in_that_it_is_drawn_in() -> None:
    zone = Zone(id="locker", name="Petrol locker", outline=ROOM)
    drawn = fuse("f", "Fuse", 5.0).model_copy(update={"place": Place(from_bow_m=3.0)})

    assert lies_in(drawn, zone, ())
    assert not lies_in(drawn.model_copy(update={"place": Place(from_bow_m=6.0)}), zone, ())
    assert not lies_in(drawn.model_copy(update={"zone": "cabin"}), zone, ())
    assert lies_in(fuse("f", "Fuse", 5.0).model_copy(update={"zone": "locker"}), zone, ())
    assert not lies_in(fuse("f", "Fuse", 5.0), zone, ())


def test_a_zone_of_one_deck_holds_nothing_that_stands_on_another() -> None:
    decks = (Deck(id="sole", name="Cabin sole", floor_m=-0.2), Deck(id="bridge", name="Bridge", floor_m=1.8))
    zone = Zone(id="engine", name="Engine room", outline=ROOM, deck="sole")
    low, high = (
        fuse("f", "Fuse", 5.0).model_copy(update={"place": Place(from_bow_m=3.0, height_m=height)})
        for height in (0.4, 2.5)
    )

    assert lies_in(low, zone, decks)
    assert not lies_in(high, zone, decks)
    assert lies_in(high, zone.model_copy(update={"deck": None}), decks)
    assert lies_in(high.model_copy(update={"deck": "sole"}), zone, decks)


def outline(*corners: tuple[float, float]) -> Outline:
    return tuple(Corner(from_bow_m=x, from_centreline_m=y) for x, y in corners)


@pytest.mark.parametrize(
    ("corners", "crosses"),
    [
        (((0, 0), (2, 0), (2, 2), (0, 2)), False),
        (((0, 0), (6, 0), (6, 4), (4, 4), (4, 2), (2, 2), (2, 4), (0, 4)), False),
        (((0, 0), (2, 2), (2, 0), (0, 2)), True),
        (((0, 0), (2, 0), (2, 0), (0, 2)), True),
        (((0, 0), (4, 0), (2, 0)), True),
        (((0, 0), (4, 0), (4, 2), (2, 0), (0, 2)), True),
        (((2, 0), (0, 0), (4, 0)), True),
        (((0, 0), (1, 0), (3, 1)), False),
    ],
)
def test_an_outline_that_meets_itself_is_no_plain_shape(
    corners: tuple[tuple[float, float], ...], crosses: bool
) -> None:
    assert crosses_itself(outline(*corners)) is crosses


@LAW
@given(st.lists(st.tuples(st.integers(0, 5), st.integers(-3, 3)), min_size=3, max_size=6))
def test_where_an_outline_begins_and_which_way_round_it_goes_is_all_one(
    corners: list[tuple[int, int]],
) -> None:
    told = crosses_itself(outline(*corners))

    assert crosses_itself(outline(*corners[1:], corners[0])) is told
    assert crosses_itself(outline(*reversed(corners))) is told
    assert crosses_itself(outline(*((x, -y) for x, y in corners))) is told


@pytest.mark.parametrize(
    ("corners", "is_so"),
    [
        (((1, -1), (3, -1), (3, 2), (1, 2)), True),
        (((1, -1), (3, -1), (3, 2), (1, 1)), False),
        (((1, -1), (3, -1), (3, 2)), False),
        (((1, -1), (3, 2), (3, -1), (3, 2)), False),
        ((), False),
    ],
)
def test_a_rectangle_has_its_sides_along_and_across(
    corners: tuple[tuple[float, float], ...], is_so: bool
) -> None:
    assert is_rectangle(outline(*corners)) is is_so

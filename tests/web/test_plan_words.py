"""What is typed on the plan, and how it is told, down to the odd cases."""

import pytest

from server.actions.plan_edits import moved_edit
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.decks import Deck
from server.boat.edits import AnyEdit, PlacePart, PutWaypoint, PutZone, TakeOffPlan, apply, label
from server.boat.hull import Corner, Outline
from server.boat.value import Span
from server.web.views.plan_answers import edit_of
from server.web.views.plan_change import length_words, wire_name
from server.web.views.plan_fields import known
from tests.boat.run_boat import BARE, BOAT, at, conductor

BAY = tuple(
    Corner(from_bow_m=x, from_centreline_m=y) for x, y in ((2.0, -1.0), (5.0, -1.0), (5.0, 1.0), (3.0, 0.5))
)


def with_bay() -> Boat:
    """The run boat whose cabin has an outline that is no rectangle."""
    return apply(BOAT, PutZone(zone=BOAT.zones[1].model_copy(update={"outline": BAY})))


SIDES = {"x": "2", "x2": "6", "port": "1", "starboard": "1"}


def outline_of(boat: Boat, **typed: str) -> Outline:
    """The outline of the cabin after its form is saved with something typed."""
    edit, errors = edit_of(boat, "cabin", dict(known(boat, "cabin")) | typed)
    assert errors == {}
    assert isinstance(edit, PutZone)
    return edit.zone.outline


def test_a_drawn_shape_stays_until_its_sides_or_its_corners_are_typed() -> None:
    boat = with_bay()
    square = boat.model_copy(update={"zones": (apply(boat, zone_put(SIDES)).zones[1],)})

    assert outline_of(boat, name="Saloon") == BAY
    assert [corner.from_bow_m for corner in outline_of(boat, **SIDES)] == [2.0, 6.0, 6.0, 2.0]
    assert [corner.from_bow_m for corner in outline_of(square, x2="7")] == [2.0, 7.0, 7.0, 2.0]
    assert outline_of(square, corners="1 1\n4 1\n2 -1") != square.zones[0].outline
    assert outline_of(square, x="", x2="", port="", starboard="") == ()
    assert outline_of(boat, corners="") == ()
    without, _ = edit_of(boat, "cabin", {"name": "Cabin"})
    assert isinstance(without, PutZone)
    assert without.zone.outline == BAY


def zone_put(typed: dict[str, str]) -> AnyEdit:
    edit, _ = edit_of(BOAT, "cabin", {"name": "Cabin", **typed})
    assert edit is not None
    return edit


@pytest.mark.parametrize(
    "text",
    [
        "2; -1\n5; -1\n5; 1\n3; 0.5",
        "2 -1\r\n\r\n5 -1\r\n5 1\r\n3 0,5",
        "2 m; −1 m\n5, -1\n5,0 1,0\n3\t0.50",
    ],
)
def test_corners_are_read_as_people_type_them(text: str) -> None:
    assert outline_of(BOAT, corners=text) == BAY


@pytest.mark.parametrize(
    ("typed", "field", "message"),
    [
        ({"corners": "1 1\n2 2"}, "corners", "3 corners at least"),
        ({"corners": "\n".join(f"{n} {n % 2}" for n in range(41))}, "corners", "40 corners at most"),
        ({"corners": "0 0\n2 2\n2 0\n0 2"}, "corners", "crosses or touches itself"),
        ({"corners": "1 1\n2"}, "corners", "Line 2: Enter two figures"),
        ({"corners": "1 1\n2 two"}, "corners", "Line 2: Enter"),
        ({"corners": "1 1\n500 2"}, "corners", "Line 2: Enter 200 m at most"),
        ({"corners": "-1 1\n5 2"}, "corners", "Line 1: Enter 0 m or more"),
        ({"corners": "1 1\n4 1\n2 -1", **SIDES}, "corners", "not both at once"),
    ],
)
def test_corners_that_enclose_nothing_are_told_with_their_line(
    typed: dict[str, str], field: str, message: str
) -> None:
    edit, errors = edit_of(BOAT, "cabin", {"name": "Cabin", **typed})

    assert edit is None
    assert message in errors[field]


LIST = "Panel; Mast foot; 4,5; 0.6\n\nMast foot\tBow\t3 m\nbow; Chain  locker;\nBow; Panel; 7"


def test_a_list_of_runs_makes_what_is_not_there_and_changes_what_is() -> None:
    edit, errors = edit_of(BARE, "run-list", {"lines": LIST})
    assert errors == {}
    assert edit is not None
    boat = apply(BARE, edit)
    again, _ = edit_of(boat, "run-list", {"lines": "Mast foot; Panel; 5\nPanel; Saloon"})
    assert again is not None
    changed = apply(boat, again)
    names = {one.id: one.name for one in changed.waypoints}

    assert label(BARE, edit) == "4 runs put in"
    assert [one.name for one in boat.waypoints] == ["Panel", "Mast foot", "Bow", "Chain locker"]
    assert [
        (names[one.start], names[one.end], one.length_m, one.vertical_drop_m) for one in changed.runs
    ] == [
        ("Panel", "Mast foot", 5.0, 0.6),
        ("Mast foot", "Bow", 3.0, None),
        ("Bow", "Chain locker", None, None),
        ("Bow", "Panel", 7.0, None),
        ("Panel", "Saloon", None, None),
    ]


def test_a_list_of_runs_may_leave_a_length_open_and_tell_the_way_up() -> None:
    edit, _ = edit_of(BARE, "run-list", {"lines": "A; B; ; 0.5"})
    assert edit is not None
    run = apply(BARE, edit).runs[0]

    assert (run.length_m, run.vertical_drop_m) == (None, 0.5)


def test_a_list_of_runs_calls_parts_by_their_names_as_often_as_it_likes() -> None:
    edit, _ = edit_of(BARE, "run-list", {"lines": "House; Plotter; 4\nHouse; Mast lamp; 9"})
    assert edit is not None
    boat = apply(BARE, edit)
    at_house = next(one.id for one in boat.waypoints if one.name == "House")

    assert next(part.waypoint for part in boat.parts if part.id == "house") == at_house
    assert len(boat.waypoints) == 3
    assert label(BARE, edit_of(BARE, "run-list", {"lines": "A; B; 1"})[0] or edit) == "1 run put in"


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        ("", "Enter 1 to 300 runs"),
        ("A; B\n" * 301, "Enter 1 to 300 runs"),
        ("A; B; 1\n\nPanel", "Line 3: Enter from; to; length"),
        ("A; B; 1; 2; 3", "Line 1: Enter from; to; length"),
        ("A; ; 1", "Line 1: Enter two names"),
        ("A;  a ; 1", "Line 1: A run joins two"),
        ("A; B; long", "Line 1: Enter a number in m"),
        ("A; B; -1", "Line 1: Enter 0 m or more"),
        ("A; B; 1; 999", "Line 1: Enter 200 m at most"),
    ],
)
def test_what_is_wrong_in_a_list_of_runs_is_told_with_its_line(lines: str, message: str) -> None:
    edit, errors = edit_of(BARE, "run-list", {"lines": lines})

    assert edit is None
    assert errors["lines"].startswith(message)


DECKS = (Deck(id="sole", name="Cabin sole", floor_m=-0.3), Deck(id="bridge", name="Bridge deck", floor_m=1.8))


@pytest.mark.parametrize(
    ("typed", "height_m"),
    [
        ({"deck": "bridge"}, 1.8),
        ({"deck": "bridge", "height": "0.4"}, 1.8),
        ({"deck": "bridge", "height": "2.5"}, 2.5),
        ({"deck": "bridge", "height": "1"}, 1.0),
        ({"deck": "sole"}, 0.4),
        ({"deck": "sole", "height": ""}, -0.3),
        ({"deck": "", "height": ""}, 0.0),
        ({"deck": ""}, 0.4),
    ],
)
def test_what_is_put_on_a_deck_takes_its_floor_unless_another_height_is_typed(
    typed: dict[str, str], height_m: float
) -> None:
    """The lamp stands 0.4 m above the waterline, on the cabin sole by its height."""
    boat = apply(BOAT, PlacePart(part="lamp", place=at(3.0, height_m=0.4)))
    boat = boat.model_copy(update={"decks": DECKS})
    edit, errors = edit_of(boat, "lamp", dict(known(boat, "lamp")) | typed)

    assert errors == {}
    assert isinstance(edit, PlacePart)
    assert edit.deck == (typed["deck"] or None)
    assert edit.place == at(3.0, height_m=height_m)


def test_what_is_dragged_keeps_its_deck_and_what_is_new_comes_to_the_shown_one() -> None:
    boat = apply(BOAT, PlacePart(part="lamp", place=at(3.0, height_m=2.2), waypoint="mast"))
    boat = boat.model_copy(update={"decks": DECKS})
    boat = apply(boat, PlacePart(part="plotter", deck="bridge"))
    lamp, plotter, house, mast = (
        moved_edit(boat, thing, 4.0, 0.5, "sole") for thing in ("lamp", "plotter", "house", "mast")
    )

    assert lamp == PlacePart(part="lamp", place=at(4.0, 0.5, 2.2), waypoint="mast")
    assert plotter == PlacePart(part="plotter", place=at(4.0, 0.5, 1.8), deck="bridge")
    assert isinstance(house, PlacePart)
    assert house.place == at(4.0, 0.5, -0.3)
    assert isinstance(mast, PutWaypoint)
    assert mast.waypoint.place == at(4.0, 0.5, -0.3)


@pytest.mark.parametrize("on", ["r1", "locker", "engine-room", "house", "hull-shape", "margins"])
def test_what_is_saved_as_it_stood_changes_nothing(on: str) -> None:
    boat = with_bay().model_copy(update={"length_m": 12.0})
    edit, errors = edit_of(boat, on, known(boat, on))

    assert errors == {}
    assert edit is not None
    assert apply(boat, edit) == boat


def test_parts_of_one_name_are_told_apart_by_how_often_they_are_named() -> None:
    twins = tuple(
        one.model_copy(update={"name": "Twin"}) if one.id in {"house", "lamp"} else one for one in BOAT.parts
    )
    boat = BOAT.model_copy(update={"parts": twins})
    one, _ = edit_of(boat, "mast", {"name": "Mast", "here": "twin"})
    both, _ = edit_of(boat, "mast", {"name": "Mast", "here": "Twin\nTwin"})
    _, errors = edit_of(boat, "mast", {"name": "Mast", "here": "Twin\nTwin\nTwin"})
    assert one is not None
    assert both is not None

    assert {part.id for part in apply(boat, one).parts if part.waypoint == "mast"} == {"lamp"}
    assert {part.id for part in apply(boat, both).parts if part.waypoint == "mast"} == {"house", "lamp"}
    assert "no part “Twin”" in errors["here"]


def test_what_is_nowhere_on_the_plan_has_no_edit() -> None:
    assert edit_of(BOAT, "ghost", {}) == (None, {})
    assert known(BOAT, "ghost") == {}


def test_only_a_measured_length_is_filled_in_as_measured() -> None:
    assert known(BOAT, "lamp-home") == {"length": "7.7"}
    assert known(BOAT, "out") == {}


def test_lengths_and_names_of_conductors_are_told_as_far_as_they_are_known() -> None:
    range_m = Conductor(id="w", kind="wire", length_m=Span(low=2.0, high=3.0))
    named = conductor(BOAT, "out").model_copy(update={"name": "Plotter feed"})

    assert length_words(range_m) == "2 to 3 m"
    assert length_words(Conductor(id="w", kind="wire")) == "not known"
    assert wire_name(BOAT, named) == "Plotter feed"
    assert wire_name(BOAT, conductor(BOAT, "out")) == "Wire, Main fuse to Plotter"
    loose = conductor(BOAT, "out").model_copy(update={"head": None})
    assert wire_name(BOAT, loose) == "Wire, Main fuse to loose end"


def test_a_part_that_is_taken_off_its_waypoint_is_told_as_nowhere() -> None:
    edit, _ = edit_of(BOAT, "house", {})

    assert edit == PlacePart(part="house")
    assert known(apply(BOAT, TakeOffPlan(id="locker")), "house")["waypoint"] == ""

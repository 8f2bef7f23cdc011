"""What is typed on the plan, and how it is told, down to the odd cases."""

import pytest

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.edits import PlacePart, PutZone, TakeOffPlan, apply
from server.boat.hull import Corner
from server.boat.value import Span
from server.web.views.plan_answers import edit_of
from server.web.views.plan_change import length_words, wire_name
from server.web.views.plan_fields import known
from tests.boat.run_boat import BOAT, conductor

BAY = tuple(
    Corner(from_bow_m=x, from_centreline_m=y) for x, y in ((2.0, -1.0), (5.0, -1.0), (5.0, 1.0), (3.0, 0.5))
)


def with_bay() -> Boat:
    """The run boat whose cabin has an outline that is no rectangle."""
    return apply(BOAT, PutZone(zone=BOAT.zones[1].model_copy(update={"outline": BAY})))


def test_a_drawn_shape_stays_where_its_sides_are_saved_as_they_stood() -> None:
    boat = with_bay()
    typed = dict(known(boat, "cabin"))
    same, _ = edit_of(boat, "cabin", typed | {"name": "Saloon"})
    other, _ = edit_of(boat, "cabin", typed | {"x2": "6"})

    assert isinstance(same, PutZone)
    assert isinstance(other, PutZone)
    assert (same.zone.name, same.zone.outline) == ("Saloon", BAY)
    assert [corner.from_bow_m for corner in other.zone.outline] == [2.0, 6.0, 6.0, 2.0]


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

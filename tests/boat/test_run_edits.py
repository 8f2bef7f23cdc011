"""Edits of the plan: what they put, what they take along, and how they are told."""

import json

import pytest
from pydantic import ValidationError

from server.boat.boat import Zone
from server.boat.caps import broken_caps
from server.boat.document import DocumentError, boat_bytes, read_boat
from server.boat.edits import (
    AddPhoto,
    AnyEdit,
    ChangeValue,
    EditError,
    PlacePart,
    PutRun,
    PutUnderlay,
    PutWaypoint,
    PutZone,
    RemovePhoto,
    Rename,
    TakeOffPlan,
    apply,
    label,
)
from server.boat.hull import Hull, rectangle
from server.boat.photos import Photo
from server.boat.runs import Margin, Run, Waypoint
from server.boat.underlay import Underlay
from tests.boat.run_boat import BARE, BOAT, at


def test_a_document_without_a_plan_has_not_a_word_of_one() -> None:
    body = boat_bytes(BARE).decode()

    for word in ("hull", "margin", "waypoint", "runs", "outline", "exposure"):
        assert word not in body


def test_the_hull_and_the_margin_are_values_of_the_boat_itself() -> None:
    drawn = apply(BOAT, ChangeValue(field="hull", value={"beam_m": 3.1, "stern": "narrow"}))
    roomy = apply(drawn, ChangeValue(field="margin.growth", value=0.25))

    assert roomy.hull == Hull(beam_m=3.1, stern="narrow")
    assert roomy.margin == Margin(growth=0.25)
    assert read_boat(boat_bytes(roomy)) == roomy


def test_taking_a_zone_off_leaves_its_parts_and_runs_without_one() -> None:
    parts = tuple(one.model_copy(update={"zone": "cabin"}) for one in BOAT.parts)
    boat = apply(BOAT.model_copy(update={"parts": parts}), TakeOffPlan(id="cabin"))

    assert [one.zone for one in boat.runs] == ["engine-room", None, None, None]
    assert {one.zone for one in boat.parts} == {None}


def test_what_is_put_again_is_changed_in_its_place() -> None:
    boat = apply(BOAT, PutRun(run=Run(id="r2", name="Shorter", start="engine", end="saloon", length_m=1.0)))
    zoned = apply(boat, PutZone(zone=Zone(id="cabin", name="Cabin", outline=rectangle(2.0, 5.0, -1.0, 1.0))))

    assert [one.name for one in boat.runs][1] == "Shorter"
    assert len(zoned.zones[1].outline) == 4
    assert read_boat(boat_bytes(zoned)) == zoned


@pytest.mark.parametrize(
    ("edit", "field"),
    [
        (PutRun(run=Run(id="r9", name="Lost", start="locker", end="nowhere")), "run.end"),
        (PutRun(run=Run(id="r9", name="Lost", start="locker", end="mast", zone="nowhere")), "run.zone"),
        (PutRun(run=Run(id="house", name="Taken", start="locker", end="mast")), "run.id"),
        (PutWaypoint(waypoint=Waypoint(id="r1", name="Taken")), "waypoint.id"),
        (PutZone(zone=Zone(id="house", name="Taken")), "zone.id"),
        (TakeOffPlan(id="house"), "id"),
        (PlacePart(part="nothing"), "part"),
        (PlacePart(part="house", waypoint="nowhere"), "waypoint"),
        (ChangeValue(id="house", field="waypoint", value="nowhere"), "waypoint"),
        (ChangeValue(id="r1", field="end", value="locker"), "end"),
    ],
)
def test_what_does_not_fit_is_refused(edit: AnyEdit, field: str) -> None:
    with pytest.raises(EditError) as error:
        apply(BOAT, edit)

    assert error.value.field == field
    assert error.value.mend


def test_an_outline_of_two_corners_encloses_nothing() -> None:
    document = json.loads(boat_bytes(BOAT))
    document["zones"][0]["outline"] = [{"from_bow_m": 1.0, "from_centreline_m": 0.0}] * 2
    with pytest.raises(DocumentError) as error:
        read_boat(json.dumps(document).encode())

    assert "3 corners" in str(error.value)


def test_a_boat_may_have_only_so_many_runs() -> None:
    many = tuple(Run(id=f"run{n}", name="Run", start="locker", end="mast") for n in range(1_001))

    assert [one.path for one in broken_caps(BOAT.model_copy(update={"runs": many}))] == ["runs"]


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (PutWaypoint(waypoint=Waypoint(id="new", name="Forepeak")), "Forepeak put on the plan"),
        (PutWaypoint(waypoint=Waypoint(id="mast", name="Mast foot")), "Mast foot on the plan changed"),
        (TakeOffPlan(id="r1"), "Locker to engine taken off the plan"),
        (PlacePart(part="lamp", waypoint="mast"), "Mast lamp: at Mast"),
        (PlacePart(part="lamp", waypoint="mast", from_waypoint_m=0.5), "Mast lamp: 0.5 m from Mast"),
        (PlacePart(part="lamp", place=at(3.0)), "Mast lamp: 3 m from the bow"),
        (PlacePart(part="lamp"), "Mast lamp: place not known"),
        (Rename(id="r1", name="Aft run"), "Locker to engine renamed to Aft run"),
    ],
)
def test_the_history_tells_what_was_done_on_the_plan(edit: AnyEdit, words: str) -> None:
    assert label(BOAT, edit) == words
    assert apply(BOAT, edit).name == BOAT.name


PHOTO = Photo(id="general", sha="0" * 64)
FIX = {"x": 0.25, "y": 0.5, "from_bow_m": 2.0}
LAID = {"photo": "general", "first": FIX, "second": {"x": 0.75, "y": 0.5, "from_bow_m": 6.0}}


def test_a_drawing_under_the_plan_goes_with_its_photo() -> None:
    put = PutUnderlay(underlay=Underlay.model_validate(LAID))
    boat = apply(apply(BOAT, AddPhoto(photo=PHOTO)), put)

    assert read_boat(boat_bytes(boat)) == boat
    assert boat.underlay == put.underlay
    assert apply(boat, RemovePhoto(id="general")).underlay is None
    assert apply(boat, PutUnderlay()).underlay is None
    assert [label(boat, one) for one in (put, PutUnderlay())] == [
        "Drawing laid under the plan",
        "No drawing under the plan",
    ]
    with pytest.raises(EditError) as error:
        apply(BOAT, put)
    assert "no photo" in error.value.message


@pytest.mark.parametrize("second", [FIX | {"from_bow_m": 6.0}, FIX | {"x": 0.75}])
def test_two_points_of_a_drawing_lie_apart(second: dict[str, float]) -> None:
    with pytest.raises(ValidationError) as error:
        Underlay.model_validate(LAID | {"second": second})

    assert "lie apart" in str(error.value)

"""Lengths that follow: a place or a run changes, and what ends or goes there is as long as its new way."""

import pytest

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.constructors import at as terminal
from server.boat.constructors import electronics, fuse, link, wire
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import (
    AddConductor,
    AddPart,
    ChangeValue,
    MoveConductorEnd,
    MoveLead,
    PlacePart,
    PutRun,
    Rename,
    SetAssumption,
    SetLength,
    Several,
    SingleEdit,
    Splice,
    TakeOffPlan,
    apply,
)
from server.boat.lengths import Allowance, estimated_length
from server.boat.value import Place
from server.practice.assumptions import default
from tests.boat.run_boat import BARE, BOAT, PUT, THIN, at, conductor, length

END = default("length_end_allowance").value


def changed(before: Boat, after: Boat) -> dict[str, float]:
    """By how much the conductors that are as they were not have grown."""
    return {
        one.id: round(length(after, one.id) - length(before, one.id), 6)
        for one in after.conductors
        if one is not conductor(before, one.id)
    }


def run(boat: Boat, name: str, **figures: object) -> PutRun:
    """An edit that gives a run other figures."""
    return PutRun(run=next(one for one in boat.runs if one.id == name).model_copy(update=figures))


def test_drawing_runs_lays_every_wire_along_them_but_those_that_were_measured() -> None:
    # 0.2 m from the fuse, 1.0 m from the plotter, 2.0 and 3.0 m of runs.
    assert length(BOAT, "out") == pytest.approx(0.2 + 1.0 + 5.0 + 2 * END)
    assert conductor(BOAT, "out").length_basis == "routed"
    assert length(BOAT, "lamp-out") == pytest.approx(0.2 + 7.0 + 2 * END)
    assert (length(BOAT, "lamp-home"), conductor(BOAT, "lamp-home").length_basis) == (7.7, "measured")
    assert read_boat(boat_bytes(BOAT)) == BOAT


def test_a_part_moved_away_by_a_metre_lengthens_exactly_what_ends_there_by_a_metre_each() -> None:
    away = apply(BOAT, PlacePart(part="plotter", waypoint="saloon", from_waypoint_m=2.0))

    assert changed(BOAT, away) == {"out": 1.0, "home": 1.0}


def test_a_longer_run_lengthens_exactly_what_goes_through_it() -> None:
    longer = apply(BOAT, run(BOAT, "r3", length_m=2.25))

    assert changed(BOAT, longer) == {"lamp-out": 0.75}


def test_a_wire_takes_the_other_way_once_that_is_shorter_and_leaves_the_engine_room() -> None:
    parts = tuple(one.model_copy(update={"zone": "cabin"}) for one in BOAT.parts)
    hot = apply(BOAT.model_copy(update={"parts": parts}), run(BOAT, "r2", length_m=3.5))
    cool = apply(hot, run(BOAT, "r4", length_m=4.0))

    assert conductor(hot, "out").in_engine_space == "yes"
    assert conductor(hot, "out").exposure_basis == "routed"
    assert length(cool, "out") == pytest.approx(0.2 + 1.0 + 4.0 + 2 * END)
    assert conductor(cool, "out").in_engine_space == "no"
    assert conductor(apply(cool, TakeOffPlan(id="r4")), "out").in_engine_space == "yes"


def test_an_allowance_of_the_boats_own_is_in_every_routed_length() -> None:
    own = SetAssumption(key="length_end_allowance", low=0.4, value=0.5, high=0.6, source="our yard's figure")
    grown = round(2 * (0.5 - END), 6)

    assert changed(BOAT, apply(BOAT, own)) == {
        "feed": grown,
        "out": grown,
        "home": grown,
        "lamp-out": grown,
        "ground": grown,
    }


def test_where_the_runs_go_away_the_length_is_kept_and_marked_so() -> None:
    cut = apply(BOAT, TakeOffPlan(id="saloon"))

    assert {one.id for one in cut.runs} == {"r1"}
    assert length(cut, "out") == length(BOAT, "out")
    assert conductor(cut, "out").length_basis == "carried-over"
    assert conductor(cut, "feed").length_basis == "routed"
    assert cut.parts[3].waypoint is None
    assert cut.parts[3].from_waypoint_m is None


def test_where_the_runs_go_away_and_the_places_are_known_the_length_is_estimated() -> None:
    placed = apply(BOAT, PlacePart(part="main", place=at(9.8), waypoint="locker", from_waypoint_m=0.2))
    placed = apply(placed, PlacePart(part="plotter", place=at(5.0), waypoint="saloon", from_waypoint_m=1.0))
    cut = conductor(apply(apply(placed, TakeOffPlan(id="r2")), TakeOffPlan(id="r4")), "out")

    assert cut.length_basis == "estimated"
    assert cut.length_m == estimated_length(at(9.8), at(5.0), Allowance.of(BOAT))


def test_a_measured_and_a_fixed_length_stay_whatever_moves() -> None:
    fixed = apply(BOAT, SetLength(conductor="out", length_m=6.6, basis="estimated", fixed=True))
    away = apply(fixed, PlacePart(part="plotter", waypoint="mast"))
    far = apply(away, PlacePart(part="lamp", waypoint="locker", from_waypoint_m=4.0))

    assert length(far, "out") == 6.6
    assert length(far, "lamp-home") == 7.7
    assert length(far, "home") != length(BOAT, "home")


def test_a_typed_length_stands_until_its_way_changes_and_one_taken_back_follows_at_once() -> None:
    typed = apply(BOAT, SetLength(conductor="out", length_m=6.0, basis="estimated"))
    elsewhere = apply(typed, PlacePart(part="lamp", waypoint="saloon"))
    moved = apply(elsewhere, PlacePart(part="plotter", waypoint="mast"))
    unknown = apply(typed, SetLength(conductor="out"))

    assert length(typed, "out") == 6.0
    assert length(elsewhere, "out") == 6.0
    assert conductor(moved, "out").length_basis == "routed"
    assert conductor(unknown, "out") == conductor(BOAT, "out")


def test_a_wire_can_be_given_back_to_its_way() -> None:
    typed = apply(BOAT, SetLength(conductor="out", length_m=6.0, basis="estimated"))
    back = apply(typed, SetLength(conductor="out", length_m=6.0, basis="routed"))

    assert conductor(back, "out") == conductor(BOAT, "out")


def test_a_moved_lead_takes_the_way_through_the_runs_unless_it_is_told_otherwise() -> None:
    move = MoveLead(part="plotter", terminal="negative", to=terminal("lamp.negative"))
    moved = conductor(apply(BOAT, move), "home")
    given = conductor(apply(BOAT, move.model_copy(update={"length_m": 3.3})), "home")
    reached = conductor(apply(BOAT, move.model_copy(update={"keep_length": True})), "home")

    assert moved.length_basis == "routed"
    assert moved.length_m == pytest.approx(1.0 + 2.0 + 2 * END)
    assert (given.length_m, given.length_basis) == (3.3, "estimated")
    assert (reached.length_m, reached.length_basis) == (length(BOAT, "home"), "carried-over")


def test_what_was_found_of_the_old_way_does_not_go_along() -> None:
    parts = tuple(one.model_copy(update={"zone": "cabin"}) for one in BOAT.parts)
    hot = apply(BOAT.model_copy(update={"parts": parts}), run(BOAT, "r2", length_m=3.5))
    move = MoveConductorEnd(conductor="out", end="tail", to=terminal("lamp.main"))
    loose = conductor(apply(hot, MoveConductorEnd(conductor="out", end="tail")), "out")
    cabin = apply(apply(hot, run(hot, "r3", zone="cabin")), move)

    assert conductor(apply(hot, move), "out").in_engine_space is None
    assert conductor(cabin, "out").in_engine_space == "no"
    assert loose.in_engine_space is None
    assert loose.length_basis == "carried-over"


def test_what_was_found_beside_a_measured_length_stands() -> None:
    seen = conductor(BARE, "lamp-home").model_copy(update={"in_engine_space": "no"})
    wires = tuple(seen if one.id == seen.id else one for one in BARE.conductors)
    parts = tuple(one.model_copy(update={"zone": "cabin"}) for one in BARE.parts)
    boat = apply(BARE.model_copy(update={"conductors": wires, "parts": parts}), PUT)
    unseen = apply(BARE.model_copy(update={"parts": parts}), PUT)

    assert conductor(boat, "lamp-home").in_engine_space == "no"
    assert conductor(unseen, "lamp-home").in_engine_space == "yes"
    assert conductor(unseen, "lamp-home").length_m == 7.7


def test_what_is_said_of_the_engine_space_stands_until_the_way_changes() -> None:
    said = apply(BOAT, ChangeValue(id="out", field="in_engine_space", value="no"))
    kept = apply(said, PlacePart(part="lamp", waypoint="saloon"))
    moved = apply(kept, PlacePart(part="plotter", waypoint="mast"))
    open_ended = apply(moved, TakeOffPlan(id="engine-room"))

    assert conductor(BOAT, "out").in_engine_space == "yes"
    assert conductor(kept, "out").in_engine_space == "no"
    assert conductor(moved, "out").in_engine_space == "yes"
    assert conductor(open_ended, "out").in_engine_space is None


def test_a_resistance_stated_for_the_old_length_goes_with_it() -> None:
    stated = conductor(BOAT, "out").model_copy(update={"resistance_ohm": 0.02})
    wires = tuple(stated if one.id == stated.id else one for one in BOAT.conductors)
    boat = BOAT.model_copy(update={"conductors": wires})

    assert conductor(apply(boat, run(boat, "r1", length_m=2.5)), "out").resistance_ohm is None
    assert conductor(apply(boat, run(boat, "r4", length_m=20.0)), "out").resistance_ohm == 0.02


@pytest.mark.parametrize(
    ("new", "basis", "metres"),
    [
        (wire("new", "main.load", "plotter.main", THIN, length_m=4.4, basis="estimated"), "estimated", 4.4),
        (wire("new", "main.load", "plotter.main", THIN, length_m=4.4), "measured", 4.4),
        (wire("new", "main.load", "plotter.main", THIN), "routed", 0.2 + 1.0 + 5.0 + 2 * END),
        (wire("new", "main.load", None, THIN, length_m=2.0, basis="estimated"), "estimated", 2.0),
    ],
)
def test_a_new_wire_is_as_long_as_was_said_else_as_its_way(new: Conductor, basis: str, metres: float) -> None:
    added = conductor(apply(BOAT, AddConductor(conductor=new)), "new")

    assert added.length_m == pytest.approx(metres)
    assert added.length_basis == basis


def test_a_bolted_link_has_no_way() -> None:
    added = apply(BOAT, AddConductor(conductor=link("new", "house.negative", "bus.stud-4")))

    assert conductor(added, "new").length_m is None


def test_a_fuse_cut_into_a_routed_wire_leaves_the_pieces_as_long_as_they_were() -> None:
    cut = Splice(conductor="out", part=fuse("f2", "Plotter fuse", 5.0), new_conductor="piece", distance_m=1.5)
    boat = apply(BOAT, cut)

    assert length(boat, "out") + length(boat, "piece") == pytest.approx(length(BOAT, "out"))
    assert {conductor(boat, name).length_basis for name in ("out", "piece")} == {"carried-over"}


def on_plan() -> Boat:
    """Two devices with places and a wire between them that was estimated from these; no runs."""
    parts = (electronics("one", "One", 5.0), electronics("two", "Two", 5.0))
    boat = BARE.model_copy(update={"parts": (), "conductors": ()})
    edits: tuple[SingleEdit, ...] = (
        *(AddPart(part=part) for part in parts),
        PlacePart(part="one", place=at(2.0)),
        PlacePart(part="two", place=at(5.0)),
    )
    boat = apply(boat, Several(edits=edits, label="Placed"))
    line = estimated_length(at(2.0), at(5.0), Allowance.of(boat))
    new = wire("w", "one.main", "two.main", THIN, length_m=line, basis="estimated")
    other = wire("typed", "one.negative", "two.negative", THIN, length_m=4.0, basis="estimated")
    edits = (AddConductor(conductor=new), AddConductor(conductor=other))
    return apply(boat, Several(edits=edits, label="Wired"))


@pytest.mark.parametrize("place", [at(7.0), None])
def test_an_estimate_from_the_straight_line_follows_its_parts_also_without_runs(place: Place | None) -> None:
    boat = on_plan()
    moved = apply(boat, PlacePart(part="two", place=place))
    expected = 5.0 if place is not None else 3.0

    assert length(moved, "w") == pytest.approx(expected * default("length_allowance").value + 2 * END)
    assert conductor(moved, "typed") is conductor(boat, "typed")


def test_a_length_that_was_given_as_routed_stands_where_no_runs_are_drawn() -> None:
    boat = on_plan()
    given = apply(boat, ChangeValue(id="w", field="length_basis", value="routed"))
    moved = apply(given, PlacePart(part="two", place=at(7.0)))

    assert conductor(moved, "w") is conductor(given, "w")


def test_a_boat_without_runs_and_places_is_left_alone() -> None:
    renamed = apply(BARE, AddPart(part=fuse("f9", "Spare", 5.0)))

    assert renamed.conductors is BARE.conductors


def test_a_part_that_only_comes_along_or_is_renamed_leaves_every_conductor_alone() -> None:
    more = apply(BOAT, AddPart(part=fuse("f9", "Spare", 5.0)))
    named = apply(more, Rename(id="main", name="Battery fuse"))
    zoned = apply(named, ChangeValue(id="main", field="zone", value="cabin"))

    assert more.conductors is BOAT.conductors
    assert named.conductors is BOAT.conductors
    assert zoned.conductors is BOAT.conductors

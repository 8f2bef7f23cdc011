"""Moving leads and ends, sizes and lengths, and cutting a part in."""

import math

import pytest

from server.boat.boat import Boat, Override
from server.boat.conductors import Size
from server.boat.constructors import at, busbar, fuse, wire
from server.boat.edits import (
    AddConductor,
    AddPart,
    EditError,
    MoveConductorEnd,
    MoveLead,
    SetLength,
    SetSize,
    SingleEdit,
    Splice,
    apply,
)
from server.boat.leads import lead
from server.boat.parts import Connector
from server.boat.presets import on_off, selector
from server.boat.value import Span
from server.practice.assumptions import default
from tests.boat.small_boat import BOAT, conductor

TO_BUS = MoveLead(part="pilot", terminal="negative", to=at("bus.stud-2"))


def refused(edit: SingleEdit, boat: Boat = BOAT) -> EditError:
    with pytest.raises(EditError) as error:
        apply(boat, edit)
    return error.value


def test_a_moved_lead_lands_elsewhere_and_is_estimated_anew() -> None:
    moved = conductor(apply(BOAT, TO_BUS), "pilot-n")

    # Straight line from 9.0 m to 6.0 m, times the allowance for detours, plus one allowance for each end.
    expected = 3.0 * default("length_allowance").value + 2 * default("length_end_allowance").value
    assert moved.head == at("bus.stud-2")
    assert moved.length_m == pytest.approx(expected, abs=0.005)
    assert moved.length_basis == "estimated"


def test_what_was_measured_on_the_old_route_goes_and_the_lug_comes_along() -> None:
    moved = conductor(apply(BOAT, TO_BUS), "pilot-n")

    assert moved.measured_resistance_ohm is None
    assert moved.reading is None
    assert moved.resistance_ohm is None
    assert moved.head_joint is not None
    assert moved.head_joint.resistance_ohm == 0.001
    assert moved.head_joint.stack_position is None


def test_a_lead_of_three_wires_moves_only_its_last_end_and_keeps_fuse_and_switch() -> None:
    boat = apply(BOAT, MoveLead(part="pilot", terminal="main", to=at("panel.main-stud-1")))

    assert conductor(boat, "pilot-c").head == at("panel.main-stud-1")
    assert conductor(boat, "pilot-a") is conductor(BOAT, "pilot-a")
    assert lead(boat, "pilot", "main").inline == ("pilot-fuse", "switch")


def test_the_boats_own_allowances_win() -> None:
    own = (
        Override(key="length_allowance", low=1.0, value=2.0, high=3.0, source="this yard"),
        Override(key="length_end_allowance", low=-1.0, value=-1.0, high=0.0, source="a slip of the pen"),
        Override(key="length_allowance", subject="bus", low=1.0, value=9.0, high=9.0, source="elsewhere"),
    )
    boat = BOAT.model_copy(update={"assumptions": (own[2], *own[:2])})

    assert conductor(apply(boat, TO_BUS), "pilot-n").length_m == 6.0


def test_the_straight_line_counts_all_three_axes() -> None:
    edit = MoveLead(part="pilot", terminal="negative", to=at("block.stud-2"))

    # From (9, 0, 0) to (9, 0, -0.5).
    expected = 0.5 * default("length_allowance").value + 2 * default("length_end_allowance").value
    length = conductor(apply(BOAT, edit), "pilot-n").length_m
    assert isinstance(length, float)
    assert math.isclose(length, expected, abs_tol=0.005)


def test_without_a_place_the_length_is_carried_over_and_marked() -> None:
    moved = conductor(apply(BOAT, TO_BUS.model_copy(update={"to": at("house.negative")})), "pilot-n")

    assert (moved.length_m, moved.length_basis) == (2.0, "carried-over")
    assert moved.resistance_ohm == 0.02


def test_an_unknown_length_stays_unknown_without_a_place() -> None:
    edit = MoveLead(part="plotter", terminal="main", to=at("panel.main-stud-1"))

    moved = conductor(apply(BOAT, edit), "plotter-p")

    assert (moved.length_m, moved.length_basis) == (None, None)


def test_a_cable_that_reaches_and_a_fixed_length_keep_length_and_basis() -> None:
    reaches = apply(BOAT, TO_BUS.model_copy(update={"keep_length": True}))
    fixed = apply(BOAT, SetLength(conductor="pilot-n", length_m=2.0, basis="measured", fixed=True))

    for boat in (reaches, apply(fixed, TO_BUS)):
        moved = conductor(boat, "pilot-n")
        assert (moved.length_m, moved.length_basis) == (2.0, "measured")


def test_a_given_length_wins() -> None:
    moved = conductor(apply(BOAT, TO_BUS.model_copy(update={"length_m": 7.5})), "pilot-n")

    assert (moved.length_m, moved.length_basis) == (7.5, "estimated")


def test_moving_to_where_it_is_changes_nothing() -> None:
    stay = MoveLead(part="pilot", terminal="negative", to=at("block.stud-1"))
    end = MoveConductorEnd(conductor="pilot-n", end="head", to=at("block.stud-1"))

    assert apply(BOAT, stay) is BOAT
    assert apply(BOAT, end) is BOAT


@pytest.mark.parametrize(
    ("edit", "field", "word"),
    [
        (MoveLead(part="ghost", terminal="main", to=at("bus.stud-2")), "part", "ghost"),
        (MoveLead(part="pilot", terminal="ghost", to=at("bus.stud-2")), "terminal", "no terminal"),
        (MoveLead(part="pilot", terminal="wake", to=at("bus.stud-2")), "terminal", "No conductor"),
        (MoveLead(part="pilot", terminal="main", to=at("ghost.stud-2")), "to.part", "ghost"),
        (MoveLead(part="pilot", terminal="main", to=at("bus.stud-9")), "to.terminal", "stud-9"),
        (MoveLead(part="pilot", terminal="main", to=at("switch.in")), "to", "part of this lead"),
        (MoveLead(part="pilot", terminal="main", to=at("pilot.negative")), "to", "part of this lead"),
        (MoveConductorEnd(conductor="ghost", end="head"), "conductor", "ghost"),
        (MoveConductorEnd(conductor="pilot-n", end="tail", to=at("block.stud-1")), "to", "other end"),
        (MoveConductorEnd(conductor="pilot-n", end="tail", to=at("block.stud-7")), "to.terminal", "stud-7"),
        (SetSize(conductor="ghost"), "conductor", "ghost"),
        (SetLength(conductor="ghost"), "conductor", "ghost"),
    ],
)
def test_a_move_that_cannot_be_made_names_its_field(edit: SingleEdit, field: str, word: str) -> None:
    error = refused(edit)

    assert error.field == field
    assert word in error.message
    assert error.mend


def test_an_end_may_be_left_loose_and_moved_again() -> None:
    loose = apply(BOAT, MoveConductorEnd(conductor="pilot-n", end="tail"))
    kept = conductor(loose, "pilot-n")
    again = apply(loose, MoveConductorEnd(conductor="pilot-n", end="tail", to=at("plotter.negative")))

    assert kept.tail is None
    assert kept.measured_resistance_ohm == 0.03
    assert conductor(again, "pilot-n").tail == at("plotter.negative")


def test_a_moved_bolted_joint_has_no_length() -> None:
    moved = conductor(
        apply(BOAT, MoveConductorEnd(conductor="crank-n", end="head", to=at("block.stud-2"))), "crank-n"
    )

    assert moved.length_m is None
    assert moved.kind == "link"


def test_another_size_ends_what_was_measured_and_the_same_size_does_not() -> None:
    thick = Size(label="4 mm²", area_mm2=4.0, resistance_ohm_per_m=4.95e-3)
    old = conductor(BOAT, "pilot-n")

    assert (
        conductor(apply(BOAT, SetSize(conductor="pilot-n", size=thick)), "pilot-n").measured_resistance_ohm
        is None
    )
    assert conductor(apply(BOAT, SetSize(conductor="pilot-n", size=old.size)), "pilot-n") == old


def test_a_length_not_known_has_no_basis() -> None:
    unknown = conductor(apply(BOAT, SetLength(conductor="pilot-n", basis="measured")), "pilot-n")

    assert (unknown.length_m, unknown.length_basis, unknown.length_fixed) == (None, None, False)


NEW_FUSE = fuse("new-fuse", "New fuse", 10.0)


def test_a_part_cut_in_shares_the_length_and_faces_the_near_end() -> None:
    edit = Splice(conductor="pilot-n", part=NEW_FUSE, new_conductor="piece", near="head", distance_m=0.5)

    boat = apply(BOAT, edit)
    old, piece = conductor(boat, "pilot-n"), conductor(boat, "piece")

    assert (old.tail, old.head) == (at("pilot.negative"), at("new-fuse.load"))
    assert (piece.tail, piece.head) == (at("new-fuse.line"), at("block.stud-1"))
    assert (old.length_m, piece.length_m) == (1.5, 0.5)
    assert piece.head_joint == conductor(BOAT, "pilot-n").head_joint
    assert old.head_joint is None
    assert old.measured_resistance_ohm is None
    assert piece.size == old.size
    assert lead(boat, "pilot", "negative").inline == ("new-fuse",)
    assert lead(boat, "pilot", "negative").tap == at("block.stud-1")


def test_a_part_bolted_onto_the_end_needs_no_cut() -> None:
    edit = Splice(conductor="pilot-n", part=NEW_FUSE, new_conductor="piece", near="head")

    boat = apply(BOAT, edit)
    old, piece = conductor(boat, "pilot-n"), conductor(boat, "piece")

    assert piece.kind == "link"
    assert (piece.tail, piece.head) == (at("new-fuse.line"), at("block.stud-1"))
    assert old.length_m == 2.0
    assert old.head_joint is not None
    assert old.head_joint.resistance_ohm == 0.001


def test_a_range_of_length_is_shortened_at_both_ends() -> None:
    for span, expected in (
        (Span(low=1.0, high=3.0), Span(low=0.5, high=2.5)),
        (Span(low=1.0, high=3.0, value=2.0), Span(low=0.5, high=2.5, value=1.5)),
    ):
        boat = apply(BOAT, SetLength(conductor="pilot-n", length_m=span, basis="estimated"))
        edit = Splice(conductor="pilot-n", part=on_off("s", "S"), new_conductor="piece", distance_m=0.5)
        assert conductor(apply(boat, edit), "pilot-n").length_m == expected
        assert refused(edit.model_copy(update={"distance_m": 1.5}), boat).field == "distance_m"


def test_an_unknown_length_may_be_cut_and_a_bolted_joint_parted() -> None:
    plug = Connector(kind="connector", id="plug", name="Plug", style="plug", pins=1)
    cut = apply(BOAT, Splice(conductor="plotter-p", part=plug, new_conductor="piece", distance_m=0.3))
    parted = apply(BOAT, Splice(conductor="crank-n", part=NEW_FUSE, new_conductor="piece"))

    assert conductor(cut, "plotter-p").length_m is None
    assert conductor(cut, "piece").length_m == 0.3
    assert conductor(parted, "crank-n").tail == at("new-fuse.load")


@pytest.mark.parametrize(
    ("edit", "field"),
    [
        (Splice(conductor="pilot-n", part=busbar("x", "X", 1), new_conductor="piece"), "part"),
        (Splice(conductor="pilot-n", part=selector("x", "X"), new_conductor="piece"), "part"),
        (Splice(conductor="pilot-n", part=NEW_FUSE, new_conductor="piece", distance_m=2.5), "distance_m"),
        (Splice(conductor="crank-n", part=NEW_FUSE, new_conductor="piece", distance_m=0.5), "distance_m"),
        (Splice(conductor="plotter-n", part=NEW_FUSE, new_conductor="piece", near="head"), "near"),
        (Splice(conductor="pilot-n", part=fuse("bus", "B", 5.0), new_conductor="piece"), "part.id"),
        (Splice(conductor="pilot-n", part=NEW_FUSE, new_conductor="bus"), "new_conductor"),
        (Splice(conductor="pilot-n", part=NEW_FUSE, new_conductor="new-fuse"), "new_conductor"),
    ],
)
def test_a_part_that_cannot_be_cut_in_names_its_field(edit: Splice, field: str) -> None:
    assert refused(edit).field == field


def test_a_lead_may_land_on_an_in_line_part_of_another_lead_and_runs_on_through_it() -> None:
    boat = apply(BOAT, AddPart(part=NEW_FUSE))
    boat = apply(boat, AddConductor(conductor=wire("beyond", "new-fuse.line", "bus.stud-3")))

    moved = apply(boat, MoveLead(part="pilot", terminal="negative", to=at("new-fuse.load")))

    assert lead(moved, "pilot", "negative").inline == ("new-fuse",)
    assert lead(moved, "pilot", "negative").tap == at("bus.stud-3")

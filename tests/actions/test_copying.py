"""Several things at once: copies and removals leave a valid document and touch nothing else."""

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from server.actions.copying import (
    MOST_EDITS,
    Ticked,
    _Copies,
    duplicate_edit,
    next_name,
    removal_edit,
    ticked,
    with_cables_between,
)
from server.actions.copying_hanging import hanging
from server.boat.boat import Boat
from server.boat.constructors import at, electronics, wire
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import EditError, Several, apply, edit_json, read_edit
from server.boat.parts import Alternator
from server.boat.photos import Photo, Pin
from server.boat.references import broken_references
from tests.boat.small_boat import BOAT
from tests.boat.strategies import boats
from tests.boat.test_laws import LAW

FEWER = settings(LAW, max_examples=30)

REQUEST = "a-request"


def of(*ids: str) -> Ticked:
    return ticked(BOAT, ids)


def _without_runs(boat: Boat) -> Boat:
    """Where no cable runs are known, no edit lays a conductor anew."""
    parts = tuple(part.model_copy(update={"waypoint": None}) for part in boat.parts)
    return boat.model_copy(update={"parts": parts, "waypoints": (), "runs": ()})


def _chosen(data: st.DataObject, boat: Boat) -> Ticked:
    ids = [one.id for one in (*boat.parts, *boat.conductors)]
    return ticked(boat, data.draw(st.lists(st.sampled_from(ids), min_size=1, unique=True)))


def _holds(boat: Boat) -> None:
    assert broken_references(boat) == ()
    assert read_boat(boat_bytes(boat)) == boat


@FEWER
@given(st.data())
def test_copies_leave_a_valid_document_and_all_that_was_there_as_it_was(data: st.DataObject) -> None:
    boat = _without_runs(data.draw(boats(3)))
    chosen = _chosen(data, boat)
    edit = duplicate_edit(boat, chosen, REQUEST)
    after = apply(boat, edit)
    whole = with_cables_between(boat, chosen)

    _holds(after)
    assert after.parts[: len(boat.parts)] == boat.parts
    assert after.conductors[: len(boat.conductors)] == boat.conductors
    assert len(after.parts) - len(boat.parts) == len(chosen.parts)
    assert len(after.conductors) - len(boat.conductors) == len(whole.conductors)
    assert len({part.name.casefold() for part in after.parts}) == len(after.parts)
    assert read_edit(edit_json(edit)) == edit


@FEWER
@given(st.data())
def test_copies_into_another_boat_leave_both_valid(data: st.DataObject) -> None:
    source, target = data.draw(boats(3)), _without_runs(data.draw(boats(1)))
    whole = with_cables_between(source, _chosen(data, source))
    edits = tuple(_Copies(source, target, REQUEST).things(whole))
    after = apply(target, Several(edits=edits, label="Copied"))

    _holds(after)
    assert after.parts[: len(target.parts)] == target.parts
    new = {part.id for part in after.parts[len(target.parts) :]}
    for one in after.conductors[len(target.conductors) :]:
        assert {end.part for end in (one.tail, one.head) if end is not None} <= new


@FEWER
@given(st.data(), st.booleans())
def test_a_removal_leaves_a_valid_document_and_says_all_that_hung_on_it(
    data: st.DataObject, cables_too: bool
) -> None:
    boat = _without_runs(data.draw(boats(3)))
    chosen = _chosen(data, boat)
    edit = removal_edit(boat, chosen, cables_too=cables_too)
    after, told = apply(boat, edit), {one.title: one.things for one in hanging(boat, chosen, edit)}

    _holds(after)
    assert not chosen.part_ids & {part.id for part in after.parts}
    left = [end for one in after.conductors for end in (one.tail, one.head)]
    of_those = {one.id for one in after.conductors}
    before = [end for one in boat.conductors if one.id in of_those for end in (one.tail, one.head)]
    assert len(told.get("Cable ends that become loose", ())) == left.count(None) - before.count(None)
    if cables_too:
        assert "Cable ends that become loose" not in told
    assert len(told.get("Events that go too", ())) == len(boat.events) - len(after.events)
    assert all(cable.id in {one.cable for one in after.conductors} for cable in after.cables)


def test_the_copies_are_wired_among_themselves_and_loose_elsewhere() -> None:
    after = apply(BOAT, duplicate_edit(BOAT, of("pilot", "pilot-fuse", "pilot-n"), REQUEST))
    pilot, fuse = sorted(after.parts[-2:], key=lambda part: part.kind, reverse=True)
    lead, negative = after.conductors[-2:]

    assert (pilot.name, fuse.name) == ("Autopilot 2", "Pilot fuse 2")
    assert (lead.tail, lead.head) == (at(f"{pilot.id}.main"), at(f"{fuse.id}.load"))
    assert (negative.tail, negative.head) == (at(f"{pilot.id}.negative"), None)
    assert negative.name == "Pilot negative 2"
    assert (negative.measured_resistance_ohm, negative.reading, negative.trace) == (None, None, None)
    assert negative.length_basis == "carried-over"
    assert negative.head_joint is not None
    assert negative.head_joint.stack_position is None
    assert negative.head_joint.style == "crimped-ring"
    assert [cable.number for cable in after.cables] == ["W7", None]
    sailing = after.modes[0]
    assert [(on.part, on.hours_per_day) for on in sailing.on] == [
        ("pilot", 8.0),
        ("plotter", None),
        (pilot.id, 8.0),
    ]


def test_a_switch_is_set_as_the_first_one_and_an_alternator_keeps_its_engine() -> None:
    switch = apply(BOAT, duplicate_edit(BOAT, of("switch"), REQUEST))
    alone = apply(BOAT, duplicate_edit(BOAT, of("alt"), REQUEST)).parts[-1]
    both = apply(BOAT, duplicate_edit(BOAT, of("alt", "block"), REQUEST)).parts[-2:]

    assert [one.position for one in switch.modes[0].positions] == ["on", "on"]
    assert isinstance(alone, Alternator)
    assert alone.engine == "block"
    assert isinstance(both[1], Alternator)
    assert both[1].engine == both[0].id != "block"


def test_in_another_boat_places_and_measurements_stay_behind_and_zones_meet_by_name() -> None:
    blank = Boat(format="tapchart.boat", version=1, name="Other", nominal_voltage_v=12.0)
    other = BOAT.model_copy(update={"name": "Sister"})
    whole = with_cables_between(BOAT, of("alt", "bus", "block", "pilot", "pilot-n"))
    into_blank = apply(blank, Several(edits=tuple(_Copies(BOAT, blank, REQUEST).things(whole)), label="x"))
    into_other = apply(other, Several(edits=tuple(_Copies(BOAT, other, REQUEST).things(whole)), label="x"))

    assert {part.name for part in into_blank.parts} == {part.name for part in whole.parts}
    assert [part.place for part in into_blank.parts] == [None] * 4
    assert [part.zone for part in into_blank.parts] == [None] * 4
    assert [cable.number for cable in into_blank.cables] == ["W7"]
    assert into_other.parts[-1].zone == "engine-room"
    assert [cable.number for cable in into_other.cables] == ["W7", None]
    assert len(into_blank.conductors) == 2


def test_what_the_runs_told_of_a_conductor_is_not_copied() -> None:
    routed = {"exposure_basis": "routed", "in_engine_space": "yes"}
    lead = wire("r", "pilot.wake", None).model_copy(update=routed)
    boat = BOAT.model_copy(update={"conductors": (*BOAT.conductors, lead)})
    new = apply(boat, duplicate_edit(boat, ticked(boat, ["r"]), REQUEST)).conductors[-1]

    assert (new.exposure_basis, new.in_engine_space) == (None, None)


def test_the_same_request_makes_the_same_copies() -> None:
    assert duplicate_edit(BOAT, of("pilot"), REQUEST) == duplicate_edit(BOAT, of("pilot"), REQUEST)
    assert duplicate_edit(BOAT, of("pilot"), REQUEST) != duplicate_edit(BOAT, of("pilot"), "another")


def _told(boat: Boat, *ids: str, cables_too: bool) -> dict[str, tuple[str, ...]]:
    chosen = ticked(boat, ids)
    edit = removal_edit(boat, chosen, cables_too=cables_too)
    return {one.title: one.things for one in hanging(boat, chosen, edit)}


def test_what_goes_with_a_part_is_told_by_name() -> None:
    photo = Photo(
        id="photo-1",
        sha="ab" * 32,
        caption="Bus",
        pins=(Pin(number=1, x=0, y=0, terminal=at("block.stud-1")),),
    )
    boat = BOAT.model_copy(update={"photos": (photo,)})
    told = _told(boat, "block", "starter", cables_too=False)

    assert told == {
        "Cable ends that become loose": (
            "cable W7 Pilot negative black at engine block: stud 1",
            "a conductor at engine block: stud 2",
            "a conductor at Engine starter: negative",
            "a conductor at engine block: stud 1",
        ),
        "Modes in which something is no longer on or set": ("Starting",),
        "Events that go too": ("Cold start",),
        "Readings that go too": ("12.4 V at House",),
        "Observations that go too": ("engine block: corrosion",),
        "Photos that stay, but no longer show it": ("photo “Bus”",),
    }
    of_bus = _told(boat, "bus", "pilot", "plotter", "bus-block", cables_too=True)
    assert of_bus["Conductors that go too"][-1] == "a conductor: Plotter: negative – loose end"
    assert len(of_bus["Conductors that go too"]) == 4
    assert of_bus["Assumptions that go too"] == ("1 set for it",)
    assert of_bus["Data links that go too"] == ("Two", "Three")


def test_nothing_ticked_and_too_much_are_refused() -> None:
    with pytest.raises(EditError, match="nothing is ticked"):
        duplicate_edit(BOAT, of("gone"), REQUEST)
    with pytest.raises(EditError, match="nothing is ticked"):
        removal_edit(BOAT, of(), cables_too=True)
    many = tuple(electronics(f"load{n}", f"Load {n}", 5.0) for n in range(MOST_EDITS + 1))
    wide = BOAT.model_copy(update={"parts": (*BOAT.parts, *many)})
    with pytest.raises(EditError, match="too much"):
        removal_edit(wide, Ticked(many, ()), cables_too=False)


def test_an_acceptance_of_a_part_is_told_when_the_part_goes() -> None:
    boat = read_boat(boat_bytes(BOAT))
    accepted = {
        "code": "uncounted",
        "subjects": ("bus", "stud-1"),
        "severity": "advice",
        "by": "A",
        "reason": "b",
    }
    boat = boat.model_validate({**boat.model_dump(), "accepted": (accepted,)})
    told = _told(boat, "bus", cables_too=True)

    assert told["Findings no longer accepted"] == ("1 accepted with a reason",)


@pytest.mark.parametrize(
    ("name", "taken", "new"),
    [
        ("Light", [], "Light"),
        ("Light", ["light"], "Light 2"),
        ("Light 2", ["Light", "light 2", "Light 3"], "Light 4"),
        ("12", ["12"], "12 2"),
        ("x" * 120, ["x" * 120], "x" * 118 + " 2"),
    ],
)
def test_a_name_that_is_taken_gets_the_next_number(name: str, taken: list[str], new: str) -> None:
    assert next_name(name, taken) == new


def test_a_cable_whose_other_core_stays_is_not_copied() -> None:
    second = wire("pilot-w", "pilot.wake", "bus.stud-2").model_copy(update={"cable": "w7"})
    boat = BOAT.model_copy(update={"conductors": (*BOAT.conductors, second)})
    after = apply(boat, duplicate_edit(boat, ticked(boat, ["pilot-n"]), REQUEST))

    assert [cable.number for cable in after.cables] == ["W7"]
    assert after.conductors[-1].cable is None

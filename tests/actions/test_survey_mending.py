"""A row of a survey changed in place: every change of a row gives the boat whose row says just that."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import JsonValue

from server.actions.survey_list import Writing, plain
from server.actions.survey_mending import mended
from server.actions.survey_rows import NAMES, SurveyRow
from server.boat.boat import Boat
from server.boat.conductors import Conductor, Joint
from server.boat.constructors import at, fuse
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import AddConductor, ChangeValue, SetLength, Several, apply
from server.boat.parts import Fuse
from server.boat.references import broken_references
from server.boat.value import Span
from tests.actions.test_survey_rows import HULL, ROW, put

FULL = replace(ROW, colour="red", what="Feed", note="warm")


def wire_of(boat: Boat) -> Conductor:
    (wire,) = (one for one in boat.conductors if one.kind == "wire")
    return wire


def after(boat: Boat, row: SurveyRow, wire: Conductor | None = None) -> Boat:
    """The boat with its wire's row changed."""
    read = mended(boat, wire or wire_of(boat), row)
    assert not read.errors
    return apply(boat, Several(edits=read.edits, label="x")) if read.edits else boat


def told(boat: Boat) -> SurveyRow:
    return Writing(boat).row(wire_of(boat))


CELLS = st.fixed_dictionaries(
    {
        "number": st.sampled_from(["", "7", "12A"]),
        "tail": st.sampled_from(["", "Battery: positive", "Bus: stud 1", "Bus: stud 2", "behind the tank"]),
        "head": st.sampled_from(["", "Battery: negative", "Bus: stud 3", "somewhere"]),
        "size": st.sampled_from(["", "35 mm²", "10 AWG"]),
        "length": st.sampled_from(["", "2.5", "about 3", "2 to 4"]),
        "fuse": st.sampled_from(["", "100", "7.5"]),
        "colour": st.sampled_from(["", "red"]),
        "what": st.sampled_from(["", "Feed"]),
        "note": st.sampled_from(["", "warm"]),
    }
)


@settings(max_examples=200, deadline=None)
@given(CELLS, CELLS)
def test_a_changed_row_says_what_was_asked_and_is_as_if_it_had_been_put_in_so(
    first: dict[str, str], second: dict[str, str]
) -> None:
    begun = put(HULL, SurveyRow(**first))
    boat = after(begun, SurveyRow(**second))
    fresh = put(HULL, SurveyRow(**second))

    assert told(boat) == SurveyRow(**second)
    assert broken_references(boat) == ()
    assert read_boat(boat_bytes(boat)) == boat
    assert [one.kind for one in boat.parts] == [one.kind for one in fresh.parts]
    assert len(boat.conductors) == len(fresh.conductors)
    assert after(boat, SurveyRow(**second)) is boat


@pytest.mark.parametrize("name", NAMES)
def test_one_changed_cell_leaves_all_others_and_what_no_cell_shows(name: str) -> None:
    begun = put(HULL, FULL)
    wire = wire_of(begun)
    begun = apply(begun, ChangeValue(id=wire.id, field="bundle", value="loom"))
    begun = apply(begun, ChangeValue(id=wire.id, field="head_joint", value={"style": "cage"}))
    new = {"number": "8", "tail": "Bus: stud 4", "head": "Bus: stud 5", "size": "10 AWG", "length": "9"}
    row = replace(FULL, **{name: new.get(name, "50" if name == "fuse" else "other")})
    boat = after(begun, row)

    assert told(boat) == row
    assert wire_of(boat).id == wire.id
    assert (wire_of(boat).bundle, wire_of(boat).head_joint) == ("loom", Joint(style="cage"))


def test_what_was_not_touched_is_not_read_again() -> None:
    begun = put(HULL, FULL)
    wire = wire_of(begun)
    assert wire.size is not None
    odd: JsonValue = {"label": "Old cloth 7/18", "area_mm2": 12.0, "resistance_ohm_per_m": 0.0015}
    begun = apply(begun, ChangeValue(id=wire.id, field="size", value=odd))
    begun = apply(
        begun, SetLength(conductor=wire.id, length_m=Span(low=1.0, high=3.0, value=1.5), basis="carried-over")
    )
    boat = after(begun, replace(told(begun), what="Other"))

    assert wire_of(boat).size == wire_of(begun).size
    assert (wire_of(boat).length_m, wire_of(boat).length_basis) == (wire_of(begun).length_m, "carried-over")


def test_another_end_is_no_more_in_the_stack_it_was_in() -> None:
    begun = put(HULL, replace(FULL, fuse=""))
    wire = wire_of(begun)
    for side in ("tail", "head"):
        joint: JsonValue = {"style": "crimped-ring", "stack_position": 2}
        begun = apply(begun, ChangeValue(id=wire.id, field=f"{side}_joint", value=joint))
    boat = after(begun, replace(told(begun), head="Bus: stud 8"))

    assert wire_of(boat).head_joint == Joint(style="crimped-ring")
    assert wire_of(boat).tail_joint == Joint(style="crimped-ring", stack_position=2)


def test_a_fuse_that_says_more_than_its_rating_stays_a_part_of_its_own() -> None:
    begun = put(HULL, FULL)
    own = next(one for one in begun.parts if isinstance(one, Fuse))
    begun = apply(begun, ChangeValue(id=own.id, field="name", value="Windlass fuse"))
    row = told(begun)
    boat = after(begun, replace(row, length="9"))

    assert row.fuse == ""
    assert row.tail == "Windlass fuse: load side"
    assert [one.name for one in boat.parts if isinstance(one, Fuse)] == ["Windlass fuse"]
    assert told(boat) == replace(row, length="9")


def test_a_wire_without_a_cable_gets_one_with_its_first_number() -> None:
    bare = Conductor(id="bare", kind="wire", tail=at("battery.positive"), head=at("bus.stud-1"))
    begun = apply(HULL, AddConductor(conductor=bare))
    boat = after(begun, SurveyRow(tail="Battery: positive", head="Bus: stud 1", number="4"))

    assert [one.number for one in boat.cables] == ["4"]
    assert told(boat).number == "4"


def test_an_end_that_has_come_aboard_since_is_found_by_what_was_written_of_it() -> None:
    begun = put(HULL, SurveyRow(number="1", tail="Lamp fuse line", fuse="5", what="Lamp"))
    begun = begun.model_copy(update={"parts": (*begun.parts, fuse("lamp", "Lamp fuse", 5.0))})
    boat = after(begun, told(begun))

    assert told(boat) == SurveyRow(number="1", tail="Lamp fuse: line side", fuse="5", what="Lamp")
    assert wire_of(boat).notes is None


def test_a_row_that_cannot_be_read_asks_for_nothing() -> None:
    boat = put(HULL, FULL)
    read = mended(boat, wire_of(boat), replace(plain(FULL), length="long"))

    assert list(read.errors) == ["length"]
    assert not read.edits


def test_a_number_that_another_cable_has_is_told_but_not_its_own() -> None:
    boat = put(HULL, SurveyRow(number="1", what="a"), SurveyRow(number="2", what="b"))
    wire = boat.conductors[0]

    assert not mended(boat, wire, SurveyRow(number="1", what="c")).told
    assert "A cable 2 is there already" in mended(boat, wire, SurveyRow(number="2", what="a")).told[0]

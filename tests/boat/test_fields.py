"""Changing one value by its path."""

import pytest
from pydantic import JsonValue

from server.boat.boat import Boat
from server.boat.edits import ChangeValue, EditError, apply
from tests.boat.small_boat import BOAT, conductor


def value(boat: Boat, name: str, *path: str | int) -> object:
    here: object = next(item for item in (*boat.parts, *boat.conductors) if item.id == name).model_dump()
    for step in path:
        here = here[step]  # type: ignore[index]
    return here


def test_a_whole_number_becomes_a_figure_and_null_takes_it_out() -> None:
    boat = apply(BOAT, ChangeValue(id="pilot", field="inputs.0.minimum_voltage_v", value=10))

    assert value(boat, "pilot", "inputs", 0, "minimum_voltage_v") == 10.0
    gone = apply(boat, ChangeValue(id="pilot", field="inputs.0.minimum_voltage_v"))
    assert value(gone, "pilot", "inputs", 0, "minimum_voltage_v") is None
    again = apply(gone, ChangeValue(id="pilot", field="inputs.0.minimum_voltage_v"))
    assert again.parts == gone.parts


def test_a_range_and_a_value_inside_something_not_yet_there() -> None:
    span: dict[str, JsonValue] = {"low": 1, "high": 2}
    ranged = apply(BOAT, ChangeValue(id="pilot-a", field="tail_joint.resistance_ohm", value=span))
    ended = apply(BOAT, ChangeValue(field="earthing.system", value="insulated"))

    assert value(ranged, "pilot-a", "tail_joint", "resistance_ohm", "high") == 2.0
    assert ended.earthing is not None
    assert ended.earthing.system == "insulated"
    assert ended.parts is BOAT.parts


def test_a_list_grows_at_its_end_and_shrinks_by_null() -> None:
    way: dict[str, JsonValue] = {"id": "w3", "name": "Third"}
    grown = apply(BOAT, ChangeValue(id="panel", field="sections.0.ways.2", value=way))
    shrunk = apply(grown, ChangeValue(id="panel", field="sections.0.ways.2"))

    assert value(grown, "panel", "sections", 0, "ways", 2, "name") == "Third"
    assert shrunk.parts == BOAT.parts


def test_the_boats_own_values_change_too() -> None:
    assert apply(BOAT, ChangeValue(field="nominal_voltage_v", value=24)).nominal_voltage_v == 24.0
    assert apply(BOAT, ChangeValue(field="practice.use", value="commercial")).practice.use == "commercial"
    assert apply(BOAT, ChangeValue(field="notes", value="On the hard")).notes == "On the hard"


@pytest.mark.parametrize(
    ("name", "field", "new", "named", "word"),
    [
        ("pilot", "inputs.0.minimum_voltage_v", -1, "inputs.0.minimum_voltage_v", "greater than or equal"),
        ("pilot", "inputs.0.minimum_voltage_v", "9", "inputs.0.minimum_voltage_v", "valid number"),
        (
            "pilot",
            "inputs.0.minimum_voltage_v",
            {"low": 3, "high": 1},
            "inputs.0.minimum_voltage_v",
            "a range",
        ),
        ("pilot", "inputs.0.minimum_voltage_v", {"low": 3}, "inputs.0.minimum_voltage_v.high", "missing"),
        ("pilot", "inputs.0.demand.power_w", None, "inputs.0.demand.power_w", "missing"),
        ("pilot", "inputs.0.demand.kind", "magic", "inputs.0.demand.kind", "not known"),
        ("pilot", "inputs.0.demand.kind", None, "inputs.0.demand.kind", "missing"),
        ("pilot", "inputs.2.id", "x", "inputs.2", "no such place"),
        ("pilot", "inputs.x", "x", "inputs.x", "no such place"),
        ("pilot", "inputs.3", {}, "inputs.3", "no such place"),
        ("pilot", "name.first", "x", "name.first", "no such place"),
        ("pilot", "name.first.letter", "x", "name.first", "no such place"),
        ("pilot", "inputs.0.returns_to", "main", "inputs.0.returns_to", "none of the negatives"),
        ("pilot", "wings", 2, "wings", "not known"),
        ("pilot", "id", "other", "id", "never changes"),
        ("pilot", "kind", "fuse", "kind", "never changes"),
        ("pilot", "name", "", "name", "at least 1"),
        ("pilot", "inputs.0.id", "feed", "inputs.0.id", "no terminal “main”"),
        ("bus", "studs", 0, "studs", "greater than or equal"),
        ("block", "studs", 1, "studs", "no terminal “stud-2”"),
        ("alt", "engine", "ghost", "engine", "ghost"),
        ("ghost", "name", "x", "id", "ghost"),
        (None, "parts", [], "parts", "no value of the boat"),
        (None, "version", 2, "version", "never changes"),
        (None, "practice.use", "x", "practice.use", "recreational"),
        (None, "length_m", 0, "length_m", "greater than 0"),
    ],
)
def test_a_value_that_does_not_fit_names_the_field(
    name: str | None, field: str, new: JsonValue, named: str, word: str
) -> None:
    with pytest.raises(EditError) as error:
        apply(BOAT, ChangeValue(id=name, field=field, value=new))

    assert error.value.field == named
    assert word in error.value.message
    assert error.value.mend


def test_an_earlier_value_is_shared_where_only_another_thing_changed() -> None:
    boat = apply(BOAT, ChangeValue(id="pilot-a", field="colour", value="red"))

    assert boat.parts is BOAT.parts
    assert conductor(boat, "pilot-b") is conductor(BOAT, "pilot-b")

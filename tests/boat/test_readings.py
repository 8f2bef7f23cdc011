"""Readings kept, exchanged and taken off, with every mention of them."""

import pytest

from server.boat.constructors import at
from server.boat.edits import EditError, PutReading, RemoveReading, apply, label
from server.boat.modes import Reading
from tests.boat.small_boat import BOAT

NEW = Reading(
    id="reading-new",
    name="At the bus",
    plus=at("house.positive"),
    minus=at("block.stud-1"),
    volts_v=10.9,
)


def test_a_reading_is_kept_and_one_of_its_id_gives_way() -> None:
    kept = apply(BOAT, PutReading(reading=NEW))
    again = apply(kept, PutReading(reading=NEW.model_copy(update={"volts_v": 11.1})))

    assert kept.readings[-1] == NEW
    assert [one.volts_v for one in again.readings if one.id == NEW.id] == [11.1]
    assert len(again.readings) == len(BOAT.readings) + 1
    assert label(BOAT, PutReading(reading=NEW)) == "Reading: At the bus, 10.9 V"


def test_a_reading_taken_off_is_named_by_no_conductor() -> None:
    wire = next(one for one in BOAT.conductors if one.kind == "wire")
    named = apply(BOAT, PutReading(reading=NEW)).model_copy(
        update={
            "conductors": tuple(
                one.model_copy(update={"reading": NEW.id}) if one is wire else one for one in BOAT.conductors
            )
        }
    )
    off = apply(named, RemoveReading(id=NEW.id))

    assert off.readings == BOAT.readings
    assert all(one.reading != NEW.id for one in off.conductors)
    assert label(named, RemoveReading(id=NEW.id)) == "Removed At the bus"


def test_a_reading_between_terminals_that_are_not_there_is_refused() -> None:
    wrong = NEW.model_copy(update={"plus": at("nobody.positive")})
    with pytest.raises(EditError) as refused:
        apply(BOAT, PutReading(reading=wrong))
    with pytest.raises(EditError):
        apply(BOAT, RemoveReading(id="never-taken"))

    assert refused.value.field == "reading.plus.part"

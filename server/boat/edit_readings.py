"""Edits of readings: what a meter showed, kept or taken off."""

from server.boat.boat import Boat
from server.boat.edit_values import PutReading, RemoveReading
from server.boat.forgetting import without
from server.boat.listed import find, with_added, with_changed


def put_reading(boat: Boat, edit: PutReading) -> Boat:
    """Keep a reading; an older one of its id gives way."""
    if any(one.id == edit.reading.id for one in boat.readings):
        return with_changed(boat, "readings", edit.reading)
    return with_added(boat, "readings", edit.reading, "reading.id")


def remove_reading(boat: Boat, edit: RemoveReading) -> Boat:
    """Take a reading off; conductors no longer name it."""
    return without(boat, [find(boat, edit.id, "id", ("readings",)).item.id])

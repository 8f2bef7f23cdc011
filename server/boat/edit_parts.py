"""Edits that add, remove, duplicate and rename parts, conductors and cables."""

from server.boat.boat import Boat
from server.boat.edit_error import EditError
from server.boat.edit_values import (
    AddCable,
    AddConductor,
    AddPart,
    DuplicateConductor,
    DuplicatePart,
    RemoveCable,
    RemoveConductor,
    RemovePart,
    Rename,
    SetRowOrder,
)
from server.boat.forgetting import without
from server.boat.listed import Group, conductor_of, find, part_of, with_added, with_changed

_NAMED_BY: dict[Group, str | None] = {
    "cables": "number",
    "observations": None,
    "not_seen": "what",
    "photos": "caption",
}


def add_part(boat: Boat, edit: AddPart) -> Boat:
    """Add a part."""
    return with_added(boat, "parts", edit.part, "part.id")


def remove_part(boat: Boat, edit: RemovePart) -> Boat:
    """Remove a part and every mention of it; conductor ends on it become loose."""
    return without(boat, [part_of(boat, edit.id, "id").id])


def duplicate_part(boat: Boat, edit: DuplicatePart) -> Boat:
    """A second part like one that is there, without its label, as that is unique aboard."""
    twin = {"id": edit.new_id, "name": edit.name, "tag": None}
    return with_added(boat, "parts", part_of(boat, edit.id, "id").model_copy(update=twin), "new_id")


def add_conductor(boat: Boat, edit: AddConductor) -> Boat:
    """Add a conductor."""
    return with_added(boat, "conductors", edit.conductor, "conductor.id")


def remove_conductor(boat: Boat, edit: RemoveConductor) -> Boat:
    """Remove a conductor and every mention of it."""
    return without(boat, [conductor_of(boat, edit.id, "id").id])


def duplicate_conductor(boat: Boat, edit: DuplicateConductor) -> Boat:
    """A second conductor beside one that is there; it is in no cable and nobody has measured it."""
    old = conductor_of(boat, edit.id, "id")
    twin = {
        "id": edit.new_id,
        "name": edit.name,
        "cable": None,
        "core": None,
        "measured_resistance_ohm": None,
        "reading": None,
        "trace": None,
    }
    return with_added(boat, "conductors", old.model_copy(update=twin), "new_id")


def add_cable(boat: Boat, edit: AddCable) -> Boat:
    """Add a cable."""
    return with_added(boat, "cables", edit.cable, "cable.id")


def remove_cable(boat: Boat, edit: RemoveCable) -> Boat:
    """Remove a cable; its conductors stay as single ones."""
    return without(boat, [find(boat, edit.id, "id", ("cables",)).item.id])


def set_row_order(boat: Boat, edit: SetRowOrder) -> Boat:
    """Keep the rows of the picture in this order."""
    return boat.model_copy(update={"row_order": edit.parts})


def rename(boat: Boat, edit: Rename) -> Boat:
    """Give the boat, or one listed thing, another name."""
    if edit.id is None:
        return boat.model_copy(update={"name": edit.name})
    found = find(boat, edit.id)
    field = _NAMED_BY.get(found.group, "name")
    if field is None:
        raise EditError("id", "an observation has no name.", "Change its note instead.")
    return with_changed(boat, found.group, found.item.model_copy(update={field: edit.name}))

"""Many additions, or many removals, in one step: each alone would read the whole boat again."""

from collections.abc import Iterable
from typing import Any, Literal

from server.boat.boat import Boat
from server.boat.caps import broken_caps
from server.boat.edit_values import (
    AddCable,
    AddConductor,
    AddPart,
    RemoveCable,
    RemoveConductor,
    RemovePart,
    SingleEdit,
)
from server.boat.forgetting import without
from server.boat.listed import GROUPS, Group
from server.boat.references import broken_references

Way = Literal["add", "remove"]

_ADDED_TO: dict[type, tuple[Group, str]] = {
    AddPart: ("parts", "part"),
    AddConductor: ("conductors", "conductor"),
    AddCable: ("cables", "cable"),
}
_REMOVED_FROM: dict[type, Group] = {
    RemovePart: "parts",
    RemoveConductor: "conductors",
    RemoveCable: "cables",
}


def way_of(edit: SingleEdit) -> Way | None:
    """How an edit goes together with those like it; None for one that stands alone."""
    if type(edit) in _ADDED_TO:
        return "add"
    return "remove" if type(edit) in _REMOVED_FROM else None


def together(boat: Boat, way: Way, edits: Iterable[Any]) -> Boat | None:
    """The boat after all of them, the same as one after the other; None where one of them does not fit."""
    return _added(boat, edits) if way == "add" else _removed(boat, edits)


def _added(boat: Boat, edits: Iterable[Any]) -> Boat | None:
    new: dict[Group, list[Any]] = {group: [] for group, _ in _ADDED_TO.values()}
    ids = [item.id for group in GROUPS for item in getattr(boat, group)]
    for edit in edits:
        group, brought = _ADDED_TO[type(edit)]
        new[group].append(getattr(edit, brought))
    ids += [item.id for items in new.values() for item in items]
    after = boat.model_copy(update={g: (*getattr(boat, g), *items) for g, items in new.items() if items})
    fits = len(set(ids)) == len(ids) and not broken_references(after) and not broken_caps(after)
    return after if fits else None


def _removed(boat: Boat, edits: Iterable[Any]) -> Boat | None:
    aboard = {(group, item.id) for group in _REMOVED_FROM.values() for item in getattr(boat, group)}
    meant = [(_REMOVED_FROM[type(edit)], edit.id) for edit in edits]
    fits = len(set(meant)) == len(meant) and aboard.issuperset(meant)
    return without(boat, (name for _, name in meant)) if fits else None

"""Edits of the plan: decks, waypoints, runs and zones, and where parts are put."""

from typing import Any

from server.boat.boat import Boat
from server.boat.edit_values import PlacePart, PutDeck, PutRun, PutUnderlay, PutWaypoint, PutZone, TakeOffPlan
from server.boat.forgetting import without
from server.boat.listed import Group, find, part_of, with_added, with_changed

_ON_PLAN: tuple[Group, ...] = ("waypoints", "runs", "zones", "decks")


def put_waypoint(boat: Boat, edit: PutWaypoint) -> Boat:
    """Add a waypoint, or give the one of this id another name and place."""
    return _put(boat, "waypoints", edit.waypoint, "waypoint.id")


def put_run(boat: Boat, edit: PutRun) -> Boat:
    """Add a run, or give the one of this id other figures."""
    return _put(boat, "runs", edit.run, "run.id")


def put_zone(boat: Boat, edit: PutZone) -> Boat:
    """Add a zone, or give the one of this id other properties."""
    return _put(boat, "zones", edit.zone, "zone.id")


def put_deck(boat: Boat, edit: PutDeck) -> Boat:
    """Add a deck, or give the one of this id another name and floor."""
    return _put(boat, "decks", edit.deck, "deck.id")


def take_off_plan(boat: Boat, edit: TakeOffPlan) -> Boat:
    """Remove a waypoint with the runs that end there, a run, a zone or a deck, and every mention of it."""
    return without(boat, [find(boat, edit.id, "id", _ON_PLAN).item.id])


def put_underlay(boat: Boat, edit: PutUnderlay) -> Boat:
    """Lay a drawing under the plan, or none."""
    return boat.model_copy(update={"underlay": edit.underlay})


def place_part(boat: Boat, edit: PlacePart) -> Boat:
    """Put a part at a waypoint, on the plan, or nowhere in particular."""
    part = part_of(boat, edit.part, "part")
    if edit.waypoint is not None:
        find(boat, edit.waypoint, "waypoint", ("waypoints",))
    if edit.deck is not None:
        find(boat, edit.deck, "deck", ("decks",))
    changes = {
        "place": edit.place,
        "waypoint": edit.waypoint,
        "from_waypoint_m": edit.from_waypoint_m,
        "deck": edit.deck,
    }
    return with_changed(boat, "parts", part.model_copy(update=changes))


def _put(boat: Boat, group: Group, item: Any, field: str) -> Boat:  # noqa: ANN401 - an item of the group
    if any(old.id == item.id for old in getattr(boat, group)):
        return with_changed(boat, group, item)
    return with_added(boat, group, item, field)

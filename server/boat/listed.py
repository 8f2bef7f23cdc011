"""Finding, replacing, adding and dropping the listed things of a boat, which all have an id."""

from collections.abc import Iterable
from typing import Any, Literal, NamedTuple

from server.boat.boat import Boat, DataLink, Island, NotSeen, Zone
from server.boat.conductors import Cable, Conductor
from server.boat.decks import Deck
from server.boat.edit_error import EditError
from server.boat.modes import Event, Mode, Observation, Reading
from server.boat.parts import AnyPart
from server.boat.photos import Photo
from server.boat.runs import Run, Waypoint

Group = Literal[
    "islands",
    "zones",
    "decks",
    "waypoints",
    "runs",
    "parts",
    "cables",
    "conductors",
    "links",
    "modes",
    "events",
    "readings",
    "observations",
    "not_seen",
    "photos",
]
GROUPS: tuple[Group, ...] = (
    "islands",
    "zones",
    "decks",
    "waypoints",
    "runs",
    "parts",
    "cables",
    "conductors",
    "links",
    "modes",
    "events",
    "readings",
    "observations",
    "not_seen",
    "photos",
)
Item = (
    Island
    | Zone
    | Waypoint
    | Deck
    | Run
    | AnyPart
    | Cable
    | Conductor
    | DataLink
    | Mode
    | Event
    | Reading
    | Observation
    | NotSeen
    | Photo
)


class Found(NamedTuple):
    """A listed thing and where it stands."""

    group: Group
    place: int
    item: Any


def find(boat: Boat, name: str, field: str = "id", groups: Iterable[Group] = GROUPS) -> Found:
    """The thing with this id.

    Raises:
        EditError: naming ``field``, where no such thing is listed in the groups.
    """
    groups = tuple(groups)
    for group in groups:
        for index, item in enumerate(getattr(boat, group)):
            if item.id == name:
                return Found(group, index, item)
    noun = _NOUNS[groups[0]] if len(groups) == 1 else "thing"
    raise EditError(field, f"there is no {noun} “{name}”.", "Name one that exists; it may have been removed.")


def part_of(boat: Boat, name: str, field: str) -> AnyPart:
    """The part with this id, or an ``EditError`` that names the field."""
    part: AnyPart = find(boat, name, field, ("parts",)).item
    return part


def conductor_of(boat: Boat, name: str, field: str = "conductor") -> Conductor:
    """The conductor with this id, or an ``EditError`` that names the field."""
    conductor: Conductor = find(boat, name, field, ("conductors",)).item
    return conductor


def mode_of(boat: Boat, name: str, field: str = "mode") -> Mode:
    """The mode with this id, or an ``EditError`` that names the field."""
    mode: Mode = find(boat, name, field, ("modes",)).item
    return mode


def with_changed(boat: Boat, group: Group, item: Item) -> Boat:
    """The boat with one listed thing exchanged for another of the same id; all else is shared."""
    items = getattr(boat, group)
    return boat.model_copy(update={group: tuple(item if old.id == item.id else old for old in items)})


def with_added(boat: Boat, group: Group, item: Item, field: str) -> Boat:
    """The boat with one more thing at the end of a list.

    Raises:
        EditError: where its id is used already.
    """
    if any(old.id == item.id for name in GROUPS for old in getattr(boat, name)):
        raise EditError(field, f"the id “{item.id}” is used already.", "Give it an id of its own.")
    return boat.model_copy(update={group: (*getattr(boat, group), item)})


_NOUNS: dict[Group, str] = {
    "islands": "island",
    "zones": "zone",
    "decks": "deck",
    "waypoints": "waypoint",
    "runs": "run",
    "parts": "part",
    "cables": "cable",
    "conductors": "conductor",
    "links": "data link",
    "modes": "mode",
    "events": "event",
    "readings": "reading",
    "observations": "observation",
    "not_seen": "note of something not seen",
    "photos": "photo",
}

"""The yard's own parts: saved from a boat with their ratings, put into others, renamed, removed."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter
from pydantic_core import from_json, to_json

from server.actions.lists import part_figures
from server.actions.yard import Yard, open_boat
from server.boat.catalogue import CATALOGUE, Entry
from server.boat.catalogue.entry import Fields
from server.boat.edit_wiring import cut_ends
from server.boat.listed import part_of
from server.boat.parts import AnyPart, Inverter, Load, Outboard
from server.store.values import OwnPartRow

GROUP = "Your own parts"
MOST_OWN = 500
_PART: TypeAdapter[AnyPart] = TypeAdapter(AnyPart)
_OF_ONE_BOAT = frozenset(
    (
        *("id", "name", "tag", "notes", "trace"),
        *("place", "waypoint", "from_waypoint_m", "deck", "zone", "island"),
        *("engine", "bank", "state_of_charge", "temperature_c", "age_factor"),
    )
)
"""What a part says of where it stands and how it fares aboard: it stays with the boat."""


class LibraryFullError(ValueError):
    """The library holds as many parts as it may."""

    def __init__(self) -> None:
        """Say how many those are."""
        super().__init__(f"There may be {MOST_OWN} own parts at most: remove some first.")


@dataclass(frozen=True)
class OwnPart:
    """One own part with what it is."""

    id: str
    name: str
    part: AnyPart
    content: str

    @property
    def kind(self) -> str:
        """The kind of part, in words."""
        return self.part.kind.replace("-", " ")

    @property
    def figures(self) -> str:
        """Its ratings in one line."""
        return part_figures(self.part)


def own_parts(yard: Yard) -> tuple[OwnPart, ...]:
    """All of them, by name."""
    return tuple(
        OwnPart(row.id, row.name, part_in(row.content, row.name), row.content)
        for row in yard.store.own_parts()
    )


def part_in(content: str, name: str) -> AnyPart:
    """The part that a stored text describes.

    Raises:
        ValidationError: it describes none.
    """
    fields: dict[str, Any] = from_json(content)
    return _PART.validate_json(to_json({"id": "own", **fields, "name": name}))


def content_of(part: AnyPart) -> str:
    """A part without what belongs to one boat, as it is stored."""
    return part.model_dump_json(exclude_none=True, exclude=set(_OF_ONE_BOAT))


def save(yard: Yard, boat_id: str, part: str, name: str, request_id: str) -> OwnPartRow:
    """Keep a part of a boat under the yard's own name.

    Raises:
        EditError: the boat has no such part.
        UnknownBoatError: there is no such boat.
        NameTakenError: another own part has this name.
        LibraryFullError: there are too many already.
        RequestReusedError: the key was used for another part.
    """
    found = part_of(open_boat(yard, boat_id).boat, part, "part")
    require_room(yard, 1)
    return yard.store.add_own_part(name=name, content=content_of(found), request_id=request_id)


def require_room(yard: Yard, more: int) -> None:
    """Let only so many parts in as there may be.

    Raises:
        LibraryFullError: there would be too many.
    """
    if len(yard.store.own_parts()) + more > MOST_OWN:
        raise LibraryFullError


def rename(yard: Yard, part_id: str, name: str) -> None:
    """Give an own part another name.

    Raises:
        UnknownPartError, NameTakenError: there is none; the name is another one's.
    """
    yard.store.rename_own_part(part_id, name)


def remove(yard: Yard, part_id: str) -> None:
    """Take an own part off the list; boats keep what was put in.

    Raises:
        UnknownPartError: there is none of this id.
    """
    yard.store.remove_own_part(part_id)


def catalogue(yard: Yard) -> Mapping[str, Entry]:
    """The catalogue with the yard's own parts at its end, each asking for a name alone."""
    return {**CATALOGUE, **{one.word: one for one in map(_entry, own_parts(yard))}}


def _entry(own: OwnPart) -> Entry:
    fields: Fields = from_json(own.content)
    return Entry(
        word=f"own-{own.id}",
        title=own.name,
        group=GROUP,
        questions=(),
        fields=lambda _: fields,
        has_leads=isinstance(own.part, Load | Inverter | Outboard),
        cuts_in=cut_ends(own.part) is not None,
    )

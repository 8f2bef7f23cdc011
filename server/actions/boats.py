"""Boats as a whole: put in, list, duplicate, rename, delete, take in and give out."""

import re
import secrets
from dataclasses import dataclass

from server.actions.yard import Yard, document
from server.boat.boat import Boat
from server.boat.caps import broken_caps
from server.boat.document import DocumentError, boat_bytes, read_boat
from server.bundled import bundled
from server.store.values import BoatRow

TEACHING_BOAT = "sloop"
_SEED_NAME = re.compile(r"^\d+-([a-z][a-z0-9-]*)$")


@dataclass(frozen=True)
class Taken:
    """A boat taken in from a file."""

    row: BoatRow
    boat: Boat


def fresh_request_id() -> str:
    """A key for one change: sent again, it is done once."""
    return secrets.token_hex(16)


def put_in_demo_boats(yard: Yard) -> tuple[str, ...]:
    """Put the demo boats in, as surveyed, each once; the ids of all of them, in their order.

    A demo boat that was deleted or changed stays so.
    """
    kept = {row.id for row in (*yard.store.boats(), *yard.store.deleted_boats())}
    ids = []
    # In reverse, so that the first stands last changed, and so first in the list.
    for path in sorted(bundled("seed_boats").glob("*.json"), reverse=True):
        named = _SEED_NAME.match(path.stem)
        if named is None:
            continue
        boat_id = named[1]
        ids.append(boat_id)
        if boat_id in kept:
            continue
        body = path.read_bytes()
        yard.store.create(
            body=body,
            name=read_boat(body).name,
            role="surveyed",
            author="Tapchart",
            request_id=f"demo-{boat_id}",
            label="Demo boat",
            boat_id=boat_id,
        )
    return tuple(reversed(ids))


def all_boats(yard: Yard) -> tuple[BoatRow, ...]:
    """The boats that are not deleted, last changed first."""
    return yard.store.boats()


def row(yard: Yard, boat_id: str) -> BoatRow:
    """One boat as the list shows it.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    return yard.store.boat(boat_id)


def deleted_boats(yard: Yard) -> tuple[BoatRow, ...]:
    """The boats that can be brought back."""
    return yard.store.deleted_boats()


def teaching_boat(yard: Yard) -> str | None:
    """The boat a first visit opens: the teaching boat where it is, else none."""
    ids = [row.id for row in yard.store.boats()]
    return TEACHING_BOAT if TEACHING_BOAT in ids else None


def duplicate(yard: Yard, boat_id: str, name: str, request_id: str) -> BoatRow:
    """A copy of a boat as it stands, to go on with.

    Raises:
        UnknownBoatError, DeletedBoatError: there is nothing to copy.
    """
    return yard.store.duplicate(
        boat_id, name=name, role="working", author=yard.author, request_id=request_id, label="Duplicated"
    )


def delete(yard: Yard, boat_id: str) -> BoatRow:
    """Put a boat away; it can be brought back.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    return yard.store.delete(boat_id)


def restore(yard: Yard, boat_id: str) -> BoatRow:
    """Bring a deleted boat back.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    return yard.store.restore(boat_id)


def take_in(yard: Yard, body: bytes, request_id: str) -> Taken:
    """Keep a boat from a file.

    Raises:
        DocumentError: the file is no boat; every problem is placed and explained.
    """
    boat = read_boat(body)
    if problems := broken_caps(boat):
        raise DocumentError(problems)
    row = yard.store.create(
        # The canonical form, so that exporting and importing again gives the same bytes.
        body=boat_bytes(boat),
        name=boat.name,
        role="surveyed",
        author=yard.author,
        request_id=request_id,
        label="Imported",
    )
    return Taken(row, boat)


def export(yard: Yard, boat_id: str) -> tuple[str, bytes]:
    """A file name and the document's bytes, exactly as they are kept.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    revision = yard.store.head(boat_id)
    stem = re.sub(r"[^a-z0-9]+", "-", document(yard, revision).name.casefold()).strip("-") or "boat"
    return f"{stem}.boat.json", revision.body

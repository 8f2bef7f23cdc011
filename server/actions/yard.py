"""The yard: the boats in one data folder, and what was last worked out about them."""

from dataclasses import dataclass
from pathlib import Path

from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.store.errors import UnknownBoatError
from server.store.repository import Repository
from server.store.values import BoatRow, Revision, TakeBack

__all__ = [
    "AUTHOR",
    "BoatRow",
    "OpenBoat",
    "Revision",
    "Yard",
    "document",
    "open_boat",
    "open_yard",
    "revision_of",
]

AUTHOR = "this device"
"""Who edits where nobody has given a name."""


@dataclass(frozen=True, kw_only=True)
class Yard(Results):
    """The store of boats, beside what was last worked out about them; ``author`` is who works on them."""

    store: Repository
    demo: bool = False
    author: str = AUTHOR


@dataclass(frozen=True)
class OpenBoat:
    """A boat as it stands at one revision."""

    id: str
    row: BoatRow
    revision: Revision
    boat: Boat
    undo: TakeBack | None
    redo: TakeBack | None

    @property
    def rev(self) -> int:
        """The number of the revision."""
        return self.revision.rev

    @property
    def sha(self) -> str:
        """The hash of the document's bytes."""
        return self.revision.sha


def open_yard(folder: Path, *, demo: bool = False) -> Yard:
    """The yard of a data folder; with ``demo`` the demo boats are put in where they are missing.

    Raises:
        StoreError: the folder cannot be used; the message says why.
    """
    from server.actions.boats import put_in_demo_boats

    yard = Yard(store=Repository.open(folder), demo=demo)
    if demo:
        put_in_demo_boats(yard)
    return yard


def open_boat(yard: Yard, boat_id: str) -> OpenBoat:
    """A boat as it stands now.

    Raises:
        UnknownBoatError: there is none of this id, or it is deleted.
    """
    row = yard.store.boat(boat_id)
    if row.deleted_us is not None:
        raise UnknownBoatError(f"{boat_id} is deleted")
    revision = revision_of(yard, boat_id, row.head)
    undo, redo = yard.take_backs.get(
        (boat_id, row.head),
        lambda: (yard.store.can_undo(boat_id, row.head), yard.store.can_redo(boat_id, row.head)),
    )
    return OpenBoat(boat_id, row, revision, document(yard, revision), undo, redo)


def revision_of(yard: Yard, boat_id: str, rev: int) -> Revision:
    """One revision of a boat: once made it never changes.

    Raises:
        UnknownBoatError, UnknownRevisionError: there is none.
    """
    return yard.revisions.get((boat_id, rev), lambda: yard.store.revision(boat_id, rev))


def document(yard: Yard, revision: Revision) -> Boat:
    """The document of a revision."""
    return yard.boats.get(revision.sha, lambda: read_boat(revision.body))

"""The yard: the boats in one data folder, and what was last worked out about them."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from server.actions.kept import Kept
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.store.errors import UnknownBoatError
from server.store.repository import Repository
from server.store.values import BoatRow, Revision, TakeBack

if TYPE_CHECKING:
    from server.boat.finding import Finding
    from server.drawing.svg import Svg
    from server.engine.answer import LoopStep, ModeAnswer, PickUp

__all__ = ["AUTHOR", "BoatRow", "OpenBoat", "Revision", "Yard", "document", "open_boat", "open_yard"]

AUTHOR = "this device"
"""Who edits, until people have names of their own."""

AnswerKey = tuple[str, str, str | None]


@dataclass(frozen=True)
class Yard:
    """The store with its caches; every cached value follows from the hash of a body alone."""

    store: Repository
    demo: bool = False
    boats: "Kept[str, Boat]" = field(default_factory=lambda: Kept(32))
    answers: "Kept[AnswerKey, ModeAnswer]" = field(default_factory=lambda: Kept(64))
    pick_ups: "Kept[tuple[str, str, str, str, str | None], PickUp]" = field(default_factory=lambda: Kept(64))
    loops: "Kept[tuple[str, str, str, str, str | None], tuple[LoopStep, ...]]" = field(
        default_factory=lambda: Kept(256)
    )
    worst: "Kept[str, tuple[str, str] | tuple[()]]" = field(default_factory=lambda: Kept(64))
    findings: "Kept[AnswerKey, tuple[Finding, ...]]" = field(default_factory=lambda: Kept(64))
    diagrams: "Kept[tuple[str | None, ...], Svg]" = field(default_factory=lambda: Kept(32))


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

    yard = Yard(Repository.open(folder), demo)
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
    revision = yard.store.head(boat_id)
    return OpenBoat(
        id=boat_id,
        row=row,
        revision=revision,
        boat=document(yard, revision),
        undo=yard.store.can_undo(boat_id),
        redo=yard.store.can_redo(boat_id),
    )


def document(yard: Yard, revision: Revision) -> Boat:
    """The document of a revision."""
    return yard.boats.get(revision.sha, lambda: read_boat(revision.body))

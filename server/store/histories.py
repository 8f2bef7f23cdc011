"""Boats and their revisions, as they are asked for."""

from server.store import reading, stepping
from server.store.opened import Opened
from server.store.values import BoatRow, Revision, RevisionEntry, TakeBack


class Histories(Opened):
    """Everything that reads boats and their revisions, without changing anything."""

    def boats(self) -> tuple[BoatRow, ...]:
        """All boats that are not deleted, last changed first."""
        with self._database.read() as connection:
            return reading.boat_rows(connection, are_deleted=False)

    def deleted_boats(self) -> tuple[BoatRow, ...]:
        """The boats that can be restored, last changed first."""
        with self._database.read() as connection:
            return reading.boat_rows(connection, are_deleted=True)

    def boat(self, boat_id: str) -> BoatRow:
        """One boat, deleted or not.

        Raises:
            UnknownBoatError: there is none of this id.
        """
        with self._database.read() as connection:
            return reading.boat_row(connection, boat_id)

    def head(self, boat_id: str) -> Revision:
        """The newest revision of a boat, deleted or not, with its body.

        Raises:
            UnknownBoatError: there is none of this id.
            CorruptBodyError: the stored bytes do not match their hash.
        """
        with self._database.read() as connection:
            return reading.with_body(connection, reading.entry_at(connection, boat_id, None))

    def revision(self, boat_id: str, rev: int) -> Revision:
        """One revision of a boat with its body.

        Raises:
            UnknownBoatError, UnknownRevisionError: there is none.
            CorruptBodyError: the stored bytes do not match their hash.
        """
        with self._database.read() as connection:
            return reading.with_body(connection, reading.entry(connection, boat_id, rev))

    def history(self, boat_id: str, after: int = 0) -> tuple[RevisionEntry, ...]:
        """Every revision later than `after`, oldest first, without bodies.

        Raises:
            UnknownBoatError: there is no such boat.
        """
        with self._database.read() as connection:
            last = reading.boat_row(connection, boat_id).head
            return reading.entries_between(connection, boat_id, after + 1, last)

    def can_undo(self, boat_id: str, rev: int | None = None) -> TakeBack | None:
        """What undo would take back at a revision (the newest by default); None if nothing.

        Raises:
            UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
        """
        with self._database.read() as connection:
            return stepping.next_undo(connection, reading.entry_at(connection, boat_id, rev))

    def can_redo(self, boat_id: str, rev: int | None = None) -> TakeBack | None:
        """What redo would bring back at a revision (the newest by default); None if nothing.

        Raises:
            UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
        """
        with self._database.read() as connection:
            return stepping.next_redo(connection, reading.entry_at(connection, boat_id, rev))

"""Boats and their histories: everything the rest of the program asks of the store.

A document is bytes and an edit is text, both made by the caller; neither is read here.
Every write names the request it answers, so that a request sent twice is done once.
"""

import secrets
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Self

from sqlalchemy import Connection

from server.store import checking, derived, reading, stepping
from server.store.backup import copy_database, faults_of
from server.store.database import RESERVE_BYTES, Database
from server.store.errors import NothingToRedoError, NothingToUndoError
from server.store.migration import STEPS, Steps, bring_up_to_date
from server.store.reading import body_sha
from server.store.tables import BOAT, BODY, REVISION
from server.store.values import BoatRow, CheckReport, Revision, RevisionEntry, Role, TakeBack
from server.store.writing import (
    Content,
    Request,
    add_boat,
    add_revision,
    done_before,
    living_boat,
    mark,
    put_body,
    require_storable,
    restored,
    stale,
)

DATABASE_NAME = "boats.sqlite3"


def system_clock_us() -> int:
    """Microseconds since 1970 in UTC, by the machine's clock."""
    return time.time_ns() // 1_000


def random_boat_id() -> str:
    """A fresh id: a letter, then hexadecimal digits."""
    return f"b{secrets.token_hex(10)}"


class Repository:
    """All boats of one data folder.

    Safe to use from many threads; writes take turns. One process at a time should own a folder.
    Beside what its docstring says, every method may raise `StoreBusyError`, `StoreDamagedError`
    or `StoreFailedError`, and every method that writes `StoreFullError`; then nothing was written.
    """

    def __init__(self, database: Database, clock_us: Callable[[], int], new_id: Callable[[], str]) -> None:
        """Stand on an open database whose tables are up to date; see `open`."""
        self._database = database
        self._clock_us = clock_us
        self._new_id = new_id

    @classmethod
    def open(
        cls,
        folder: Path,
        clock_us: Callable[[], int] = system_clock_us,
        new_id: Callable[[], str] = random_boat_id,
        steps: Steps = STEPS,
        reserve_bytes: int = RESERVE_BYTES,
    ) -> Self:
        """Open a data folder, creating or upgrading what is in it.

        Raises:
            NewerSchemaError: a newer version of this program wrote the folder.
            ForeignDatabaseError: the file in the folder is not ours.
            MigrationError: upgrading failed; the folder is as before.
            StoreSettingsError: the file system cannot keep writes safe.
        """
        folder.mkdir(parents=True, exist_ok=True)
        bring_up_to_date(folder / DATABASE_NAME, clock_us, steps)
        return cls(Database(folder / DATABASE_NAME, reserve_bytes), clock_us, new_id)

    def close(self) -> None:
        """Close the file; the repository is of no use afterwards."""
        self._database.close()

    # Reading

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
            return reading.with_body(connection, _entry_at(connection, boat_id, None))

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
            return stepping.next_undo(connection, _entry_at(connection, boat_id, rev))

    def can_redo(self, boat_id: str, rev: int | None = None) -> TakeBack | None:
        """What redo would bring back at a revision (the newest by default); None if nothing.

        Raises:
            UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
        """
        with self._database.read() as connection:
            return stepping.next_redo(connection, _entry_at(connection, boat_id, rev))

    # Writing

    def create(  # noqa: PLR0913  (each names one thing of the new boat)
        self,
        *,
        body: bytes,
        name: str,
        role: Role,
        author: str,
        request_id: str,
        label: str = "",
        boat_id: str | None = None,
    ) -> BoatRow:
        """Keep a new boat whose first revision is this body; a repeated request answers the same boat.

        Raises:
            BoatExistsError: `boat_id` was given and is taken.
            RequestReusedError: the request id was used for something else.
        """
        sha = body_sha(body)
        what = _sha_of("create", sha, name, role, author, label, boat_id)

        def given(connection: Connection) -> tuple[Content, None]:
            put_body(connection, sha, body)
            return Content(sha, body, name, label), None

        require_storable(name, role, author, request_id, label, boat_id)
        return self._new_boat(boat_id, role, Request(request_id, what, author), given)

    def duplicate(  # noqa: PLR0913  (each names one thing of the new boat)
        self,
        boat_id: str,
        *,
        name: str,
        role: Role,
        author: str,
        request_id: str,
        rev: int | None = None,
        label: str = "",
    ) -> BoatRow:
        """Keep a new boat that begins with a revision of another (the newest by default), byte for byte.

        Raises:
            UnknownBoatError, UnknownRevisionError: there is no such source.
            DeletedBoatError: the source is deleted.
            RequestReusedError: the request id was used for something else.
        """
        what = _sha_of("duplicate", boat_id, rev, name, role, author, label)

        def same(connection: Connection) -> tuple[Content, RevisionEntry]:
            living_boat(connection, boat_id)
            source = reading.with_body(connection, _entry_at(connection, boat_id, rev))
            return Content(source.sha, source.body, name, label), source

        require_storable(name, role, author, request_id, label)
        return self._new_boat(None, role, Request(request_id, what, author), same)

    def append(  # noqa: PLR0913  (each names one thing of the new revision)
        self,
        boat_id: str,
        base_rev: int,
        *,
        body: bytes,
        edit: str,
        label: str,
        author: str,
        request_id: str,
        request_sha: str,
        name: str | None = None,
    ) -> Revision:
        """Add the revision that an edit of `base_rev` led to; a repeated request answers the same revision.

        `name` is the boat's name from now on, if the edit changed it.

        Raises:
            StaleError: the boat has moved on since `base_rev`.
            UnknownBoatError, DeletedBoatError, UnknownRevisionError: there is nothing to edit.
            RequestReusedError: the request id was used with another `request_sha` or boat.
        """
        sha = body_sha(body)

        def edited(connection: Connection, head: RevisionEntry) -> Content:
            put_body(connection, sha, body)
            return Content(sha, body, head.name if name is None else name, label, edit)

        require_storable(edit, label, author, request_id, request_sha, name)
        return self._step(boat_id, base_rev, Request(request_id, request_sha, author), edited)

    def undo(
        self, boat_id: str, base_rev: int, *, author: str, request_id: str, request_sha: str
    ) -> Revision:
        """Add a revision with the body that stood before the edit shown now; it bears that edit's label.

        Raises:
            NothingToUndoError: the boat stands as it was created.
            StaleError, UnknownBoatError, DeletedBoatError, UnknownRevisionError, RequestReusedError:
                as for `append`.
        """

        def undone(connection: Connection, head: RevisionEntry) -> Content:
            step = stepping.next_undo(connection, head)
            if step is None:
                raise NothingToUndoError(f"{boat_id} stands as it was created")
            return restored(connection, boat_id, step)

        require_storable(author, request_id, request_sha)
        return self._step(boat_id, base_rev, Request(request_id, request_sha, author), undone)

    def redo(
        self, boat_id: str, base_rev: int, *, author: str, request_id: str, request_sha: str
    ) -> Revision:
        """Add a revision that brings back the edit last undone; it bears that edit's label.

        Raises:
            NothingToRedoError: the newest revision is an edit, or all is redone.
            StaleError, UnknownBoatError, DeletedBoatError, UnknownRevisionError, RequestReusedError:
                as for `append`.
        """

        def redone(connection: Connection, head: RevisionEntry) -> Content:
            step = stepping.next_redo(connection, head)
            if step is None:
                raise NothingToRedoError(f"there is nothing to redo on {boat_id}")
            return restored(connection, boat_id, step)

        require_storable(author, request_id, request_sha)
        return self._step(boat_id, base_rev, Request(request_id, request_sha, author), redone)

    def delete(self, boat_id: str) -> BoatRow:
        """Mark a boat deleted; its history stays, and doing it twice changes nothing.

        Raises:
            UnknownBoatError: there is no such boat.
        """
        with self._database.write() as connection:
            if reading.boat_row(connection, boat_id, for_update=True).deleted_us is None:
                mark(connection, boat_id, deleted_us=self._clock_us())
            return reading.boat_row(connection, boat_id)

    def restore(self, boat_id: str) -> BoatRow:
        """Take the mark of deletion away; doing it twice changes nothing.

        Raises:
            UnknownBoatError: there is no such boat.
        """
        with self._database.write() as connection:
            reading.boat_row(connection, boat_id, for_update=True)
            mark(connection, boat_id, deleted_us=None)
            return reading.boat_row(connection, boat_id)

    # What can be computed again

    def derived_get(self, sha: str, engine_version: str, kind: str) -> bytes | None:
        """What this engine version once made of a body; None if it has to be made."""
        return self.derived_get_many([sha], engine_version, kind).get(sha)

    def derived_get_many(self, shas: Iterable[str], engine_version: str, kind: str) -> dict[str, bytes]:
        """The same for many bodies in one question; missing ones are left out.

        Raises:
            CorruptBodyError: a stored value is damaged; `derived_put` replaces it.
        """
        with self._database.read() as connection:
            return derived.get(connection, shas, engine_version, kind)

    def derived_put(self, sha: str, engine_version: str, kind: str, value: bytes) -> None:
        """Keep what was made of a stored body, in place of what was kept before.

        Raises:
            StoreFailedError: there is no body of this hash.
        """
        require_storable(sha, engine_version, kind)
        with self._database.write() as connection:
            derived.put(connection, sha, engine_version, kind, value)

    def derived_keep_only(self, engine_version: str) -> None:
        """Drop what other engine versions made."""
        with self._database.write() as connection:
            derived.keep_only(connection, engine_version)

    # Care

    def check(self) -> CheckReport:
        """Read everything: every hash, every history, and SQLite's own checks of the file."""
        with self._database.driver() as driver:
            faults = faults_of(driver)
        with self._database.read() as connection:
            return CheckReport(
                boats=checking.count(connection, BOAT),
                revisions=checking.count(connection, REVISION),
                bodies=checking.count(connection, BODY),
                problems=(*faults, *checking.problems(connection)),
            )

    def backup(self, target: Path) -> None:
        """Write a checked copy of everything acknowledged so far, while work goes on.

        Raises:
            BackupExistsError: there is already a file of that name.
        """
        with self._database.driver() as driver:
            copy_database(driver, target)

    # Parts of the above

    def _new_boat(
        self,
        boat_id: str | None,
        role: Role,
        request: Request,
        content_at: Callable[[Connection], tuple[Content, RevisionEntry | None]],
    ) -> BoatRow:
        with self._database.write() as connection:
            done = done_before(connection, request)
            if done:
                return reading.boat_row(connection, done.boat_id)
            content, source = content_at(connection)
            own_id = boat_id or self._new_id()
            now_us = self._clock_us()
            add_boat(connection, own_id, role, content.name, source, now_us)
            add_revision(connection, own_id, None, content, request, now_us)
            return reading.boat_row(connection, own_id)

    def _step(
        self,
        boat_id: str,
        base_rev: int,
        request: Request,
        content_at: Callable[[Connection, RevisionEntry], Content],
    ) -> Revision:
        with self._database.write() as connection:
            done = done_before(connection, request, boat_id)
            if done:
                return reading.with_body(connection, done)
            head = reading.entry(connection, boat_id, living_boat(connection, boat_id).head)
            if base_rev != head.rev:
                raise stale(connection, head, base_rev)
            content = content_at(connection, head)
            made = add_revision(connection, boat_id, head, content, request, self._clock_us())
            mark(connection, boat_id, head=made.rev, name=made.name, updated_us=made.at_us)
            return made


def _sha_of(*words: str | int | None) -> str:
    return body_sha(repr(words).encode())


def _entry_at(connection: Connection, boat_id: str, rev: int | None) -> RevisionEntry:
    return reading.entry(
        connection, boat_id, reading.boat_row(connection, boat_id).head if rev is None else rev
    )

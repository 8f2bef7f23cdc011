"""Boats and their histories: everything the rest of the program asks of the store.

A document is bytes and an edit is text, both made by the caller; neither is read here.
Every write names the request it answers, so that a request sent twice is done once.
"""

import secrets
import time
import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from sqlmodel import Session, col, delete, select

from server.store import checking, reading, stepping
from server.store.backup import copy_database, faults_of
from server.store.database import RESERVE_BYTES, Database
from server.store.errors import (
    BoatExistsError,
    DeletedBoatError,
    NothingToRedoError,
    NothingToUndoError,
    RequestReusedError,
    StaleError,
    UnknownBoatError,
    UnknownRevisionError,
    UnstorableTextError,
)
from server.store.migration import STEPS, Steps, bring_up_to_date
from server.store.tables import BoatRecord, BodyRecord, DerivedRecord, RevisionRecord
from server.store.values import BoatRow, CheckReport, Revision, RevisionEntry, Role, TakeBack

DATABASE_NAME = "boats.sqlite3"


def system_clock_us() -> int:
    """Microseconds since 1970 in UTC, by the machine's clock."""
    return time.time_ns() // 1_000


def random_boat_id() -> str:
    """A fresh id: a letter, then hexadecimal digits."""
    return f"b{secrets.token_hex(10)}"


@dataclass(frozen=True, slots=True)
class _Request:
    """Who asks, under which key, and the hash of what is asked."""

    id: str
    sha: str
    author: str


@dataclass(frozen=True, slots=True)
class _Content:
    """What a new revision says."""

    sha: str
    name: str
    label: str
    edit: str | None = None
    restores: int | None = None


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
        with self._database.read() as session:
            return reading.boat_rows(session, col(BoatRecord.deleted_us).is_(None))

    def deleted_boats(self) -> tuple[BoatRow, ...]:
        """The boats that can be restored, last changed first."""
        with self._database.read() as session:
            return reading.boat_rows(session, col(BoatRecord.deleted_us).is_not(None))

    def boat(self, boat_id: str) -> BoatRow:
        """One boat, deleted or not.

        Raises:
            UnknownBoatError: there is none of this id.
        """
        with self._database.read() as session:
            return reading.boat_row(session, boat_id)

    def head(self, boat_id: str) -> Revision:
        """The newest revision of a boat, deleted or not, with its body.

        Raises:
            UnknownBoatError: there is none of this id.
            CorruptBodyError: the stored bytes do not match their hash.
        """
        with self._database.read() as session:
            newest = reading.entry(session, boat_id, reading.boat_row(session, boat_id).head)
            return reading.with_body(session, newest)

    def revision(self, boat_id: str, rev: int) -> Revision:
        """One revision of a boat with its body.

        Raises:
            UnknownBoatError, UnknownRevisionError: there is none.
            CorruptBodyError: the stored bytes do not match their hash.
        """
        with self._database.read() as session:
            return reading.with_body(session, reading.entry(session, boat_id, rev))

    def history(self, boat_id: str, after: int = 0) -> tuple[RevisionEntry, ...]:
        """Every revision later than `after`, oldest first, without bodies.

        Raises:
            UnknownBoatError: there is no such boat.
        """
        with self._database.read() as session:
            last = reading.boat_row(session, boat_id).head
            return reading.entries_between(session, boat_id, after + 1, last)

    def can_undo(self, boat_id: str, rev: int | None = None) -> TakeBack | None:
        """What undo would take back at a revision (the newest by default); None if nothing.

        Raises:
            UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
        """
        with self._database.read() as session:
            return stepping.next_undo(session, _entry_at(session, boat_id, rev))

    def can_redo(self, boat_id: str, rev: int | None = None) -> TakeBack | None:
        """What redo would bring back at a revision (the newest by default); None if nothing.

        Raises:
            UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
        """
        with self._database.read() as session:
            return stepping.next_redo(session, _entry_at(session, boat_id, rev))

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
        _storable(name, role, author, request_id, label, boat_id)
        sha = reading.body_sha(body)
        request = _Request(request_id, _sha_of("create", sha, name, role, author, label, boat_id), author)
        with self._database.write() as session:
            done = _done_before(session, request)
            if done:
                return reading.boat_row(session, done.boat_id)
            _put_body(session, sha, body)
            row = self._new_boat(boat_id, name, role)
            return self._begin(session, row, _Content(sha, name, label), request)

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
        _storable(name, role, author, request_id, label)
        request = _Request(request_id, _sha_of("duplicate", boat_id, rev, name, role, author, label), author)
        with self._database.write() as session:
            done = _done_before(session, request)
            if done:
                return reading.boat_row(session, done.boat_id)
            _living_boat(session, boat_id)
            source = _entry_at(session, boat_id, rev)
            row = self._new_boat(None, name, role)
            row.forked_from, row.forked_rev = boat_id, source.rev
            return self._begin(session, row, _Content(source.sha, name, label), request)

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
        _storable(edit, label, author, request_id, request_sha, name)
        sha = reading.body_sha(body)

        def edited(session: Session, head: RevisionEntry) -> _Content:
            _put_body(session, sha, body)
            return _Content(sha, head.name if name is None else name, label, edit)

        return self._step(boat_id, base_rev, _Request(request_id, request_sha, author), edited)

    def undo(
        self, boat_id: str, base_rev: int, *, author: str, request_id: str, request_sha: str
    ) -> Revision:
        """Add a revision with the body that stood before the edit shown now; it bears that edit's label.

        Raises:
            NothingToUndoError: the boat stands as it was created.
            StaleError, UnknownBoatError, DeletedBoatError, UnknownRevisionError, RequestReusedError:
                as for `append`.
        """

        def undone(session: Session, head: RevisionEntry) -> _Content:
            step = stepping.next_undo(session, head)
            if step is None:
                raise NothingToUndoError(f"{boat_id} stands as it was created")
            return _restored(session, boat_id, step)

        _storable(author, request_id, request_sha)
        return self._step(boat_id, base_rev, _Request(request_id, request_sha, author), undone)

    def redo(
        self, boat_id: str, base_rev: int, *, author: str, request_id: str, request_sha: str
    ) -> Revision:
        """Add a revision that brings back the edit last undone; it bears that edit's label.

        Raises:
            NothingToRedoError: the newest revision is an edit, or all is redone.
            StaleError, UnknownBoatError, DeletedBoatError, UnknownRevisionError, RequestReusedError:
                as for `append`.
        """

        def redone(session: Session, head: RevisionEntry) -> _Content:
            step = stepping.next_redo(session, head)
            if step is None:
                raise NothingToRedoError(f"there is nothing to redo on {boat_id}")
            return _restored(session, boat_id, step)

        _storable(author, request_id, request_sha)
        return self._step(boat_id, base_rev, _Request(request_id, request_sha, author), redone)

    def delete(self, boat_id: str) -> BoatRow:
        """Mark a boat deleted; its history stays, and doing it twice changes nothing.

        Raises:
            UnknownBoatError: there is no such boat.
        """
        with self._database.write() as session:
            record = _locked_boat(session, boat_id)
            if record.deleted_us is None:
                record.deleted_us = self._clock_us()
                session.flush()
            return reading.boat_row(session, boat_id)

    def restore(self, boat_id: str) -> BoatRow:
        """Take the mark of deletion away; doing it twice changes nothing.

        Raises:
            UnknownBoatError: there is no such boat.
        """
        with self._database.write() as session:
            _locked_boat(session, boat_id).deleted_us = None
            session.flush()
            return reading.boat_row(session, boat_id)

    # What can be computed again

    def derived_get(self, sha: str, engine_version: str, kind: str) -> bytes | None:
        """What this engine version once made of a body; None if it has to be made."""
        return self.derived_get_many([sha], engine_version, kind).get(sha)

    def derived_get_many(self, shas: Iterable[str], engine_version: str, kind: str) -> dict[str, bytes]:
        """The same for many bodies in one question; missing ones are left out.

        Raises:
            CorruptBodyError: a stored value is damaged; `derived_put` replaces it.
        """
        query = select(DerivedRecord.sha, DerivedRecord.z).where(
            col(DerivedRecord.sha).in_(list(shas)),
            DerivedRecord.engine_version == engine_version,
            DerivedRecord.kind == kind,
        )
        with self._database.read() as session:
            return {sha: reading.unzipped(z, f"{kind} of {sha}") for sha, z in session.exec(query)}

    def derived_put(self, sha: str, engine_version: str, kind: str, value: bytes) -> None:
        """Keep what was made of a stored body, in place of what was kept before.

        Raises:
            StoreFailedError: there is no body of this hash.
        """
        _storable(sha, engine_version, kind)
        with self._database.write() as session:
            session.merge(
                DerivedRecord(sha=sha, engine_version=engine_version, kind=kind, z=zlib.compress(value))
            )

    def derived_keep_only(self, engine_version: str) -> None:
        """Drop what other engine versions made."""
        with self._database.write() as session:
            session.exec(delete(DerivedRecord).where(col(DerivedRecord.engine_version) != engine_version))

    # Care

    def check(self) -> CheckReport:
        """Read everything: every hash, every history, and SQLite's own checks of the file."""
        with self._database.driver() as driver:
            faults = faults_of(driver)
        with self._database.read() as session:
            return CheckReport(
                boats=checking.count(session, BoatRecord),
                revisions=checking.count(session, RevisionRecord),
                bodies=checking.count(session, BodyRecord),
                problems=(*faults, *checking.problems(session)),
            )

    def backup(self, target: Path) -> None:
        """Write a checked copy of everything acknowledged so far, while work goes on.

        Raises:
            BackupExistsError: there is already a file of that name.
        """
        with self._database.driver() as driver:
            copy_database(driver, target)

    # Parts of the above

    def _new_boat(self, boat_id: str | None, name: str, role: Role) -> BoatRecord:
        now_us = self._clock_us()
        return BoatRecord(
            id=boat_id or self._new_id(), name=name, head=1, role=role, created_us=now_us, updated_us=now_us
        )

    def _begin(self, session: Session, boat: BoatRecord, content: _Content, request: _Request) -> BoatRow:
        if session.get(BoatRecord, boat.id):
            raise BoatExistsError(f"there is already a boat {boat.id}")
        session.add(boat)
        session.flush()
        _add_revision(session, boat, None, content, request)
        return reading.boat_row(session, boat.id)

    def _step(
        self,
        boat_id: str,
        base_rev: int,
        request: _Request,
        content_at: Callable[[Session, RevisionEntry], _Content],
    ) -> Revision:
        with self._database.write() as session:
            done = _done_before(session, request, boat_id)
            if done:
                return reading.with_body(session, done)
            boat = _living_boat(session, boat_id)
            head = reading.entry(session, boat_id, boat.head)
            if base_rev != head.rev:
                raise _stale(session, head, base_rev)
            content = content_at(session, head)
            boat.head, boat.name, boat.updated_us = head.rev + 1, content.name, self._clock_us()
            _add_revision(session, boat, head.rev, content, request)
            return reading.with_body(session, reading.entry(session, boat_id, boat.head))


def _storable(*texts: str | None) -> None:
    for text in texts:
        if text is not None and ("\0" in text or any("\ud800" <= letter <= "\udfff" for letter in text)):
            raise UnstorableTextError(f"{text!r} holds a character that cannot be kept")


def _sha_of(*words: str | int | None) -> str:
    return reading.body_sha(repr(words).encode())


def _entry_at(session: Session, boat_id: str, rev: int | None) -> RevisionEntry:
    return reading.entry(session, boat_id, reading.boat_row(session, boat_id).head if rev is None else rev)


def _locked_boat(session: Session, boat_id: str) -> BoatRecord:
    # The lock on the row is for databases with more than one writer; SQLite has taken its own already.
    boat = session.exec(select(BoatRecord).where(BoatRecord.id == boat_id).with_for_update()).first()
    if boat is None:
        raise UnknownBoatError(f"there is no boat {boat_id}")
    return boat


def _living_boat(session: Session, boat_id: str) -> BoatRecord:
    boat = _locked_boat(session, boat_id)
    if boat.deleted_us is not None:
        raise DeletedBoatError(f"{boat_id} is deleted; restore it first")
    return boat


def _done_before(session: Session, request: _Request, boat_id: str | None = None) -> RevisionEntry | None:
    found = reading.entries(session, col(RevisionRecord.request_id) == request.id)
    if not found:
        return None
    if found[0].request_sha != request.sha or boat_id not in (None, found[0].boat_id):
        raise RequestReusedError(f"request {request.id} was already used for something else")
    return found[0]


def _stale(session: Session, head: RevisionEntry, base_rev: int) -> StaleError | UnknownRevisionError:
    if not 1 <= base_rev < head.rev:
        return UnknownRevisionError(f"{head.boat_id} has no revision {base_rev}")
    since = reading.entries_between(session, head.boat_id, base_rev + 1, head.rev)
    return StaleError(reading.with_body(session, head), since)


def _restored(session: Session, boat_id: str, step: TakeBack) -> _Content:
    source = reading.entry(session, boat_id, step.returns_to)
    return _Content(source.sha, source.name, step.label, restores=source.rev)


def _put_body(session: Session, sha: str, body: bytes) -> None:
    if session.exec(select(BodyRecord.sha).where(BodyRecord.sha == sha)).first() is None:
        session.add(BodyRecord(sha=sha, z=zlib.compress(body)))
        session.flush()


def _add_revision(
    session: Session, boat: BoatRecord, base: int | None, content: _Content, request: _Request
) -> None:
    session.add(
        RevisionRecord(
            boat_id=boat.id,
            rev=boat.head,
            base=base,
            restores=content.restores,
            sha=content.sha,
            name=content.name,
            author=request.author,
            edit=content.edit,
            label=content.label,
            request_id=request.id,
            request_sha=request.sha,
            at_us=boat.updated_us,
        )
    )
    session.flush()

"""From rows to values, inside one transaction."""

import hashlib
import zlib
from dataclasses import asdict

from sqlalchemy import Connection, and_, bindparam, func, select

from server.store.errors import CorruptBodyError, UnknownBoatError, UnknownRevisionError
from server.store.tables import BOAT, BODY, OPTION_NOTE, REVISION
from server.store.values import BoatRow, Revision, RevisionEntry

# Built once: putting a statement together takes longer than running it.
_SHOWN = REVISION.alias("shown_revision")
_BOATS = (
    select(
        BOAT,
        REVISION.c.sha,
        REVISION.c.author,
        _SHOWN.c.label,
        func.coalesce(OPTION_NOTE.c.note, "").label("note"),
        OPTION_NOTE.c.aside_us,
    )
    .join(REVISION, and_(REVISION.c.boat_id == BOAT.c.id, REVISION.c.rev == BOAT.c.head))
    .join(
        _SHOWN,
        and_(
            _SHOWN.c.boat_id == BOAT.c.id, _SHOWN.c.rev == func.coalesce(REVISION.c.restores, REVISION.c.rev)
        ),
    )
    .outerjoin(OPTION_NOTE, OPTION_NOTE.c.boat_id == BOAT.c.id)
    .order_by(BOAT.c.updated_us.desc(), BOAT.c.id)
)
_LIVING_BOATS = _BOATS.where(BOAT.c.deleted_us.is_(None))
_DELETED_BOATS = _BOATS.where(BOAT.c.deleted_us.is_not(None))
_ONE_BOAT = _BOATS.where(BOAT.c.id == bindparam("boat_id"))
# For databases with more than one writer; SQLite has no such words and has locked the file already.
_ONE_BOAT_LOCKED = _ONE_BOAT.with_for_update(of=BOAT)

_BASE = REVISION.alias("base_revision")
_ENTRIES = (
    select(REVISION, func.coalesce(_BASE.c.restores, _BASE.c.rev).label("before"))
    .outerjoin(_BASE, and_(_BASE.c.boat_id == REVISION.c.boat_id, _BASE.c.rev == REVISION.c.base))
    .order_by(REVISION.c.rev)
)
_ENTRIES_BETWEEN = _ENTRIES.where(
    REVISION.c.boat_id == bindparam("boat_id"),
    REVISION.c.rev.between(bindparam("first"), bindparam("last")),
)
_ENTRY_BY_REQUEST = _ENTRIES.where(REVISION.c.request_id == bindparam("request_id"))

_BODY = select(BODY.c.z).where(BODY.c.sha == bindparam("sha"))


def body_sha(body: bytes) -> str:
    """The name a body is filed under: the SHA-256 of its bytes, in hexadecimal."""
    return hashlib.sha256(body).hexdigest()


def unzipped(z: bytes, what: str) -> bytes:
    """Compressed bytes as they were before.

    Raises:
        CorruptBodyError: they are damaged; the message begins with `what`.
    """
    try:
        return zlib.decompress(z)
    except zlib.error as error:
        raise CorruptBodyError(f"{what} is damaged: {error}") from error


def unpacked_body(sha: str, z: bytes) -> bytes:
    """A stored body, checked against its hash.

    Raises:
        CorruptBodyError: the bytes are damaged or belong to another hash.
    """
    body = unzipped(z, f"body {sha}")
    if body_sha(body) != sha:
        raise CorruptBodyError(f"body {sha} does not match its hash")
    return body


def boat_rows(connection: Connection, are_deleted: bool) -> tuple[BoatRow, ...]:
    """All boats that are deleted, or all that are not, last changed first."""
    rows = connection.execute(_DELETED_BOATS if are_deleted else _LIVING_BOATS)
    return tuple(BoatRow(**row._mapping) for row in rows)


def boat_row(connection: Connection, boat_id: str, for_update: bool = False) -> BoatRow:
    """One boat, deleted or not; others who want to change it wait, if asked so.

    Raises:
        UnknownBoatError: there is none of this id.
    """
    row = connection.execute(_ONE_BOAT_LOCKED if for_update else _ONE_BOAT, {"boat_id": boat_id}).first()
    if row is None:
        raise UnknownBoatError(f"there is no boat {boat_id}")
    return BoatRow(**row._mapping)


def entries_between(connection: Connection, boat_id: str, first: int, last: int) -> tuple[RevisionEntry, ...]:
    """The revisions of one boat from first to last, both included, oldest first."""
    rows = connection.execute(_ENTRIES_BETWEEN, {"boat_id": boat_id, "first": first, "last": last})
    return tuple(RevisionEntry(**row._mapping) for row in rows)


def entry(connection: Connection, boat_id: str, rev: int) -> RevisionEntry:
    """One revision without its body.

    Raises:
        UnknownBoatError: there is no such boat.
        UnknownRevisionError: the boat has no such revision.
    """
    found = entries_between(connection, boat_id, rev, rev)
    if not found:
        boat_row(connection, boat_id)
        raise UnknownRevisionError(f"{boat_id} has no revision {rev}")
    return found[0]


def entry_of_request(connection: Connection, request_id: str) -> RevisionEntry | None:
    """The revision that a request made, if there was such a request."""
    row = connection.execute(_ENTRY_BY_REQUEST, {"request_id": request_id}).first()
    return None if row is None else RevisionEntry(**row._mapping)


def with_body(connection: Connection, bare: RevisionEntry) -> Revision:
    """The same revision with its document.

    Raises:
        CorruptBodyError: the stored bytes no longer match their hash.
    """
    z = connection.execute(_BODY, {"sha": bare.sha}).scalar_one()
    return Revision(**asdict(bare), body=unpacked_body(bare.sha, z))


def entry_at(connection: Connection, boat_id: str, rev: int | None) -> RevisionEntry:
    """One revision without its body, the newest where none is named.

    Raises:
        UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
    """
    return entry(connection, boat_id, boat_row(connection, boat_id).head if rev is None else rev)

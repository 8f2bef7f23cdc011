"""From rows to values, inside one transaction."""

import hashlib
import zlib
from dataclasses import asdict

from sqlalchemy import ColumnElement
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from server.store.errors import CorruptBodyError, UnknownBoatError, UnknownRevisionError
from server.store.tables import BoatRecord, BodyRecord, RevisionRecord
from server.store.values import BoatRow, Revision, RevisionEntry

_Base = aliased(RevisionRecord)


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


def boat_rows(session: Session, *where: ColumnElement[bool]) -> tuple[BoatRow, ...]:
    """The boats that fulfil every condition, last changed first."""
    query = (
        select(BoatRecord, RevisionRecord.sha, RevisionRecord.author, RevisionRecord.label)
        .join(
            RevisionRecord,
            (col(RevisionRecord.boat_id) == col(BoatRecord.id))
            & (col(RevisionRecord.rev) == col(BoatRecord.head)),
        )
        .where(*where)
        .order_by(col(BoatRecord.updated_us).desc(), col(BoatRecord.id))
    )
    return tuple(
        BoatRow(**boat.model_dump(), sha=sha, author=author, label=label)
        for boat, sha, author, label in session.exec(query)
    )


def boat_row(session: Session, boat_id: str) -> BoatRow:
    """One boat, deleted or not.

    Raises:
        UnknownBoatError: there is none of this id.
    """
    rows = boat_rows(session, col(BoatRecord.id) == boat_id)
    if not rows:
        raise UnknownBoatError(f"there is no boat {boat_id}")
    return rows[0]


def entries(session: Session, *where: ColumnElement[bool]) -> tuple[RevisionEntry, ...]:
    """The revisions that fulfil every condition, oldest first."""
    query = (
        select(RevisionRecord, _Base.rev, _Base.restores)
        .outerjoin(
            _Base,
            (col(_Base.boat_id) == col(RevisionRecord.boat_id))
            & (col(_Base.rev) == col(RevisionRecord.base)),
        )
        .where(*where)
        .order_by(col(RevisionRecord.rev))
    )
    return tuple(
        RevisionEntry(**own.model_dump(), before=base_rev if base_restores is None else base_restores)
        for own, base_rev, base_restores in session.exec(query)
    )


def entries_between(session: Session, boat_id: str, first: int, last: int) -> tuple[RevisionEntry, ...]:
    """The revisions of one boat from first to last, both included."""
    return entries(
        session, col(RevisionRecord.boat_id) == boat_id, col(RevisionRecord.rev).between(first, last)
    )


def entry(session: Session, boat_id: str, rev: int) -> RevisionEntry:
    """One revision without its body.

    Raises:
        UnknownBoatError: there is no such boat.
        UnknownRevisionError: the boat has no such revision.
    """
    found = entries_between(session, boat_id, rev, rev)
    if not found:
        boat_row(session, boat_id)
        raise UnknownRevisionError(f"{boat_id} has no revision {rev}")
    return found[0]


def with_body(session: Session, bare: RevisionEntry) -> Revision:
    """The same revision with its document.

    Raises:
        CorruptBodyError: the stored bytes no longer match their hash.
    """
    (z,) = session.exec(select(BodyRecord.z).where(BodyRecord.sha == bare.sha)).all()
    return Revision(**asdict(bare), body=unpacked_body(bare.sha, z))

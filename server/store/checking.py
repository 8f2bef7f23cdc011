"""Reading the whole store and saying what no longer fits together."""

from collections.abc import Iterator

from sqlalchemy.orm import aliased
from sqlmodel import Session, col, func, select

from server.store.errors import CorruptBodyError
from server.store.reading import unpacked_body, unzipped
from server.store.tables import BoatRecord, BodyRecord, DerivedRecord, RevisionRecord


def count(session: Session, table: type[BoatRecord | RevisionRecord | BodyRecord]) -> int:
    """How many rows a table has."""
    return session.exec(select(func.count()).select_from(table)).one()


def problems(session: Session) -> Iterator[str]:
    """Each fault in one sentence: bodies, histories, restored bodies and derived values."""
    yield from _wrong_bodies(session)
    yield from _wrong_heads(session)
    yield from _wrong_restores(session)
    yield from _wrong_derived(session)


def _wrong_bodies(session: Session) -> Iterator[str]:
    for sha, z in session.exec(select(BodyRecord.sha, BodyRecord.z)).yield_per(100):
        try:
            unpacked_body(sha, z)
        except CorruptBodyError as error:
            yield str(error)


def _wrong_heads(session: Session) -> Iterator[str]:
    own = col(RevisionRecord.boat_id) == col(BoatRecord.id)
    number = select(func.count()).select_from(RevisionRecord).where(own).scalar_subquery()
    newest = select(func.max(RevisionRecord.rev)).where(own).scalar_subquery()
    for boat_id, head, revisions, last in session.exec(
        select(BoatRecord.id, BoatRecord.head, number, newest)
    ):
        if not head == revisions == last:
            yield f"{boat_id} says its newest revision is {head}, but has {revisions}, the last being {last}"


def _wrong_restores(session: Session) -> Iterator[str]:
    restored = aliased(RevisionRecord)
    query = (
        select(RevisionRecord.boat_id, RevisionRecord.rev, RevisionRecord.restores)
        .join(
            restored,
            (col(restored.boat_id) == col(RevisionRecord.boat_id))
            & (col(restored.rev) == col(RevisionRecord.restores)),
        )
        .where((col(restored.sha) != col(RevisionRecord.sha)) | col(restored.restores).is_not(None))
    )
    for boat_id, rev, source in session.exec(query):
        yield f"revision {rev} of {boat_id} does not show what edit {source} showed"


def _wrong_derived(session: Session) -> Iterator[str]:
    for derived in session.exec(select(DerivedRecord)).yield_per(100):
        try:
            unzipped(derived.z, f"{derived.kind} of {derived.sha}")
        except CorruptBodyError as error:
            yield str(error)

"""Reading the whole store and saying what no longer fits together."""

from collections.abc import Iterator

from sqlalchemy import Connection, Table, and_, func, or_, select

from server.store.errors import CorruptBodyError
from server.store.reading import body_sha, unpacked_body, unzipped
from server.store.tables import BOAT, BODY, DERIVED, PHOTO, REVISION


def count(connection: Connection, table: Table) -> int:
    """How many rows a table has."""
    return connection.execute(select(func.count()).select_from(table)).scalar_one()


def problems(connection: Connection) -> Iterator[str]:
    """Each fault in one sentence: bodies, histories, restored bodies, derived values and photos."""
    yield from _wrong_bodies(connection)
    yield from _wrong_heads(connection)
    yield from _wrong_restores(connection)
    yield from _wrong_derived(connection)
    yield from _wrong_photos(connection)


def _wrong_bodies(connection: Connection) -> Iterator[str]:
    for sha, z in connection.execute(select(BODY.c.sha, BODY.c.z)).yield_per(100):
        try:
            unpacked_body(sha, z)
        except CorruptBodyError as error:
            yield str(error)


def _wrong_heads(connection: Connection) -> Iterator[str]:
    own = REVISION.c.boat_id == BOAT.c.id
    number = select(func.count()).select_from(REVISION).where(own).scalar_subquery()
    newest = select(func.max(REVISION.c.rev)).where(own).scalar_subquery()
    for boat_id, head, revisions, last in connection.execute(select(BOAT.c.id, BOAT.c.head, number, newest)):
        if not head == revisions == last:
            yield f"{boat_id} says its newest revision is {head}, but has {revisions}, the last being {last}"


def _wrong_restores(connection: Connection) -> Iterator[str]:
    restored = REVISION.alias()
    query = (
        select(REVISION.c.boat_id, REVISION.c.rev, REVISION.c.restores)
        .join(
            restored,
            and_(restored.c.boat_id == REVISION.c.boat_id, restored.c.rev == REVISION.c.restores),
        )
        .where(or_(restored.c.sha != REVISION.c.sha, restored.c.restores.is_not(None)))
    )
    for boat_id, rev, source in connection.execute(query):
        yield f"revision {rev} of {boat_id} does not show what edit {source} showed"


def _wrong_derived(connection: Connection) -> Iterator[str]:
    for sha, kind, z in connection.execute(select(DERIVED.c.sha, DERIVED.c.kind, DERIVED.c.z)).yield_per(100):
        try:
            unzipped(z, f"{kind} of {sha}")
        except CorruptBodyError as error:
            yield str(error)


def _wrong_photos(connection: Connection) -> Iterator[str]:
    for sha, picture in connection.execute(select(PHOTO.c.sha, PHOTO.c.picture)).yield_per(10):
        if body_sha(picture) != sha:
            yield f"photo {sha} does not match its hash"

"""From values to rows, inside one write transaction."""

import zlib
from dataclasses import asdict, dataclass

from sqlalchemy import Connection, bindparam, insert, select, update

from server.store import reading
from server.store.errors import (
    BoatExistsError,
    DeletedBoatError,
    RequestReusedError,
    StaleError,
    UnknownRevisionError,
    UnstorableTextError,
)
from server.store.tables import BOAT, BODY, REVISION
from server.store.values import BoatRow, Revision, RevisionEntry, Role, TakeBack

_BOAT_ID = select(BOAT.c.id).where(BOAT.c.id == bindparam("boat_id"))
_STORED_SHA = select(BODY.c.sha).where(BODY.c.sha == bindparam("sha"))
_REVISION_COLUMNS = tuple(column.name for column in REVISION.columns)


@dataclass(frozen=True, slots=True)
class Request:
    """Who asks, under which key, and the hash of what is asked."""

    id: str
    sha: str
    author: str


@dataclass(frozen=True, slots=True)
class Content:
    """What a new revision says."""

    sha: str
    body: bytes
    name: str
    label: str
    edit: str | None = None
    restores: int | None = None
    role: Role | None = None
    """What the boat is from now on; None leaves it what it was."""
    is_renamed: bool = False
    """Whether the boat goes by this name from now on, whatever was said of it besides."""


def require_storable(*texts: str | None) -> None:
    """Let only text pass that every database can keep.

    Raises:
        UnstorableTextError: a text holds a zero byte or half a surrogate pair.
    """
    for text in texts:
        if text is not None and ("\0" in text or any("\ud800" <= letter <= "\udfff" for letter in text)):
            raise UnstorableTextError(f"{text!r} holds a character that cannot be kept")


def done_before(connection: Connection, request: Request, boat_id: str | None = None) -> RevisionEntry | None:
    """The revision this very request made earlier (on this boat, where one is given), if it did.

    Raises:
        RequestReusedError: its id was used for something else.
    """
    done = reading.entry_of_request(connection, request.id)
    if done and (done.request_sha != request.sha or boat_id not in (None, done.boat_id)):
        raise RequestReusedError(f"request {request.id} was already used for something else")
    return done


def living_boat(connection: Connection, boat_id: str) -> BoatRow:
    """A boat that may be edited.

    Raises:
        UnknownBoatError: there is none of this id.
        DeletedBoatError: it is deleted.
    """
    boat = reading.boat_row(connection, boat_id, for_update=True)
    if boat.deleted_us is not None:
        raise DeletedBoatError(f"{boat_id} is deleted; restore it first")
    return boat


def stale(connection: Connection, head: RevisionEntry, base_rev: int) -> StaleError | UnknownRevisionError:
    """Why an edit of this revision is refused, for it is not the newest."""
    if not 1 <= base_rev < head.rev:
        return UnknownRevisionError(f"{head.boat_id} has no revision {base_rev}")
    since = reading.entries_between(connection, head.boat_id, base_rev + 1, head.rev)
    return StaleError(reading.with_body(connection, head), since)


def restored(connection: Connection, boat_id: str, step: TakeBack) -> Content:
    """What the revision of an undo or redo says."""
    source = reading.with_body(connection, reading.entry(connection, boat_id, step.returns_to))
    return Content(source.sha, source.body, source.name, step.label, restores=source.rev)


def put_body(connection: Connection, sha: str, body: bytes) -> None:
    """Keep a body unless it is there already."""
    if connection.execute(_STORED_SHA, {"sha": sha}).first() is None:
        connection.execute(insert(BODY), {"sha": sha, "z": zlib.compress(body)})


def add_boat(  # noqa: PLR0913, PLR0917  (each names one thing of the new boat)
    connection: Connection, boat_id: str, role: Role, name: str, source: RevisionEntry | None, at_us: int
) -> None:
    """Add a boat whose first revision follows in the same transaction.

    Raises:
        BoatExistsError: the id is taken.
    """
    if connection.execute(_BOAT_ID, {"boat_id": boat_id}).first():
        raise BoatExistsError(f"there is already a boat {boat_id}")
    row: dict[str, str | int | None] = {"id": boat_id, "name": name, "head": 1, "role": role}
    row |= {"created_us": at_us, "updated_us": at_us}
    if source:
        row |= {"forked_from": source.boat_id, "forked_rev": source.rev}
    connection.execute(insert(BOAT), row)


def add_revision(  # noqa: PLR0913, PLR0917  (each names one thing of the new revision)
    connection: Connection,
    boat_id: str,
    base: RevisionEntry | None,
    content: Content,
    request: Request,
    at_us: int,
) -> Revision:
    """Add the revision that follows `base`, or a boat's first."""
    made = Revision(
        boat_id=boat_id,
        rev=base.rev + 1 if base else 1,
        base=base.rev if base else None,
        restores=content.restores,
        before=base.position if base else None,
        sha=content.sha,
        name=content.name,
        author=request.author,
        edit=content.edit,
        label=content.label,
        request_id=request.id,
        request_sha=request.sha,
        at_us=at_us,
        body=content.body,
    )
    values = asdict(made)
    connection.execute(insert(REVISION), {name: values[name] for name in _REVISION_COLUMNS})
    return made


def mark(connection: Connection, boat_id: str, **values: str | int | None) -> None:
    """Change what a boat's own row says."""
    connection.execute(update(BOAT).where(BOAT.c.id == boat_id).values(values))

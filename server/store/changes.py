"""Changes of boats: each names the request it answers, so that a request sent twice is done once."""

from collections.abc import Callable
from dataclasses import replace

from sqlalchemy import Connection

from server.store import reading, stepping
from server.store.errors import NothingToRedoError, NothingToUndoError
from server.store.opened import Opened
from server.store.reading import body_sha
from server.store.values import BoatRow, Revision, RevisionEntry, Role
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


class Changes(Opened):
    """Everything that adds a revision, or a boat, or marks one."""

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
            source = reading.with_body(connection, reading.entry_at(connection, boat_id, rev))
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
        role: Role | None = None,
    ) -> Revision:
        """Add the revision that an edit of `base_rev` led to; a repeated request answers the same revision.

        `name` is the boat's name and `role` what it is from now on, if the edit changed it.

        Raises:
            StaleError: the boat has moved on since `base_rev`.
            UnknownBoatError, DeletedBoatError, UnknownRevisionError: there is nothing to edit.
            RequestReusedError: the request id was used with another `request_sha` or boat.
        """
        sha = body_sha(body)

        def edited(connection: Connection, head: RevisionEntry) -> Content:
            put_body(connection, sha, body)
            return Content(
                sha,
                body,
                head.name if name is None else name,
                label,
                edit,
                role=role,
                is_renamed=name is not None,
            )

        require_storable(edit, label, author, request_id, request_sha, name)
        return self._step(boat_id, base_rev, Request(request_id, request_sha, author), edited)

    def undo(  # noqa: PLR0913  (each names one thing of the new revision)
        self,
        boat_id: str,
        base_rev: int,
        *,
        author: str,
        request_id: str,
        request_sha: str,
        role: Role | None = None,
    ) -> Revision:
        """Add a revision with the body that stood before the edit shown now; it bears that edit's label.

        `role` is what the boat is from now on, if the edit had changed it.

        Raises:
            NothingToUndoError: the boat stands as it was created.
            StaleError, UnknownBoatError, DeletedBoatError, UnknownRevisionError, RequestReusedError:
                as for `append`.
        """

        def undone(connection: Connection, head: RevisionEntry) -> Content:
            step = stepping.next_undo(connection, head)
            if step is None:
                raise NothingToUndoError(f"{boat_id} stands as it was created")
            return replace(restored(connection, boat_id, step), role=role)

        require_storable(author, request_id, request_sha)
        return self._step(boat_id, base_rev, Request(request_id, request_sha, author), undone)

    def redo(  # noqa: PLR0913  (each names one thing of the new revision)
        self,
        boat_id: str,
        base_rev: int,
        *,
        author: str,
        request_id: str,
        request_sha: str,
        role: Role | None = None,
    ) -> Revision:
        """Add a revision that brings back the edit last undone; it bears that edit's label.

        `role` is what the boat is from now on, if the edit had changed it.

        Raises:
            NothingToRedoError: the newest revision is an edit, or all is redone.
            StaleError, UnknownBoatError, DeletedBoatError, UnknownRevisionError, RequestReusedError:
                as for `append`.
        """

        def redone(connection: Connection, head: RevisionEntry) -> Content:
            step = stepping.next_redo(connection, head)
            if step is None:
                raise NothingToRedoError(f"there is nothing to redo on {boat_id}")
            return replace(restored(connection, boat_id, step), role=role)

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
            changed: dict[str, str] = {} if content.role is None else {"role": content.role}
            if (
                content.is_renamed or made.name != head.name
            ):  # an option may go by a name besides its document's
                changed["name"] = made.name
            mark(connection, boat_id, head=made.rev, updated_us=made.at_us, **changed)
            return made


def _sha_of(*words: str | int | None) -> str:
    return body_sha(repr(words).encode())

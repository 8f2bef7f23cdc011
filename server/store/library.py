"""The yard's own parts: kept as saved, under names of the yard's own; renamed or put away, never changed."""

from sqlalchemy import Connection, insert, select, update

from server.store.errors import NameTakenError, RequestReusedError, UnknownPartError
from server.store.opened import Opened
from server.store.tables import OWN_PART
from server.store.values import OwnPartRow
from server.store.writing import require_storable

_COLUMNS = tuple(OWN_PART.c[name] for name in OwnPartRow.__dataclass_fields__)


class Library(Opened):
    """The own parts of one data folder."""

    def own_parts(self) -> tuple[OwnPartRow, ...]:
        """All that are not put away, by name."""
        with self._database.read() as connection:
            rows = _living(connection)
        return tuple(sorted(rows, key=lambda row: (row.name.casefold(), row.id)))

    def own_part(self, part_id: str) -> OwnPartRow:
        """One of them, put away or not.

        Raises:
            UnknownPartError: there is none of this id.
        """
        with self._database.read() as connection:
            return _row(connection, part_id)

    def add_own_part(self, *, name: str, content: str, request_id: str) -> OwnPartRow:
        """Keep a part; a repeated request answers the same one.

        Raises:
            NameTakenError: another part has this name; capitals do not matter.
            RequestReusedError: the request id was used for another part.
            UnstorableTextError: a text holds a character that cannot be kept.
        """
        require_storable(name, content, request_id)
        with self._database.write() as connection:
            done = connection.execute(
                select(OWN_PART.c.id).where(OWN_PART.c.request_id == request_id)
            ).scalar_one_or_none()
            if done is not None:
                row = _row(connection, done)
                if row.content != content:
                    raise RequestReusedError(f"request {request_id} was already used for another part")
                return row
            _require_free(connection, name)
            new = {
                "id": self._new_id(),
                "name": name,
                "content": content,
                "request_id": request_id,
                "added_us": self._clock_us(),
            }
            connection.execute(insert(OWN_PART), new)
            return _row(connection, str(new["id"]))

    def rename_own_part(self, part_id: str, name: str) -> None:
        """Give a part another name.

        Raises:
            UnknownPartError: there is none of this id.
            NameTakenError: another part has this name.
            UnstorableTextError: the name holds a character that cannot be kept.
        """
        require_storable(name)
        with self._database.write() as connection:
            _row(connection, part_id)
            _require_free(connection, name, but=part_id)
            connection.execute(update(OWN_PART).where(OWN_PART.c.id == part_id).values(name=name))

    def remove_own_part(self, part_id: str) -> None:
        """Put a part away; boats that have one like it keep it.

        Raises:
            UnknownPartError: there is none of this id.
        """
        with self._database.write() as connection:
            _row(connection, part_id)
            now_us = self._clock_us()
            connection.execute(update(OWN_PART).where(OWN_PART.c.id == part_id).values(removed_us=now_us))


def _living(connection: Connection) -> tuple[OwnPartRow, ...]:
    found = connection.execute(select(*_COLUMNS).where(OWN_PART.c.removed_us.is_(None)))
    return tuple(OwnPartRow(*row) for row in found)


def _row(connection: Connection, part_id: str) -> OwnPartRow:
    found = connection.execute(select(*_COLUMNS).where(OWN_PART.c.id == part_id)).first()
    if found is None:
        raise UnknownPartError(f"there is no part {part_id} in the library")
    return OwnPartRow(*found)


def _require_free(connection: Connection, name: str, but: str = "") -> None:
    if any(row.id != but and row.name.casefold() == name.casefold() for row in _living(connection)):
        raise NameTakenError(f"there is already a part of the name {name}")

"""Ampacity tables that an office entered: kept as typed, put away but never changed."""

from sqlalchemy import Connection, insert, select, update

from server.store.errors import RequestReusedError, UnknownTableError
from server.store.opened import Opened
from server.store.tables import OFFICE_TABLE
from server.store.values import OfficeTableRow, Origin
from server.store.writing import require_storable

_COLUMNS = tuple(OFFICE_TABLE.c[name] for name in OfficeTableRow.__dataclass_fields__)


class OfficeTables(Opened):
    """The tables of one data folder."""

    def office_tables(self, *, put_away: bool = False) -> tuple[OfficeTableRow, ...]:
        """All that are not put away, or those that are, newest first."""
        removed = OFFICE_TABLE.c.removed_us
        query = select(*_COLUMNS).where(removed.is_not(None) if put_away else removed.is_(None))
        newest = query.order_by(OFFICE_TABLE.c.added_us.desc(), OFFICE_TABLE.c.id)
        with self._database.read() as connection:
            return tuple(OfficeTableRow(*row) for row in connection.execute(newest))

    def office_table(self, table_id: str) -> OfficeTableRow:
        """One of them, put away or not.

        Raises:
            UnknownTableError: there is none of this id.
        """
        with self._database.read() as connection:
            return _row(connection, table_id)

    def add_office_table(self, *, origin: Origin, content: str, request_id: str) -> OfficeTableRow:
        """Keep a table as typed; a repeated request answers the same table.

        Raises:
            RequestReusedError: the request id was used for another table.
            UnstorableTextError: a text holds a character that cannot be kept.
        """
        texts = (origin.standard, origin.edition, origin.clause, origin.typed_by, origin.checked_by, content)
        require_storable(*texts, request_id)
        with self._database.write() as connection:
            done = connection.execute(
                select(OFFICE_TABLE.c.id).where(OFFICE_TABLE.c.request_id == request_id)
            ).scalar_one_or_none()
            if done is not None:
                row = _row(connection, done)
                if row.content != content:
                    raise RequestReusedError(f"request {request_id} was already used for another table")
                return row
            new = {
                "id": self._new_id(),
                "standard": origin.standard,
                "edition": origin.edition,
                "clause": origin.clause,
                "typed_by": origin.typed_by,
                "checked_by": origin.checked_by,
                "content": content,
                "request_id": request_id,
                "added_us": self._clock_us(),
            }
            connection.execute(insert(OFFICE_TABLE), new)
            return _row(connection, str(new["id"]))

    def remove_office_table(self, table_id: str) -> None:
        """Put a table away; boats that use it keep their copy.

        Raises:
            UnknownTableError: there is none of this id.
        """
        self._set_removed(table_id, self._clock_us())

    def bring_back_office_table(self, table_id: str) -> None:
        """Put a table that was put away on the list again.

        Raises:
            UnknownTableError: there is none of this id.
        """
        self._set_removed(table_id, None)

    def _set_removed(self, table_id: str, removed_us: int | None) -> None:
        with self._database.write() as connection:
            _row(connection, table_id)
            connection.execute(
                update(OFFICE_TABLE).where(OFFICE_TABLE.c.id == table_id).values(removed_us=removed_us)
            )


def _row(connection: Connection, table_id: str) -> OfficeTableRow:
    found = connection.execute(select(*_COLUMNS).where(OFFICE_TABLE.c.id == table_id)).first()
    if found is None:
        raise UnknownTableError(f"there is no table {table_id}")
    return OfficeTableRow(*found)

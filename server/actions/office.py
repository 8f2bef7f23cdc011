"""The office's own ampacity tables: entered, listed, given out, put away, and used on a boat."""

from dataclasses import dataclass

from server.actions.changes import Change, apply_edit
from server.actions.yard import Yard, document, revision_of
from server.boat.edits import ChangeValue
from server.practice.office import OfficeTable
from server.practice.office_text import OfficeTextError, office_text, read_office_table
from server.practice.profiles import profile
from server.store.values import OfficeTableRow, Origin

__all__ = [
    "BoatTable",
    "OfficeTableRow",
    "OfficeTextError",
    "OwnTable",
    "boat_tables",
    "bring_back",
    "enter_table",
    "own_tables",
    "put_away",
    "table_file",
    "tables_put_away",
    "use_table",
]


@dataclass(frozen=True)
class OwnTable:
    """A stored table as it is read."""

    row: OfficeTableRow
    table: OfficeTable


@dataclass(frozen=True)
class BoatTable:
    """A boat with the table its practice names; ``kept`` is that table's id where it is a stored one."""

    boat_id: str
    name: str
    rev: int
    practice: str
    table: OfficeTable | None
    kept: str | None


def own_tables(yard: Yard) -> tuple[OwnTable, ...]:
    """The stored tables, newest first."""
    return tuple(OwnTable(row, read_office_table(row.content)) for row in yard.store.office_tables())


def tables_put_away(yard: Yard) -> tuple[OfficeTableRow, ...]:
    """The tables that were put away, newest first."""
    return yard.store.office_tables(put_away=True)


def enter_table(yard: Yard, text: str, request_id: str) -> OfficeTableRow:
    """Keep a table; its rows as typed, in one form.

    Raises:
        OfficeTextError: the text is no table; every problem is placed and explained.
        RequestReusedError: the key was used for another table.
    """
    table = read_office_table(text)
    origin = Origin(table.standard, table.edition, table.clause, table.typed_by, table.checked_by)
    return yard.store.add_office_table(origin=origin, content=office_text(table), request_id=request_id)


def table_file(yard: Yard, table_id: str) -> tuple[str, str]:
    """A file name and the text of a stored table.

    Raises:
        UnknownTableError: there is none of this id.
    """
    row = yard.store.office_table(table_id)
    return f"{row.standard} {row.edition}.csv", row.content


def put_away(yard: Yard, table_id: str) -> None:
    """Take a table off the list; boats that use it keep their copy.

    Raises:
        UnknownTableError: there is none of this id.
    """
    yard.store.remove_office_table(table_id)


def bring_back(yard: Yard, table_id: str) -> None:
    """Put a table that was put away on the list again.

    Raises:
        UnknownTableError: there is none of this id.
    """
    yard.store.bring_back_office_table(table_id)


def boat_tables(yard: Yard, known: tuple[OwnTable, ...]) -> tuple[BoatTable, ...]:
    """Every boat with the table it is judged by."""
    found = []
    for row in yard.store.boats():
        practice = document(yard, revision_of(yard, row.id, row.head)).practice
        own = practice.ampacity_table
        kept = next((one.row.id for one in known if one.table == own), None)
        found.append(BoatTable(row.id, row.name, row.head, profile(practice.profile).title, own, kept))
    return tuple(found)


def use_table(yard: Yard, boat_id: str, base_rev: int, table_id: str | None, request_id: str) -> Change:
    """Judge a boat by a stored table, or (None) by the published ones again.

    Raises:
        UnknownTableError: there is no such table.
        StaleError and what else an edit may raise.
    """
    table = None if table_id is None else read_office_table(yard.store.office_table(table_id).content)
    value = None if table is None else table.model_dump(mode="json", exclude_none=True)
    edit = ChangeValue(field="practice.ampacity_table", value=value)
    return apply_edit(yard, boat_id, base_rev, edit, request_id)

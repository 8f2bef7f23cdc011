"""Office tables are kept as typed, answered newest first, put away but never changed."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from server.store import Repository
from server.store.backup import copy_database
from server.store.errors import RequestReusedError, UnknownTableError, UnstorableTextError
from server.store.migration import STEPS, Steps
from server.store.repository import DATABASE_NAME
from server.store.restore import restore_database
from server.store.values import OfficeTableRow, Origin

ORIGIN = Origin("Made-up standard", "2099", "table 1", "A. Bee", "C. Dee")


def added(
    store: Repository, content: str = "size; 70\n6; 31\n", request_id: str = "table-one"
) -> OfficeTableRow:
    return store.add_office_table(origin=ORIGIN, content=content, request_id=request_id)


def test_a_table_is_kept_as_it_was_typed(store: Repository) -> None:
    row = added(store)

    assert store.office_table(row.id) == row
    assert store.office_tables() == (row,)
    assert (row.standard, row.edition, row.clause, row.typed_by, row.checked_by) == (
        "Made-up standard", "2099", "table 1", "A. Bee", "C. Dee",
    )  # fmt: skip
    assert row.content == "size; 70\n6; 31\n"


def test_the_newest_comes_first_and_a_repeated_request_adds_nothing(store: Repository) -> None:
    first, second = added(store), added(store, "size; 70\n6; 32\n", "table-two")

    assert store.office_tables() == (second, first)
    assert added(store) == first
    assert len(store.office_tables()) == 2
    with pytest.raises(RequestReusedError):
        added(store, "another")


def test_a_table_put_away_is_off_the_list_and_still_there(store: Repository) -> None:
    row = added(store)
    store.remove_office_table(row.id)

    assert store.office_tables() == ()
    assert store.office_table(row.id).removed_us is not None
    assert store.office_table(row.id).content == row.content
    assert [one.id for one in store.office_tables(put_away=True)] == [row.id]


def test_a_table_put_away_can_be_brought_back(store: Repository) -> None:
    row = added(store)
    store.remove_office_table(row.id)
    store.bring_back_office_table(row.id)

    assert store.office_tables() == (row,)
    assert store.office_tables(put_away=True) == ()
    with pytest.raises(UnknownTableError):
        store.bring_back_office_table("nothing")


def test_an_unknown_table_is_refused(store: Repository) -> None:
    with pytest.raises(UnknownTableError):
        store.office_table("nothing")
    with pytest.raises(UnknownTableError):
        store.remove_office_table("nothing")
    with pytest.raises(UnstorableTextError):
        added(store, "zero\0byte")


def test_what_was_typed_cannot_be_written_over(open_store: Callable[[], Repository], tmp_path: Path) -> None:
    store = open_store()
    added(store)
    store.close()

    with closing(sqlite3.connect(tmp_path / "data" / DATABASE_NAME)) as connection:
        for statement in (
            "UPDATE office_table SET content = 'else'",
            "UPDATE office_table SET edition = 'else'",
            "UPDATE office_table SET checked_by = 'else'",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                connection.execute(statement)


def test_a_backup_brings_the_tables_along(open_store: Callable[[], Repository], tmp_path: Path) -> None:
    store = open_store()
    row, database = added(store), tmp_path / "data" / DATABASE_NAME
    with closing(sqlite3.connect(database)) as reader:
        copy_database(reader, tmp_path / "copy.sqlite3")
    store.remove_office_table(row.id)
    store.close()
    restore_database(tmp_path / "copy.sqlite3", database, lambda: 7)

    assert open_store().office_tables() == (row,)


def test_a_folder_of_the_first_version_gets_the_table(tmp_path: Path) -> None:
    first = Steps(STEPS.folder, STEPS.versions[:1])
    Repository.open(tmp_path, steps=first).close()

    opened = Repository.open(tmp_path)

    assert opened.office_tables() == ()
    assert len(list((tmp_path / "backups").iterdir())) == 1
    opened.close()

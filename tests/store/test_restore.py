"""A backup put back in the place of a damaged or changed database."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from server.store import BoatRow, Repository
from server.store.errors import ForeignDatabaseError, NewerSchemaError, NoBackupError, StoreDamagedError
from server.store.repository import DATABASE_NAME
from server.store.restore import restore_database


def restored_at(backup: Path, path: Path) -> Path | None:
    return restore_database(backup, path, lambda: 77)


def add_later(store: Repository) -> None:
    store.create(body=b"later\n", name="Later", role="working", author="Ida", request_id="create-later")


@pytest.fixture
def backup(store: Repository, boat: BoatRow, tmp_path: Path) -> Path:
    """A backup of one boat at its first revision."""
    store.backup(tmp_path / "saved.sqlite3")
    return tmp_path / "saved.sqlite3"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / DATABASE_NAME


def test_what_was_backed_up_is_there_again_and_what_came_later_is_kept_aside(
    store: Repository, backup: Path, path: Path, open_store: Callable[[], Repository]
) -> None:
    add_later(store)
    store.close()

    kept = restored_at(backup, path)

    assert [row.name for row in open_store().boats()] == ["Heron"]
    assert kept == path.parent / "backups" / "boats-replaced-77.sqlite3"
    with closing(sqlite3.connect(kept)) as old:
        assert old.execute("SELECT name FROM boat ORDER BY name").fetchall() == [("Heron",), ("Later",)]


def test_an_old_write_ahead_log_does_not_reach_into_the_restored_database(
    store: Repository, backup: Path, path: Path, open_store: Callable[[], Repository]
) -> None:
    """A killed server leaves its log behind; here it is still beside the file, as the store is not closed."""
    add_later(store)
    assert path.with_name(path.name + "-wal").stat().st_size > 0

    kept = restored_at(backup, path)

    assert kept is not None
    assert kept.with_name(kept.name + "-wal").stat().st_size > 0
    assert [row.name for row in open_store().boats()] == ["Heron"]


def test_a_damaged_database_can_be_replaced(
    store: Repository, backup: Path, path: Path, open_store: Callable[[], Repository]
) -> None:
    store.close()
    path.write_bytes(b"not a database at all" * 100)

    restored_at(backup, path)

    assert [row.name for row in open_store().boats()] == ["Heron"]


def test_an_empty_folder_takes_a_backup_and_nothing_is_set_aside(backup: Path, tmp_path: Path) -> None:
    fresh = tmp_path / "fresh"
    fresh.mkdir()

    kept = restored_at(backup, fresh / DATABASE_NAME)

    assert kept is None
    with closing(sqlite3.connect(fresh / DATABASE_NAME)) as found:
        assert found.execute("SELECT count(*) FROM boat").fetchone() == (1,)


def write_database(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


def test_a_file_that_is_no_backup_is_refused_and_nothing_changes(
    store: Repository, backup: Path, path: Path, tmp_path: Path, open_store: Callable[[], Repository]
) -> None:
    store.close()
    before = path.read_bytes()
    empty, other, newer, broken = (tmp_path / name for name in ("empty", "other", "newer", "broken"))
    empty.write_bytes(b"")
    broken.write_bytes(b"no database" * 500)
    write_database(other, "CREATE TABLE sheep (name TEXT)")
    write_database(
        newer,
        "CREATE TABLE alembic_version (version_num TEXT)",
        "INSERT INTO alembic_version VALUES ('9999')",
    )
    half = tmp_path / "half"
    half.write_bytes(backup.read_bytes()[:-4096])

    for file, error in (
        (tmp_path / "missing", NoBackupError),
        (empty, NoBackupError),
        (other, ForeignDatabaseError),
        (newer, NewerSchemaError),
        (broken, StoreDamagedError),
        (half, StoreDamagedError),
    ):
        with pytest.raises(error):
            restored_at(file, path)

    assert path.read_bytes() == before
    assert [row.name for row in open_store().boats()] == ["Heron"]

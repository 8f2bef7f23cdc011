"""The settings that keep an acknowledged edit safe, and what the database refuses by itself."""

import os
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from server.store import BoatRow, Repository
from server.store.database import Database, hold_settings
from server.store.errors import (
    StaleError,
    StoreBusyError,
    StoreDamagedError,
    StoreFailedError,
    StoreFullError,
    StoreSettingsError,
)
from server.store.repository import DATABASE_NAME


@pytest.fixture
def raw(tmp_path: Path, boat: BoatRow) -> Iterator[sqlite3.Connection]:
    """Somebody with another program on the same file."""
    connection = sqlite3.connect(tmp_path / "data" / DATABASE_NAME, isolation_level=None)
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA recursive_triggers = ON")
    yield connection
    connection.close()


def append(store: Repository, boat: BoatRow, base: int, body: bytes = b"new\n", key: str = "k") -> None:
    store.append(boat.id, base, body=body, edit="{}", label="", author="Ida", request_id=key, request_sha="s")


def test_every_connection_runs_with_the_safe_settings(tmp_path: Path) -> None:
    # Which settings lose nothing: sqlite.org, "PRAGMA synchronous" (2 is FULL) and "Write-Ahead Logging".
    database = Database(tmp_path / "x.sqlite3")
    wanted = {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 5000,
        "journal_size_limit": 67108864,
        "recursive_triggers": 1,
    }
    with database.driver() as one, database.driver() as two:
        found = [
            {name: driver.execute(f"PRAGMA {name}").fetchone()[0] for name in wanted} for driver in (one, two)
        ]
    database.close()

    assert found == [wanted, wanted]


def test_a_database_that_cannot_take_a_setting_is_refused() -> None:
    # A database in memory has no write-ahead log.
    with (
        closing(sqlite3.connect(":memory:")) as connection,
        pytest.raises(StoreSettingsError, match="journal_mode = memory"),
    ):
        hold_settings(connection)


def test_opening_waits_for_another_starter_who_holds_the_new_file(tmp_path: Path) -> None:
    """The other one lets go at the second try."""
    path, tries = tmp_path / "x.sqlite3", []
    with (
        closing(sqlite3.connect(path, isolation_level=None)) as other,
        closing(sqlite3.connect(path, timeout=0)) as mine,
    ):
        other.execute("CREATE TABLE t (a)")
        other.execute("BEGIN")
        other.execute("SELECT * FROM t").fetchall()

        def watch(statement: str) -> None:
            tries.append(statement)
            if len(tries) == 2:
                other.execute("ROLLBACK")

        mine.set_trace_callback(watch)
        hold_settings(mine)

    assert tries[:3] == ["PRAGMA journal_mode = wal"] * 2 + ["PRAGMA busy_timeout = 5000"]


def test_opening_gives_up_on_a_file_that_is_held_for_ever(tmp_path: Path) -> None:
    path = tmp_path / "x.sqlite3"
    with (
        closing(sqlite3.connect(path, isolation_level=None)) as other,
        closing(sqlite3.connect(path, timeout=0)) as mine,
    ):
        other.execute("CREATE TABLE t (a)")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            hold_settings(mine, busy_timeout_ms=0)


def test_a_write_takes_the_file_at_its_beginning_and_a_read_does_not(
    tmp_path: Path, store: Repository, boat: BoatRow
) -> None:
    database = Database(tmp_path / "data" / DATABASE_NAME)
    with (
        closing(sqlite3.connect(database.path, timeout=0, isolation_level=None)) as other,
        database.write(),
        pytest.raises(sqlite3.OperationalError, match="locked"),
    ):
        other.execute("BEGIN IMMEDIATE")
    with closing(sqlite3.connect(database.path, timeout=0, isolation_level=None)) as other, database.read():
        other.execute("BEGIN IMMEDIATE")
        other.execute("ROLLBACK")
    database.close()


def test_another_programs_long_write_is_reported_as_busy(
    store: Repository, boat: BoatRow, raw: sqlite3.Connection
) -> None:
    raw.execute("BEGIN IMMEDIATE")
    with store._database.driver() as driver:
        driver.execute("PRAGMA busy_timeout = 1")

    with pytest.raises(StoreBusyError):
        append(store, boat, 1)
    raw.execute("ROLLBACK")
    append(store, boat, 1)
    assert store.boat(boat.id).head == 2


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE revision SET label = 'other'",
        "DELETE FROM revision",
        "INSERT OR REPLACE INTO revision SELECT * FROM revision",
        "UPDATE body SET z = x'00'",
    ],
)
def test_history_cannot_be_changed_even_from_outside(
    store: Repository, boat: BoatRow, raw: sqlite3.Connection, statement: str
) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="is never"):
        raw.execute(statement)
    assert store.head(boat.id).body == b"first\n"


@pytest.mark.parametrize("table", ["boat", "body"])
def test_what_a_revision_needs_cannot_be_deleted(raw: sqlite3.Connection, table: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        raw.execute(f"DELETE FROM {table}")  # noqa: S608


@pytest.mark.parametrize("table", ["boat", "body", "revision", "derived"])
def test_every_table_is_strict(raw: sqlite3.Connection, table: str) -> None:
    (strict,) = raw.execute(
        "SELECT strict FROM pragma_table_list WHERE schema = 'main' AND name = ?", [table]
    ).fetchone()

    assert strict == 1


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE boat SET head = 'two'",
        "INSERT INTO body VALUES (printf('%064d', 0), 'text where bytes belong')",
        "UPDATE boat SET updated_us = 1.5",
    ],
)
def test_a_value_of_another_type_is_refused(raw: sqlite3.Connection, statement: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="cannot store"):
        raw.execute(statement)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE boat SET head = 0",
        "UPDATE boat SET role = 'imagined'",
        "UPDATE boat SET forked_rev = 1",
        "INSERT INTO body VALUES ('short', x'00')",
        "INSERT INTO revision SELECT boat_id, 2, NULL, NULL, sha, '', '', '', '', 'r', '', 0 FROM revision",
        "INSERT INTO revision SELECT boat_id, 3, 1, NULL, sha, '', '', '', '', 'r', '', 0 FROM revision",
        "INSERT INTO revision SELECT boat_id, 2, 1, 1, sha, '', '', '', '', 'r', '', 0 FROM revision",
    ],
)
def test_a_value_that_makes_no_sense_is_refused(raw: sqlite3.Connection, statement: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="CHECK"):
        raw.execute(statement)


def test_an_unknown_role_or_hash_is_refused_in_the_stores_own_words(store: Repository) -> None:
    with pytest.raises(StoreFailedError, match="role"):
        store.create(body=b"", name="", role="imagined", author="", request_id="1")  # type: ignore[arg-type]
    with pytest.raises(StoreFailedError, match="FOREIGN KEY"):
        store.derived_put("no such hash", "1", "card", b"")
    assert store.check().bodies == 0


def test_a_full_disk_loses_nothing_and_writing_resumes(store: Repository, boat: BoatRow) -> None:
    """SQLite's own page limit gives the very error of a full disk."""
    with store._database.driver() as driver:
        (pages,) = driver.execute("PRAGMA page_count").fetchone()
        driver.execute(f"PRAGMA max_page_count = {pages}")
        driver.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    large = os.urandom(200_000)

    with pytest.raises(StoreFullError):
        append(store, boat, 1, large)
    assert store.head(boat.id).body == b"first\n"
    assert store.check().problems == ()
    with store._database.driver() as driver:
        driver.execute("PRAGMA max_page_count = 1000000")
    append(store, boat, 1, large)
    assert store.head(boat.id).body == large


def test_writing_stops_before_the_disk_is_quite_full_and_reading_goes_on(tmp_path: Path) -> None:
    opened = Repository.open(tmp_path, reserve_bytes=1 << 62)

    with pytest.raises(StoreFullError, match="free on the disk"):
        opened.create(body=b"", name="", role="working", author="", request_id="1")
    assert opened.boats() == ()
    opened.close()


def test_a_file_that_is_no_database_is_called_damaged(tmp_path: Path) -> None:
    (tmp_path / DATABASE_NAME).write_bytes(b"not a database, whatever its name says" * 100)

    with pytest.raises(StoreDamagedError):
        Repository.open(tmp_path)


def test_too_many_readers_at_once_are_told_so(tmp_path: Path) -> None:
    database = Database(tmp_path / "x.sqlite3")
    pool: Any = database._writes.pool
    pool._timeout = 0.01
    held = [database._writes.raw_connection() for _ in range(40)]

    with pytest.raises(StoreBusyError, match="readers"), database.driver():
        pass
    for connection in held:
        connection.close()
    database.close()


def test_many_writers_on_one_boat_leave_no_gap_and_lose_no_edit(store: Repository, boat: BoatRow) -> None:
    """Eight threads each get ten edits in, however often they are refused as stale."""
    accepted: list[tuple[int, bytes]] = []

    def writer(number: int) -> None:
        base = 1
        for turn in range(10):
            body = f"{number}/{turn}".encode()
            while True:
                try:
                    append(store, boat, base, body, key=f"{number}/{turn}")
                except StaleError as error:
                    base = error.head.rev
                else:
                    base += 1
                    accepted.append((base, body))
                    break

    threads = [threading.Thread(target=writer, args=[number]) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert [rev for rev, _ in sorted(accepted)] == list(range(2, 82))
    assert all(store.revision(boat.id, rev).body == body for rev, body in accepted)
    assert store.boat(boat.id).head == 81


@pytest.mark.parametrize("is_new", [True, False], ids=["new folder", "folder up to date"])
def test_alembic_is_loaded_only_when_a_step_has_to_be_run(tmp_path: Path, is_new: bool) -> None:
    if not is_new:
        Repository.open(tmp_path).close()
    program = (
        "import sys, pathlib; from server.store import Repository;"
        "before = 'alembic' in sys.modules;"
        "Repository.open(pathlib.Path(sys.argv[1])).close();"
        "print(before, 'alembic' in sys.modules)"
    )
    answer = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path)], capture_output=True, text=True, check=True
    )

    assert answer.stdout.split() == ["False", str(is_new)]

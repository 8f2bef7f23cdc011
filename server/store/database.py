"""One SQLite file, opened so that an acknowledged write survives a power cut.

Write-ahead log with full synchronisation, one writer at a time, every write transaction
taken at its beginning (a transaction that reads first and writes later would fail as busy).
"""

import shutil
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import cast

from sqlalchemy import URL, Connection, Engine, Pool, QueuePool, create_engine, event
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from server.store.errors import (
    StoreBusyError,
    StoreDamagedError,
    StoreError,
    StoreFailedError,
    StoreFullError,
    StoreSettingsError,
)

BUSY_TIMEOUT_MS = 5_000
RESERVE_BYTES = 64 * 1024 * 1024
READ_ONLY = "tapchart_read_only"

# recursive_triggers: without it INSERT OR REPLACE would slip past the triggers on DELETE.
SETTINGS = {
    "journal_mode": "wal",
    "synchronous": 2,
    "foreign_keys": 1,
    "journal_size_limit": 64 * 1024 * 1024,
    "recursive_triggers": 1,
}


def hold_settings(connection: sqlite3.Connection, busy_timeout_ms: int = BUSY_TIMEOUT_MS) -> None:
    """Set every setting on a fresh connection and read each one back.

    Raises:
        StoreSettingsError: SQLite did not take one, for instance on a file system without shared memory.
    """
    connection.isolation_level = None
    _switch_to_write_ahead_log(connection, time.monotonic() + busy_timeout_ms / 1_000)
    for name, wanted in {"busy_timeout": busy_timeout_ms, **SETTINGS}.items():
        connection.execute(f"PRAGMA {name} = {wanted}")
        (found,) = connection.execute(f"PRAGMA {name}").fetchone()
        if found != wanted:
            raise StoreSettingsError(f"SQLite runs with {name} = {found}, and {wanted} is needed")


def _switch_to_write_ahead_log(connection: sqlite3.Connection, deadline_s: float) -> None:
    """Wait for other starters by hand: where two try this switch at once, SQLite refuses without waiting."""
    while True:
        try:
            connection.execute("PRAGMA journal_mode = wal")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() > deadline_s:
                raise
            time.sleep(0.01)
        else:
            return


def open_engine(path: Path, pool: type[Pool] = QueuePool, busy_timeout_ms: int = BUSY_TIMEOUT_MS) -> Engine:
    """An engine whose every connection holds the settings and begins its writes at once."""
    size = {"pool_size": 8, "max_overflow": 32} if pool is QueuePool else {}
    engine = create_engine(URL.create("sqlite", database=str(path)), poolclass=pool, **size)

    @event.listens_for(engine, "connect")
    def _on_connect(connection: sqlite3.Connection, _record: object) -> None:
        hold_settings(connection, busy_timeout_ms)

    @event.listens_for(engine, "begin")
    def _on_begin(connection: Connection) -> None:
        reads_only = connection.get_execution_options().get(READ_ONLY, False)
        connection.exec_driver_sql("BEGIN" if reads_only else "BEGIN IMMEDIATE")

    return engine


def plain_error(error: BaseException | None) -> StoreError:
    """What an error of the SQLite driver means to us."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    match code:
        case sqlite3.SQLITE_FULL:
            return StoreFullError("there is no space left for the database")
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return StoreBusyError("another program holds the database")
        case sqlite3.SQLITE_CORRUPT | sqlite3.SQLITE_NOTADB:
            return StoreDamagedError(f"the database file is damaged: {error}")
        case _:
            return StoreFailedError(f"the database refused: {error}")


@contextmanager
def plain_errors() -> Iterator[None]:
    """Turn every error of the driver or the pool into one of the store's own."""
    try:
        yield
    except DBAPIError as error:
        raise plain_error(error.orig) from error
    except sqlite3.Error as error:
        raise plain_error(error) from error
    except PoolTimeoutError as error:
        raise StoreBusyError("too many readers at once") from error


class Database:
    """Short transactions on one file; writers queue here instead of inside SQLite."""

    def __init__(self, path: Path, reserve_bytes: int = RESERVE_BYTES) -> None:
        """Open the file; `reserve_bytes` is the free space below which writes are refused."""
        self.path = path
        self._reserve_bytes = reserve_bytes
        self._writes = open_engine(path)
        self._reads = self._writes.execution_options(**{READ_ONLY: True})
        self._write_lock = threading.Lock()

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """One consistent view of the database; does not wait for writers."""
        with plain_errors(), self._reads.connect() as connection:
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """One transaction, committed and on disk when the block has ended, or not at all.

        Raises:
            StoreFullError: less space is free than the reserve, or none at all.
            StoreBusyError: another process kept writing for five seconds.
        """
        with plain_errors(), self._write_lock:
            if shutil.disk_usage(self.path.parent).free < self._reserve_bytes:
                raise StoreFullError(f"less than {self._reserve_bytes} bytes are free on the disk")
            with self._writes.begin() as connection:
                yield connection

    @contextmanager
    def driver(self) -> Iterator[sqlite3.Connection]:
        """The driver's own connection, for what only SQLite knows."""
        with plain_errors():
            pooled = self._writes.raw_connection()
            try:
                yield cast(sqlite3.Connection, pooled.driver_connection)
            finally:
                pooled.close()

    def close(self) -> None:
        """Close every connection; the last one empties the write-ahead log."""
        self._writes.dispose()

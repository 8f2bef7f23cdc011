"""Copies of the whole database, taken while it is in use."""

import os
import sqlite3
from pathlib import Path

from server.store.errors import BackupExistsError, StoreDamagedError


def sync_folder(folder: Path) -> None:
    """Make a file's name as durable as its content."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def faults_of(connection: sqlite3.Connection) -> tuple[str, ...]:
    """What SQLite's own checks of pages, indexes and references find; empty if all is well."""
    pages = [text for (text,) in connection.execute("PRAGMA integrity_check") if text != "ok"]
    references = [
        f"{table} row {row} names a missing {target}"
        for table, row, target, _ in connection.execute("PRAGMA foreign_key_check")
    ]
    return (*pages, *references)


def copy_database(source: sqlite3.Connection, target: Path) -> None:
    """Write one self-contained, checked copy; it appears under its name only when complete.

    Raises:
        BackupExistsError: there is already a file of that name.
        StoreDamagedError: the copy does not pass SQLite's checks, so it was not kept.
    """
    if target.exists():
        raise BackupExistsError(f"{target.name} is already there")
    target.parent.mkdir(parents=True, exist_ok=True)
    unfinished = target.with_name(f"{target.name}.unfinished")
    unfinished.unlink(missing_ok=True)
    copy = sqlite3.connect(unfinished, isolation_level=None)
    try:
        source.backup(copy)
        # A copy that needs no -wal file beside it can be moved about safely.
        copy.execute("PRAGMA journal_mode = DELETE")
        faults = faults_of(copy)
    finally:
        copy.close()
    if faults:
        unfinished.unlink()
        raise StoreDamagedError(f"the copy is damaged: {faults[0]}")
    with unfinished.open("rb+") as file:
        os.fsync(file.fileno())
    unfinished.rename(target)
    sync_folder(target.parent)

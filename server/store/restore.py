"""Putting a backup back in the place of a data folder's database.

Copying a file over a database beside which an old write-ahead log lies damages it; so the backup is
checked, copied under another name, made durable, and only then renamed over the old file.
"""

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from server.store.backup import faults_of, sync_folder
from server.store.database import plain_errors
from server.store.errors import NoBackupError, StoreDamagedError
from server.store.migration import BACKUP_FOLDER, STEPS, needs_migration, schema_version

SIDE_FILES = ("-wal", "-shm")


def restore_database(backup: Path, path: Path, clock_us: Callable[[], int]) -> Path | None:
    """Put a backup in the place of a database; answers where the replaced one was kept, if there was one.

    Nobody may have the database open: hold the folder's lock. Whatever fails, the database is as before.

    Raises:
        NoBackupError: there is no such file, or it holds no tables.
        ForeignDatabaseError: the backup is a database of another program.
        NewerSchemaError: a newer version of this program wrote the backup.
        StoreDamagedError: the backup is no database, or does not pass SQLite's checks.
    """
    with plain_errors():
        _check(backup)
        kept = _set_aside(path, clock_us()) if path.exists() else None
        unfinished = path.with_name(f"{path.name}.unfinished")
        shutil.copyfile(backup, unfinished)
        with unfinished.open("rb+") as file:
            os.fsync(file.fileno())
        for side in SIDE_FILES:
            path.with_name(path.name + side).unlink(missing_ok=True)
        unfinished.replace(path)
        sync_folder(path.parent)
    return kept


def _check(backup: Path) -> None:
    if not backup.is_file():
        raise NoBackupError(f"there is no file {backup}")
    with closing(sqlite3.connect(backup)) as connection:
        version = schema_version(connection)
        if version is None:
            raise NoBackupError(f"{backup} holds no boats")
        needs_migration(version, STEPS)
        if faults := faults_of(connection):
            raise StoreDamagedError(f"the backup is damaged: {faults[0]}")


def _set_aside(path: Path, at_us: int) -> Path:
    """Keep copies of the database that is being replaced and of its write-ahead log, damaged or not."""
    folder = path.parent / BACKUP_FOLDER
    folder.mkdir(exist_ok=True)
    kept = folder / f"{path.stem}-replaced-{at_us}{path.suffix}"
    for side in ("", *SIDE_FILES):
        old = path.with_name(path.name + side)
        if old.exists():
            shutil.copyfile(old, kept.with_name(kept.name + side))
    sync_folder(folder)
    return kept

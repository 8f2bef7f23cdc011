"""Backups of a data folder: taken while it is in use, put back while nobody uses it."""

import sqlite3
from contextlib import closing
from pathlib import Path

from server.lock import folder_held
from server.store.backup import copy_database
from server.store.database import plain_errors
from server.store.errors import NoBackupError
from server.store.repository import DATABASE_NAME, system_clock_us
from server.store.restore import restore_database


def take_backup(folder: Path, target: Path) -> None:
    """Copy all boats and their histories into one checked file; a server may be running.

    Raises:
        NoBackupError: the folder holds no boats.
        BackupExistsError: there is already a file of that name.
        StoreError: the copy could not be made, or is damaged; then it was not kept.
    """
    path = folder / DATABASE_NAME
    if not path.is_file():
        raise NoBackupError(f"{folder} holds no boats")
    with plain_errors(), closing(sqlite3.connect(path)) as reader:
        copy_database(reader, target)


def put_back(folder: Path, backup: Path) -> Path | None:
    """Replace a folder's boats by those of a backup; answers where the replaced ones were kept.

    Raises:
        FolderInUseError: a server has the folder; stop it first.
        StoreError: the backup cannot be used; then nothing was changed.
    """
    with folder_held(folder) as announce:
        announce("tapchart restore")
        return restore_database(backup, folder / DATABASE_NAME, system_clock_us)

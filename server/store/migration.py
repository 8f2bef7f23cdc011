"""Bringing a data folder's tables up to date, or refusing it.

Alembic is loaded only when a step has to be run: an up-to-date folder starts without it.
"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, cast

from sqlalchemy import Connection, NullPool

from server.store.backup import copy_database, faults_of, sync_folder
from server.store.database import open_engine, plain_errors
from server.store.errors import ForeignDatabaseError, MigrationError, NewerSchemaError

if TYPE_CHECKING:
    from alembic.config import Config

BACKUP_FOLDER = "backups"
WAIT_FOR_OTHER_STARTER_MS = 60_000

# Alembic keeps its context in module globals.
_one_at_a_time = Lock()


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps a version of this program knows, oldest first, and the folder that holds them."""

    folder: Path
    versions: tuple[str, ...]

    @property
    def newest(self) -> str:
        """The version of the tables this program works with."""
        return self.versions[-1]


STEPS = Steps(Path(__file__).parent / "migrations", ("0001", "0002", "0003", "0004"))


def alembic_config(steps: Steps, connection: Connection) -> "Config":
    """Alembic's configuration for running steps on an open connection."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(steps.folder).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def schema_version(connection: sqlite3.Connection) -> str | None:
    """The version of the tables, or None where there are none yet.

    Raises:
        ForeignDatabaseError: there are tables, but none that says it is ours.
    """
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
    if not tables:
        return None
    if "alembic_version" not in tables:
        raise ForeignDatabaseError("the file is a database of another program")
    versions = [version for (version,) in connection.execute("SELECT version_num FROM alembic_version")]
    if len(versions) != 1:
        raise ForeignDatabaseError("the file does not say which version its tables have")
    return str(versions[0])


def needs_migration(version: str | None, steps: Steps) -> bool:
    """Whether steps have to be run.

    Raises:
        NewerSchemaError: the tables have a version this program does not know.
    """
    if version is not None and version not in steps.versions:
        raise NewerSchemaError(
            f"the data folder has tables of version {version}; this program knows up to {steps.newest}: "
            "use the newer program, or another data folder"
        )
    return version != steps.newest


def bring_up_to_date(path: Path, clock_us: Callable[[], int], steps: Steps = STEPS) -> None:
    """Create or upgrade the tables of one file; all steps happen, or none.

    A file that already has tables is first copied into the folder of backups.
    Several processes may do this at once: one works, the others wait and find it done.

    Raises:
        NewerSchemaError: the file was written by a newer version of this program.
        ForeignDatabaseError: the file is not ours.
        MigrationError: a step failed; the file is as it was before.
    """
    with plain_errors():
        with closing(sqlite3.connect(path)) as connection:
            version = schema_version(connection)
        if needs_migration(version, steps):
            with _one_at_a_time:
                _migrate(path, clock_us, steps)
            sync_folder(path.parent)


def _migrate(path: Path, clock_us: Callable[[], int], steps: Steps) -> None:
    engine = open_engine(path, NullPool, WAIT_FOR_OTHER_STARTER_MS)
    with engine.connect() as connection:
        driver = cast(sqlite3.Connection, connection.connection.driver_connection)
        # Rebuilding a table drops the old one, which references would forbid; checked again below.
        driver.execute("PRAGMA foreign_keys = OFF")
        with connection.begin():
            version = schema_version(driver)
            if not needs_migration(version, steps):
                return
            if version is not None:
                _back_up(path, version, steps, clock_us())
            _run(connection, driver, steps)


def _back_up(path: Path, version: str, steps: Steps, at_us: int) -> None:
    name = f"{path.stem}-{version}-before-{steps.newest}-{at_us}{path.suffix}"
    with closing(sqlite3.connect(path)) as reader:
        copy_database(reader, path.parent / BACKUP_FOLDER / name)


def _run(connection: Connection, driver: sqlite3.Connection, steps: Steps) -> None:
    from alembic import command

    try:
        command.upgrade(alembic_config(steps, connection), steps.newest)
    except Exception as error:
        raise MigrationError(f"the tables could not be brought to {steps.newest}: {error}") from error
    faults = faults_of(driver)
    if faults:
        raise MigrationError(f"the tables would be damaged by {steps.newest}: {faults[0]}")

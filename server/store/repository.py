"""Boats and their histories: everything the rest of the program asks of the store.

A document is bytes and an edit is text, both made by the caller; neither is read here.
Every write names the request it answers, so that a request sent twice is done once.
"""

import secrets
import time
from collections.abc import Callable
from pathlib import Path
from typing import Self

from server.store import checking
from server.store.backup import copy_database, faults_of
from server.store.changes import Changes
from server.store.database import RESERVE_BYTES, Database
from server.store.derivations import Derivations
from server.store.histories import Histories
from server.store.library import Library
from server.store.migration import STEPS, Steps, bring_up_to_date
from server.store.office_tables import OfficeTables
from server.store.option_notes import OptionNotes
from server.store.photos import Photos
from server.store.price_lists import PriceLists
from server.store.tables import BOAT, BODY, REVISION
from server.store.values import CheckReport

DATABASE_NAME = "boats.sqlite3"


def system_clock_us() -> int:
    """Microseconds since 1970 in UTC, by the machine's clock."""
    return time.time_ns() // 1_000


def random_boat_id() -> str:
    """A fresh id: a letter, then hexadecimal digits."""
    return f"b{secrets.token_hex(10)}"


class Repository(Histories, Changes, Derivations, OfficeTables, Photos, Library, OptionNotes, PriceLists):
    """All boats of one data folder.

    Safe to use from many threads; writes take turns. One process at a time should own a folder.
    Beside what its docstring says, every method may raise `StoreBusyError`, `StoreDamagedError`
    or `StoreFailedError`, and every method that writes `StoreFullError`; then nothing was written.
    """

    @classmethod
    def open(
        cls,
        folder: Path,
        clock_us: Callable[[], int] = system_clock_us,
        new_id: Callable[[], str] = random_boat_id,
        steps: Steps = STEPS,
        reserve_bytes: int = RESERVE_BYTES,
    ) -> Self:
        """Open a data folder, creating or upgrading what is in it.

        Raises:
            NewerSchemaError: a newer version of this program wrote the folder.
            ForeignDatabaseError: the file in the folder is not ours.
            MigrationError: upgrading failed; the folder is as before.
            StoreSettingsError: the file system cannot keep writes safe.
        """
        folder.mkdir(parents=True, exist_ok=True)
        bring_up_to_date(folder / DATABASE_NAME, clock_us, steps)
        return cls(Database(folder / DATABASE_NAME, reserve_bytes), clock_us, new_id)

    def close(self) -> None:
        """Close the file; the repository is of no use afterwards."""
        self._database.close()

    def check(self) -> CheckReport:
        """Read everything: every hash, every history, and SQLite's own checks of the file."""
        with self._database.driver() as driver:
            faults = faults_of(driver)
        with self._database.read() as connection:
            return CheckReport(
                boats=checking.count(connection, BOAT),
                revisions=checking.count(connection, REVISION),
                bodies=checking.count(connection, BODY),
                problems=(*faults, *checking.problems(connection)),
            )

    def backup(self, target: Path) -> None:
        """Write a checked copy of everything acknowledged so far, while work goes on.

        Raises:
            BackupExistsError: there is already a file of that name.
        """
        with self._database.driver() as driver:
            copy_database(driver, target)

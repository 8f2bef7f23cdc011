"""What every part of the repository stands on: an open database, a clock, and fresh ids."""

from collections.abc import Callable

from server.store.database import Database


class Opened:
    """An open database whose tables are up to date."""

    def __init__(self, database: Database, clock_us: Callable[[], int], new_id: Callable[[], str]) -> None:
        """Stand on a database; see `Repository.open`."""
        self._database = database
        self._clock_us = clock_us
        self._new_id = new_id

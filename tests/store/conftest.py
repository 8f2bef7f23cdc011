"""A store in an empty folder with a clock that only counts."""

from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

from server.store import BoatRow, Repository


@pytest.fixture
def open_store(tmp_path: Path) -> Iterator[Callable[[], Repository]]:
    """Opens the same folder as often as asked; its clock goes 1, 2, 3 … and its ids b1, b2 and so on."""
    ticks, ids, opened = count(1), count(1), []

    def opener() -> Repository:
        store = Repository.open(
            tmp_path / "data", lambda: next(ticks), lambda: f"b{next(ids)}", reserve_bytes=0
        )
        opened.append(store)
        return store

    yield opener
    for store in opened:
        store.close()


@pytest.fixture
def store(open_store: Callable[[], Repository]) -> Repository:
    """One open store."""
    return open_store()


@pytest.fixture
def boat(store: Repository) -> BoatRow:
    """A boat of one revision."""
    return store.create(
        body=b"first\n", name="Heron", role="working", author="Ida", request_id="create-heron"
    )

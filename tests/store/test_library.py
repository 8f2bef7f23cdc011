"""The yard's own parts: one a name, renamed and put away, never changed."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from server.store import Repository
from server.store.errors import NameTakenError, RequestReusedError, UnknownPartError, UnstorableTextError
from server.store.repository import DATABASE_NAME
from server.store.values import OwnPartRow


def added(store: Repository, name: str = "Yard fuse", content: str = "{}") -> OwnPartRow:
    return store.add_own_part(name=name, content=content, request_id=f"save-{name}")


def test_own_parts_are_listed_by_name_and_a_repeated_request_adds_nothing(store: Repository) -> None:
    switch, fuse = added(store, "switch"), added(store)

    assert store.own_parts() == (switch, fuse)
    assert added(store) == fuse
    assert len(store.own_parts()) == 2
    assert store.own_part(fuse.id) == fuse
    with pytest.raises(RequestReusedError):
        added(store, content='{"kind": "fuse"}')


def test_two_parts_do_not_share_a_name_until_one_is_put_away(store: Repository) -> None:
    fuse, other = added(store), added(store, "Other")
    with pytest.raises(NameTakenError):
        added(store, "YARD FUSE")
    with pytest.raises(NameTakenError):
        store.rename_own_part(other.id, "yard fuse")
    store.rename_own_part(fuse.id, "YARD fuse")
    store.remove_own_part(fuse.id)

    store.rename_own_part(other.id, "Yard fuse")
    assert [row.name for row in store.own_parts()] == ["Yard fuse"]
    assert store.own_part(fuse.id).removed_us is not None


def test_an_unknown_part_is_refused(store: Repository) -> None:
    for ask in (store.own_part, store.remove_own_part, lambda name: store.rename_own_part(name, "Else")):
        with pytest.raises(UnknownPartError):
            ask("nothing")
    with pytest.raises(UnstorableTextError):
        added(store, "zero\0byte")


def test_what_was_saved_cannot_be_written_over(open_store: Callable[[], Repository], tmp_path: Path) -> None:
    store = open_store()
    added(store)
    store.close()

    with (
        closing(sqlite3.connect(tmp_path / "data" / DATABASE_NAME)) as connection,
        pytest.raises(sqlite3.IntegrityError, match="never changed"),
    ):
        connection.execute("UPDATE own_part SET content = 'else'")

"""Photos are kept under their hash, never changed, and go only where no revision refers to them."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from server.store import BoatRow, Repository
from server.store.errors import UnknownPhotoError
from server.store.photos import UNUSED_FOR_US
from server.store.reading import body_sha
from server.store.repository import DATABASE_NAME
from server.store.restore import restore_database

PICTURE, SMALL = b"picture" * 9, b"small"


def put(store: Repository, picture: bytes = PICTURE) -> str:
    return store.put_photo(picture, SMALL, (1600, 1200)).sha


def append(store: Repository, boat: BoatRow, body: bytes) -> None:
    store.append(
        boat.id,
        store.boat(boat.id).head,
        body=body,
        edit="{}",
        label="An edit",
        author="Ida",
        request_id=f"edit-{body_sha(body)[:9]}",
        request_sha=body_sha(body),
    )


def a_day_later(store: Repository) -> None:
    """The next photo is put a day after the others; then what is unused goes."""
    now = store._clock_us
    store._clock_us = lambda: now() + 2 * UNUSED_FOR_US
    put(store, b"another")
    store._clock_us = now


def test_a_photo_is_filed_once_under_the_hash_of_its_bytes(store: Repository) -> None:
    sha = put(store)

    assert (sha, put(store)) == (body_sha(PICTURE), sha)
    assert store.photo_bytes(sha) == PICTURE
    assert store.photo_bytes(sha, small=True) == SMALL
    assert (store.photo(sha).width, store.photo(sha).height, store.photo(sha).used) == (1600, 1200, False)
    assert store.photos_there(frozenset({sha, "f" * 64})) == {sha}
    assert store.photos_size(frozenset({sha, "f" * 64})) == len(PICTURE)
    assert store.photos_size(frozenset()) == 0


def test_an_unknown_photo_is_refused(store: Repository) -> None:
    for ask in (store.photo, store.photo_bytes):
        with pytest.raises(UnknownPhotoError):
            ask("f" * 64)


def test_what_no_revision_refers_to_goes_after_a_day_and_the_rest_stays(
    store: Repository, boat: BoatRow
) -> None:
    forgotten, marked, unmarked = (put(store, name) for name in (b"one", b"two", b"three"))
    append(store, boat, f"shows {unmarked}\n".encode())
    append(store, boat, b"shows it no more\n")
    store.mark_photos_used(frozenset({marked}))

    put(store, b"soon after")
    assert store.photos_there(frozenset({forgotten, marked, unmarked})) == {forgotten, marked, unmarked}
    a_day_later(store)
    assert store.photos_there(frozenset({forgotten, marked, unmarked})) == {marked, unmarked}
    assert store.photo(unmarked).used


def test_a_photo_cannot_be_written_over_nor_a_used_one_deleted(
    open_store: Callable[[], Repository], tmp_path: Path
) -> None:
    store = open_store()
    store.mark_photos_used(frozenset({put(store)}))
    store.close()

    with closing(sqlite3.connect(tmp_path / "data" / DATABASE_NAME)) as connection:
        for statement in ("UPDATE photo SET picture = x'00'", "DELETE FROM photo"):
            with pytest.raises(sqlite3.IntegrityError, match="never"):
                connection.execute(statement)


def test_a_backup_brings_photos_and_own_parts_along(
    store: Repository, open_store: Callable[[], Repository], tmp_path: Path
) -> None:
    sha = put(store)
    part = store.add_own_part(name="Yard fuse", content="{}", request_id="save-fuse")
    store.backup(tmp_path / "saved.sqlite3")
    store.remove_own_part(part.id)
    store.close()
    restore_database(tmp_path / "saved.sqlite3", tmp_path / "data" / DATABASE_NAME, lambda: 77)

    again = open_store()
    assert again.photo_bytes(sha) == PICTURE
    assert again.own_parts() == (part,)
    assert again.check().problems == ()


def test_a_damaged_photo_is_found_by_the_check(store: Repository, tmp_path: Path) -> None:
    sha = put(store)
    store.close()
    with closing(sqlite3.connect(tmp_path / "data" / DATABASE_NAME)) as connection, connection:
        connection.execute("DROP TRIGGER photo_no_rewrite")
        connection.execute("UPDATE photo SET picture = x'00'")
    again = Repository.open(tmp_path / "data")

    assert again.check().problems == (f"photo {sha} does not match its hash",)
    again.close()

"""Checking the whole store and copying it while it is in use."""

import sqlite3
import threading
import zlib
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from server.store import BoatRow, CheckReport, Repository
from server.store.errors import BackupExistsError, CorruptBodyError, StoreDamagedError
from server.store.repository import DATABASE_NAME

Spoil = Callable[[str], None]
FORGED = zlib.compress(b"forged").hex()


@pytest.fixture
def spoil(tmp_path: Path, store: Repository, boat: BoatRow) -> Spoil:
    """Does to the file what no honest program would."""

    def run(statement: str) -> None:
        with closing(sqlite3.connect(tmp_path / "data" / DATABASE_NAME, isolation_level=None)) as connection:
            for trigger in ("revision_no_update", "revision_no_delete", "body_no_update"):
                connection.execute(f"DROP TRIGGER IF EXISTS {trigger}")
            connection.execute(statement)

    return run


def append(store: Repository, boat: BoatRow, base: int, body: bytes) -> None:
    store.append(
        boat.id, base, body=body, edit="{}", label="", author="", request_id=f"{base}", request_sha=""
    )


def test_a_sound_store_has_no_problems(store: Repository, boat: BoatRow) -> None:
    append(store, boat, 1, b"second\n")
    store.undo(boat.id, 2, author="", request_id="u", request_sha="")
    store.derived_put(boat.sha, "1", "card", b"card")

    assert store.check() == CheckReport(boats=1, revisions=3, bodies=2, problems=())


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        (f"UPDATE body SET z = x'{FORGED}'", "does not match its hash"),  # noqa: S608
        ("UPDATE body SET z = x'0102'", "is damaged"),
    ],
)
def test_a_changed_body_is_found_and_never_handed_out(
    store: Repository, boat: BoatRow, spoil: Spoil, statement: str, says: str
) -> None:
    spoil(statement)

    assert [says in problem and boat.sha in problem for problem in store.check().problems] == [True]
    with pytest.raises(CorruptBodyError, match=says):
        store.head(boat.id)


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("UPDATE boat SET head = 2", "b1 says its newest revision is 2, but has 1"),
        ("DELETE FROM revision", "but has 0"),
        ("DELETE FROM body", "missing body"),
        ("INSERT INTO derived SELECT sha, '1', 'card', x'00' FROM body", "card of"),
    ],
)
def test_what_does_not_fit_together_is_found(
    store: Repository, spoil: Spoil, statement: str, says: str
) -> None:
    spoil(statement)

    assert [says in problem for problem in store.check().problems] == [True]


def test_an_undo_that_shows_another_body_is_found(store: Repository, boat: BoatRow, spoil: Spoil) -> None:
    append(store, boat, 1, b"second\n")
    store.undo(boat.id, 2, author="", request_id="u", request_sha="")
    spoil("UPDATE revision SET sha = (SELECT sha FROM revision WHERE rev = 2) WHERE rev = 3")

    assert store.check().problems == ("revision 3 of b1 does not show what edit 1 showed",)


def test_a_damaged_derived_value_is_named_and_can_be_put_again(
    store: Repository, boat: BoatRow, spoil: Spoil
) -> None:
    store.derived_put(boat.sha, "1", "card", b"card")
    spoil("UPDATE derived SET z = x'00'")

    with pytest.raises(CorruptBodyError, match="card of"):
        store.derived_get(boat.sha, "1", "card")
    store.derived_put(boat.sha, "1", "card", b"card")
    assert store.derived_get(boat.sha, "1", "card") == b"card"


def test_a_backup_is_one_file_that_opens_as_a_store(tmp_path: Path, store: Repository, boat: BoatRow) -> None:
    append(store, boat, 1, b"second\n")
    copied = tmp_path / "copies" / DATABASE_NAME
    store.backup(copied)
    files = list(copied.parent.iterdir())
    copy = Repository.open(copied.parent)

    assert files == [copied]
    assert copy.head(boat.id) == store.head(boat.id)
    assert copy.check() == store.check()
    copy.close()


def test_a_backup_is_never_written_over(tmp_path: Path, store: Repository) -> None:
    target = tmp_path / "precious"
    target.write_text("keep me", encoding="utf-8")

    with pytest.raises(BackupExistsError, match="precious"):
        store.backup(target)
    assert target.read_text(encoding="utf-8") == "keep me"


def test_a_left_over_of_an_interrupted_backup_is_no_hindrance(tmp_path: Path, store: Repository) -> None:
    (tmp_path / "copy.unfinished").write_text("half", encoding="utf-8")
    store.backup(tmp_path / "copy")

    assert not (tmp_path / "copy.unfinished").exists()


def test_a_damaged_store_gives_no_backup(tmp_path: Path, store: Repository, spoil: Spoil) -> None:
    spoil("DELETE FROM body")

    with pytest.raises(StoreDamagedError, match="missing body"):
        store.backup(tmp_path / "copies" / "copy")
    assert list((tmp_path / "copies").iterdir()) == []


def test_a_backup_under_writers_holds_every_edit_acknowledged_before_it(
    tmp_path: Path, store: Repository
) -> None:
    """Four writers go on while five copies are made, each checked against what was promised by then."""
    boats = [
        store.create(body=b"0", name="", role="working", author="", request_id=f"create {n}", boat_id=f"w{n}")
        for n in range(4)
    ]
    acknowledged = {boat.id: 1 for boat in boats}
    busy, done = threading.Barrier(5), threading.Event()

    def write(boat: BoatRow) -> None:
        busy.wait(timeout=30)
        while not done.is_set():
            base = acknowledged[boat.id]
            body = f"{base}".encode()
            request = f"{boat.id} {base}"
            made = store.append(
                boat.id, base, body=body, edit="{}", label="", author="", request_id=request, request_sha=""
            )
            acknowledged[boat.id] = made.rev

    writers = [threading.Thread(target=write, args=[boat]) for boat in boats]
    for writer in writers:
        writer.start()
    busy.wait(timeout=30)
    promised = []
    for number in range(5):
        promised.append(dict(acknowledged))
        store.backup(tmp_path / f"copy-{number}" / DATABASE_NAME)
    done.set()
    for writer in writers:
        writer.join()

    for number, least in enumerate(promised):
        copy = Repository.open(tmp_path / f"copy-{number}")
        assert copy.check().problems == ()
        assert all(copy.boat(boat_id).head >= rev for boat_id, rev in least.items())
        copy.close()
    assert min(acknowledged.values()) > min(promised[0].values())

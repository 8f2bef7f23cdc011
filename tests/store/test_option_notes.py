"""What is said of an option is kept beside its documents and never in them."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from server.store import BoatRow, Repository
from server.store.errors import DeletedBoatError, RequestReusedError, UnknownBoatError, UnstorableTextError
from server.store.repository import DATABASE_NAME


@pytest.fixture
def option(store: Repository, boat: BoatRow) -> BoatRow:
    """An option of the boat."""
    return store.duplicate(boat.id, name="Plan A", role="option", author="Ida", request_id="option-one")


def test_a_note_and_another_name_leave_the_document_alone(store: Repository, option: BoatRow) -> None:
    before = store.head(option.id)
    said = store.describe_option(option.id, name="Plan B", note="with a thicker strap")

    assert (said.name, said.note) == ("Plan B", "with a thicker strap")
    assert store.boat(option.id) == said
    assert store.head(option.id) == before
    assert store.describe_option(option.id, name="Plan C", note="").note == ""


def test_a_name_that_was_given_besides_the_document_outlives_edits_and_undo(
    store: Repository, option: BoatRow
) -> None:
    store.describe_option(option.id, name="Plan B", note="")
    for base, name in ((1, None), (2, "Heron II")):
        store.append(
            option.id,
            base,
            body=f"body {base}\n".encode(),
            edit="{}",
            label="an edit",
            author="Ida",
            request_id=f"edit-number-{base}",
            request_sha="sha",
            name=name,
        )
        assert store.boat(option.id).name == (name or "Plan B")
    store.undo(option.id, 3, author="Ida", request_id="undo-the-name", request_sha="sha")

    assert store.boat(option.id).name == "Plan A"


def test_an_option_put_aside_comes_back_with_its_note(store: Repository, option: BoatRow) -> None:
    store.describe_option(option.id, name="Plan A", note="dear")
    aside = store.put_option_aside(option.id, aside=True)

    assert aside.aside_us is not None
    assert store.put_option_aside(option.id, aside=True) == aside
    back = store.put_option_aside(option.id, aside=False)
    assert (back.aside_us, back.note) == (None, "dear")
    assert store.put_option_aside(option.id, aside=False) == back


def test_putting_aside_needs_no_note_first(store: Repository, option: BoatRow) -> None:
    assert store.put_option_aside(option.id, aside=True).note == ""


def test_what_is_not_there_is_refused(store: Repository, option: BoatRow) -> None:
    with pytest.raises(UnknownBoatError):
        store.put_option_aside("ghost", aside=True)
    with pytest.raises(UnstorableTextError):
        store.describe_option(option.id, name="Plan", note="zero\0byte")
    store.delete(option.id)
    with pytest.raises(DeletedBoatError):
        store.describe_option(option.id, name="Plan", note="")


def test_the_newest_price_list_is_in_force_and_a_repeated_request_keeps_none_twice(store: Repository) -> None:
    assert store.price_list() is None
    first = store.keep_price_list(content="hour; 80\n", request_id="prices-one")
    second = store.keep_price_list(content="hour; 90\n", request_id="prices-two")

    assert store.price_list() == second
    assert store.keep_price_list(content="hour; 80\n", request_id="prices-one") == first
    assert store.price_list() == second
    with pytest.raises(RequestReusedError):
        store.keep_price_list(content="hour; 100\n", request_id="prices-one")


def test_a_kept_price_list_cannot_be_written_over(
    open_store: Callable[[], Repository], tmp_path: Path
) -> None:
    store = open_store()
    store.keep_price_list(content="hour; 80\n", request_id="prices-one")
    store.close()

    with closing(sqlite3.connect(tmp_path / "data" / DATABASE_NAME)) as connection:
        for statement in ("UPDATE price_list SET content = 'else'", "DELETE FROM price_list"):
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                connection.execute(statement)


def test_a_folder_of_the_third_version_gets_both_tables(
    open_store: Callable[[], Repository], tmp_path: Path
) -> None:
    store = open_store()
    row = store.create(body=b"first\n", name="Heron", role="working", author="Ida", request_id="create-one")
    store.close()
    with closing(sqlite3.connect(tmp_path / "data" / DATABASE_NAME)) as connection, connection:
        connection.execute("DROP TABLE option_note")
        connection.execute("DROP TABLE price_list")
        connection.execute("UPDATE alembic_version SET version_num = '0003'")

    again = open_store()

    assert again.boat(row.id) == row
    assert again.price_list() is None

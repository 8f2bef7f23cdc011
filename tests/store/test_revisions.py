"""What is stored comes back, and nothing acknowledged is ever changed or lost."""

import hashlib
import re
from collections.abc import Callable

import pytest

from server.store import BoatRow, Repository, Revision
from server.store.errors import (
    BoatExistsError,
    DeletedBoatError,
    RequestReusedError,
    StaleError,
    UnknownBoatError,
    UnknownRevisionError,
    UnstorableTextError,
)
from server.store.repository import random_boat_id


def create(store: Repository, body: bytes = b"first\n", name: str = "Heron") -> BoatRow:
    """The request that the fixture `boat` makes, and its variations."""
    return store.create(body=body, name=name, role="working", author="Ida", request_id="create-heron")


def edit(store: Repository, boat_id: str, base: int, key: str, body: bytes = b"second\n") -> Revision:
    return store.append(
        boat_id,
        base,
        body=body,
        edit=f'{{"kind":"rename","to":"{key}"}}',
        label=f"do {key}",
        author="Ida",
        request_id=key,
        request_sha=f"sha of {key}",
    )


def test_a_created_boat_says_who_made_it_when_and_of_what(boat: BoatRow) -> None:
    assert boat == BoatRow(
        id="b1",
        name="Heron",
        role="working",
        head=1,
        # SHA-256 as FIPS 180-4 defines it, by the standard library.
        sha=hashlib.sha256(b"first\n").hexdigest(),
        author="Ida",
        label="",
        forked_from=None,
        forked_rev=None,
        deleted_us=None,
        created_us=1,
        updated_us=1,
    )


@pytest.mark.parametrize(
    "body", [b"", b"\x00\xff not text \r\n", "Ø ∶ naïve\n".encode(), bytes(300_000)], ids=len
)
def test_a_body_comes_back_byte_for_byte(store: Repository, boat: BoatRow, body: bytes) -> None:
    edit(store, boat.id, 1, "k", body)

    assert store.head(boat.id).body == body
    assert store.revision(boat.id, 1).body == b"first\n"


def test_a_revision_says_who_did_what_when_on_which_revision(store: Repository, boat: BoatRow) -> None:
    made = edit(store, boat.id, 1, "k")

    assert (made.rev, made.base, made.restores, made.step) == (2, 1, None, "edit")
    assert (made.author, made.label, made.at_us) == ("Ida", "do k", 2)
    assert made.edit == '{"kind":"rename","to":"k"}'
    assert (made.request_id, made.request_sha) == ("k", "sha of k")
    assert store.head(boat.id) == made == store.revision(boat.id, 2)


def test_a_boat_shows_its_newest_revision(store: Repository, boat: BoatRow) -> None:
    made = edit(store, boat.id, 1, "k")
    row = store.boat(boat.id)

    assert (row.head, row.sha, row.author, row.label) == (2, made.sha, "Ida", "do k")
    assert (row.created_us, row.updated_us) == (1, 2)


def test_boats_are_listed_last_changed_first(store: Repository, boat: BoatRow) -> None:
    other = store.create(body=b"other\n", name="Tern", role="surveyed", author="Bo", request_id="create-tern")
    before = [row.id for row in store.boats()]
    edit(store, boat.id, 1, "k")

    assert before == [other.id, boat.id]
    assert [row.id for row in store.boats()] == [boat.id, other.id]


def test_history_lists_every_step_oldest_first(store: Repository, boat: BoatRow) -> None:
    edit(store, boat.id, 1, "k", b"2\n")
    edit(store, boat.id, 2, "l", b"3\n")

    assert [(e.rev, e.step, e.label) for e in store.history(boat.id)] == [
        (1, "created", ""),
        (2, "edit", "do k"),
        (3, "edit", "do l"),
    ]
    assert [e.rev for e in store.history(boat.id, after=2)] == [3]


def test_everything_is_there_after_reopening(open_store: Callable[[], Repository]) -> None:
    first = open_store()
    boat = create(first)
    made = edit(first, boat.id, 1, "k")
    first.close()

    assert open_store().head(boat.id) == made


def test_a_stale_edit_is_refused_with_what_changed_meanwhile(store: Repository, boat: BoatRow) -> None:
    edit(store, boat.id, 1, "k", b"2\n")
    newest = edit(store, boat.id, 2, "l", b"3\n")

    with pytest.raises(StaleError) as refused:
        edit(store, boat.id, 1, "m", b"mine\n")
    assert refused.value.head == newest
    assert refused.value.since == store.history(boat.id, after=1)
    assert store.head(boat.id) == newest
    assert store.check().bodies == 3


@pytest.mark.parametrize("base", [-1, 0, 2, 99])
def test_an_edit_of_a_revision_that_never_was_is_refused(store: Repository, boat: BoatRow, base: int) -> None:
    with pytest.raises(UnknownRevisionError):
        edit(store, boat.id, base, "k")


def test_a_repeated_request_answers_the_revision_it_made(open_store: Callable[[], Repository]) -> None:
    first = open_store()
    boat = create(first)
    made = edit(first, boat.id, 1, "k")
    edit(first, boat.id, 2, "l", b"third\n")
    first.close()
    second = open_store()

    assert edit(second, boat.id, 1, "k") == made
    assert second.boat(boat.id).head == 3


def test_a_repeated_request_is_answered_even_when_the_boat_is_deleted(
    store: Repository, boat: BoatRow
) -> None:
    made = edit(store, boat.id, 1, "k")
    store.delete(boat.id)

    assert edit(store, boat.id, 1, "k") == made


def test_a_request_id_is_not_used_for_something_else(store: Repository, boat: BoatRow) -> None:
    other = store.create(body=b"other\n", name="Tern", role="working", author="Bo", request_id="create-tern")
    edit(store, boat.id, 1, "k")

    with pytest.raises(RequestReusedError):
        store.append(
            boat.id, 2, body=b"x", edit="{}", label="", author="Ida", request_id="k", request_sha="another"
        )
    with pytest.raises(RequestReusedError):
        edit(store, other.id, 1, "k")
    with pytest.raises(RequestReusedError):
        create(store, name="Tern")
    assert [row.head for row in store.boats()] == [2, 1]


def test_creating_twice_with_one_request_makes_one_boat(store: Repository, boat: BoatRow) -> None:
    again = create(store)

    assert again == boat
    assert store.boats() == (boat,)


def test_a_boat_can_be_given_its_id_once(store: Repository) -> None:
    made = store.create(body=b"1", name="A", role="surveyed", author="", request_id="1", boat_id="sloop")

    assert made.id == "sloop"
    with pytest.raises(BoatExistsError):
        store.create(body=b"2", name="B", role="surveyed", author="", request_id="2", boat_id="sloop")
    assert store.head("sloop").body == b"1"


def test_an_id_made_by_chance_has_the_form_of_the_documents_ids() -> None:
    ids = {random_boat_id() for _ in range(100)}

    assert len(ids) == 100
    assert all(re.fullmatch("[a-z][a-z0-9-]{0,31}", boat_id) for boat_id in ids)


def test_a_duplicate_begins_with_the_same_body_and_stores_no_new_one(
    store: Repository, boat: BoatRow
) -> None:
    edit(store, boat.id, 1, "k")
    option = store.duplicate(boat.id, name="Heron, option", role="option", author="Bo", request_id="fork")
    bodies = store.check().bodies
    older = store.duplicate(boat.id, rev=1, name="As it was", role="option", author="Bo", request_id="fork-1")

    assert (option.head, option.role, option.name) == (1, "option", "Heron, option")
    assert (option.forked_from, option.forked_rev) == (boat.id, 2)
    assert store.head(option.id).body == b"second\n"
    assert (older.forked_rev, store.head(older.id).body) == (1, b"first\n")
    assert bodies == store.check().bodies == 2


def test_an_edit_of_a_duplicate_leaves_the_first_alone(store: Repository, boat: BoatRow) -> None:
    option = store.duplicate(boat.id, name="Option", role="option", author="Bo", request_id="fork")
    edit(store, option.id, 1, "k")

    assert store.head(boat.id).body == b"first\n"
    assert store.boat(boat.id) == boat


def test_duplicating_twice_with_one_request_makes_one_boat(store: Repository, boat: BoatRow) -> None:
    made = [
        store.duplicate(boat.id, name="Option", role="option", author="Bo", request_id="fork")
        for _ in range(2)
    ]

    assert made[0] == made[1]
    assert len(store.boats()) == 2


def test_a_missing_or_deleted_boat_is_not_duplicated(store: Repository, boat: BoatRow) -> None:
    with pytest.raises(UnknownRevisionError):
        store.duplicate(boat.id, rev=7, name="x", role="option", author="", request_id="1")
    with pytest.raises(UnknownBoatError):
        store.duplicate("nobody", name="x", role="option", author="", request_id="2")
    store.delete(boat.id)
    with pytest.raises(DeletedBoatError):
        store.duplicate(boat.id, name="x", role="option", author="", request_id="3")


def test_the_name_follows_an_edit_its_undo_and_its_redo(store: Repository, boat: BoatRow) -> None:
    store.append(
        boat.id,
        1,
        body=b"renamed\n",
        edit="{}",
        label="rename",
        author="Ida",
        request_id="k",
        request_sha="s",
        name="Grey Heron",
    )
    renamed = store.boat(boat.id).name
    edit(store, boat.id, 2, "l")
    kept = store.boat(boat.id).name
    for base in (3, 4):
        store.undo(boat.id, base, author="Ida", request_id=f"undo {base}", request_sha="s")
    undone = store.boat(boat.id).name
    store.redo(boat.id, 5, author="Ida", request_id="redo", request_sha="s")

    assert (renamed, kept, undone) == ("Grey Heron", "Grey Heron", "Heron")
    assert store.boat(boat.id).name == "Grey Heron"


def test_a_deleted_boat_is_hidden_refuses_edits_and_can_be_restored(store: Repository, boat: BoatRow) -> None:
    gone = store.delete(boat.id)

    assert gone.deleted_us == 2
    assert store.delete(boat.id) == gone
    assert store.boats() == ()
    assert store.deleted_boats() == (gone,)
    assert store.head(boat.id).body == b"first\n"
    with pytest.raises(DeletedBoatError):
        edit(store, boat.id, 1, "k")
    assert store.restore(boat.id) == store.restore(boat.id) == boat
    assert store.boats() == (boat,)
    assert store.deleted_boats() == ()


def test_a_boat_that_never_was_is_named(store: Repository) -> None:
    for ask in (
        store.boat,
        store.head,
        store.history,
        store.delete,
        store.restore,
        store.can_undo,
        store.can_redo,
    ):
        with pytest.raises(UnknownBoatError, match="nobody"):
            ask("nobody")
    with pytest.raises(UnknownBoatError, match="nobody"):
        store.revision("nobody", 1)
    with pytest.raises(UnknownBoatError, match="nobody"):
        edit(store, "nobody", 1, "k")


def test_a_revision_that_never_was_is_named(store: Repository, boat: BoatRow) -> None:
    with pytest.raises(UnknownRevisionError, match="revision 2"):
        store.revision(boat.id, 2)


@pytest.mark.parametrize("text", ["zero \0 byte", "half a pair \ud800"])
def test_text_that_no_database_keeps_is_refused(store: Repository, boat: BoatRow, text: str) -> None:
    with pytest.raises(UnstorableTextError):
        store.create(body=b"", name=text, role="working", author="", request_id="1")
    with pytest.raises(UnstorableTextError):
        store.undo(boat.id, 1, author=text, request_id="2", request_sha="")
    with pytest.raises(UnstorableTextError):
        store.redo(boat.id, 1, author="", request_id=text, request_sha="")


def test_what_was_derived_is_kept_for_its_body_version_and_kind(store: Repository, boat: BoatRow) -> None:
    store.derived_put(boat.sha, "1", "card", b"old")
    store.derived_put(boat.sha, "1", "card", b"new")
    store.derived_put(boat.sha, "2", "card", b"of version 2")
    second = edit(store, boat.id, 1, "k")

    assert store.derived_get(boat.sha, "1", "card") == b"new"
    assert store.derived_get(boat.sha, "1", "picture") is None
    assert store.derived_get_many([boat.sha, second.sha], "2", "card") == {boat.sha: b"of version 2"}


def test_what_other_engine_versions_derived_can_be_dropped(store: Repository, boat: BoatRow) -> None:
    store.derived_put(boat.sha, "1", "card", b"old")
    store.derived_put(boat.sha, "2", "card", b"new")
    store.derived_keep_only("2")

    assert store.derived_get(boat.sha, "1", "card") is None
    assert store.derived_get(boat.sha, "2", "card") == b"new"

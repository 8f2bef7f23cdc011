"""Undo and redo walk back and forth, each as a new revision."""

import pytest

from server.store import BoatRow, Repository, Revision, TakeBack
from server.store.errors import NothingToRedoError, NothingToUndoError, RequestReusedError, StaleError


class Hand:
    """Somebody who always works on the newest revision."""

    def __init__(self, store: Repository, boat_id: str) -> None:
        self.store, self.boat_id, self.rev = store, boat_id, 1

    def edit(self, body: str, author: str = "Ida") -> Revision:
        return self._moved(
            self.store.append(
                self.boat_id,
                self.rev,
                body=body.encode(),
                edit="{}",
                label=f"write {body}",
                author=author,
                request_id=f"on {self.rev}",
                request_sha="s",
            )
        )

    def undo(self, author: str = "Ida") -> Revision:
        return self._moved(
            self.store.undo(
                self.boat_id, self.rev, author=author, request_id=f"on {self.rev}", request_sha="s"
            )
        )

    def redo(self, author: str = "Ida") -> Revision:
        return self._moved(
            self.store.redo(
                self.boat_id, self.rev, author=author, request_id=f"on {self.rev}", request_sha="s"
            )
        )

    def _moved(self, made: Revision) -> Revision:
        self.rev = made.rev
        return made


@pytest.fixture
def hand(store: Repository, boat: BoatRow) -> Hand:
    return Hand(store, boat.id)


def test_a_row_bears_the_label_of_the_edit_it_shows_not_of_the_one_undone(hand: Hand) -> None:
    hand.edit("A")
    hand.edit("B")
    labels = []
    for step in (hand.undo, hand.undo, hand.redo):
        step()
        labels.append(hand.store.boat(hand.boat_id).label)

    assert labels == ["write A", "", "write A"]


def test_undo_undo_redo_redo_walks_back_and_forth(hand: Hand) -> None:
    hand.edit("A")
    hand.edit("B")
    bodies = [step().body for step in (hand.undo, hand.undo, hand.redo, hand.redo)]

    assert bodies == [b"A", b"first\n", b"A", b"B"]
    assert [(e.rev, e.step, e.restores, e.subject) for e in hand.store.history(hand.boat_id)] == [
        (1, "created", None, 1),
        (2, "edit", None, 2),
        (3, "edit", None, 3),
        (4, "undo", 2, 3),
        (5, "undo", 1, 2),
        (6, "redo", 2, 2),
        (7, "redo", 3, 3),
    ]


def test_undo_after_redo_takes_the_same_edit_back_again(hand: Hand) -> None:
    hand.edit("A")
    hand.edit("B")
    bodies = [step().body for step in (hand.undo, hand.redo, hand.undo, hand.undo, hand.redo)]

    assert bodies == [b"A", b"B", b"A", b"first\n", b"A"]


def test_a_new_edit_after_an_undo_starts_a_new_branch(hand: Hand) -> None:
    hand.edit("A")
    hand.edit("B")
    hand.undo()
    hand.edit("C")

    assert hand.store.can_redo(hand.boat_id) is None
    with pytest.raises(NothingToRedoError):
        hand.redo()
    assert [step().body for step in (hand.undo, hand.undo, hand.redo, hand.redo)] == [
        b"A",
        b"first\n",
        b"A",
        b"C",
    ]
    with pytest.raises(NothingToRedoError):
        hand.redo()


def test_undo_ends_at_the_body_the_boat_was_created_with(hand: Hand) -> None:
    with pytest.raises(NothingToUndoError):
        hand.undo()
    hand.edit("A")
    hand.undo()
    with pytest.raises(NothingToUndoError):
        hand.undo()


def test_an_undo_and_a_redo_bear_the_label_of_the_edit(hand: Hand) -> None:
    hand.edit("A")
    undone, redone = hand.undo("Bo"), hand.redo("Cy")

    assert (undone.label, undone.author, undone.edit) == ("write A", "Bo", None)
    assert (redone.label, redone.author, redone.edit) == ("write A", "Cy", None)


def test_whose_edit_would_be_taken_back_is_known_beforehand(hand: Hand) -> None:
    hand.edit("A", "Ida")
    hand.edit("B", "Bo")
    hand.undo("Cy")
    ask = hand.store

    assert ask.can_undo(hand.boat_id) == TakeBack(2, "write A", "Ida", at_us=2, returns_to=1)
    assert ask.can_redo(hand.boat_id) == TakeBack(3, "write B", "Bo", at_us=3, returns_to=3)


def test_what_could_be_undone_is_also_known_for_an_older_revision(hand: Hand) -> None:
    hand.edit("A")
    hand.edit("B")
    hand.undo()
    hand.undo()
    ask = hand.store

    def subjects(rev: int) -> list[int | None]:
        steps = (ask.can_undo(hand.boat_id, rev), ask.can_redo(hand.boat_id, rev))
        return [None if step is None else step.rev for step in steps]

    assert [subjects(rev) for rev in range(1, 6)] == [[None, None], [2, None], [3, None], [2, 3], [None, 2]]


def test_a_repeated_undo_undoes_once(hand: Hand) -> None:
    hand.edit("A")
    hand.edit("B")
    made = hand.undo()
    again = hand.store.undo(hand.boat_id, 3, author="Ida", request_id="on 3", request_sha="s")

    assert again == made
    assert hand.store.boat(hand.boat_id).head == 4
    with pytest.raises(RequestReusedError):
        hand.store.undo(hand.boat_id, 4, author="Ida", request_id="on 3", request_sha="other")


def test_an_undo_of_somebody_elses_newer_edit_is_refused_as_stale(hand: Hand) -> None:
    hand.edit("A")
    newest = hand.edit("B", "Bo")

    with pytest.raises(StaleError) as refused:
        hand.store.undo(hand.boat_id, 2, author="Ida", request_id="late", request_sha="s")
    assert (refused.value.head, [e.author for e in refused.value.since]) == (newest, ["Bo"])
    with pytest.raises(StaleError):
        hand.store.redo(hand.boat_id, 2, author="Ida", request_id="late", request_sha="s")


def test_undo_and_redo_store_no_new_body(hand: Hand) -> None:
    hand.edit("A")
    hand.undo()
    hand.redo()

    assert hand.store.check().bodies == 2

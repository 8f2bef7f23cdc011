"""Options: branched, described, put aside and taken over; nothing of it loses a byte."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from server.actions import options
from server.actions.changes import apply_edit, take_back
from server.actions.choices import UnknownChoiceError
from server.actions.history import between, boat_at, history, lineage, restore
from server.actions.troubles import EditError, StaleError, UnknownBoatError
from server.actions.yard import Yard, open_boat, open_yard
from server.boat.edits import MoveLead, RemoveConductor, Rename, SetLength, SetSize
from server.boat.value import TerminalRef

BUS = TerminalRef(part="negative-bus", terminal="stud-3")
MOVE = MoveLead(part="autopilot", terminal="negative", to=BUS)


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    """A yard with the demo boats."""
    opened = open_yard(tmp_path / "data", demo=True)
    yield opened
    opened.store.close()


def branched(yard: Yard, name: str = "Plan A") -> str:
    return options.branch(yard, "sloop", 1, name, "", f"request-{name}").id


def moved(yard: Yard, option: str) -> None:
    apply_edit(yard, option, open_boat(yard, option).rev, MOVE, f"move-{option}")


def longer(yard: Yard, boat: str, length_m: float = 9.0) -> None:
    edit = SetLength(conductor="plotter-neg", length_m=length_m, basis="measured")
    apply_edit(yard, boat, open_boat(yard, boat).rev, edit, f"length-{boat}-{length_m}")


def test_a_branch_of_any_revision_has_its_very_bytes(yard: Yard) -> None:
    first = open_boat(yard, "sloop").revision.body
    longer(yard, "sloop")
    option = options.branch(yard, "sloop", 1, "Plan A", "the old length", "request-a")

    assert open_boat(yard, option.id).revision.body == first
    assert (option.role, option.forked_from, option.forked_rev, option.note) == (
        "option", "sloop", 1, "the old length",
    )  # fmt: skip
    assert options.branch(yard, "sloop", 1, "Plan A", "the old length", "request-a").id == option.id


def test_a_family_lists_each_option_after_the_one_it_came_from(yard: Yard) -> None:
    first, second = branched(yard), branched(yard, "Plan B")
    moved(yard, first)
    below = options.branch(yard, first, 2, "Plan A, thicker", "", "request-below").id

    found = options.family(yard, below)

    assert found.root.id == "sloop"
    assert [(one.row.id, one.depth) for one in found.options] == [(first, 1), (below, 2), (second, 1)]
    assert [len(one.steps) for one in found.options] == [1, 0, 0]
    assert options.family(yard, "sloop") == found
    with pytest.raises(UnknownBoatError):
        options.family(yard, "ghost")


def test_another_name_and_note_touch_no_document(yard: Yard) -> None:
    option = branched(yard)
    before = open_boat(yard, option).revision
    said = options.describe(yard, option, "Plan Z", "dearer")

    assert (said.name, said.note) == ("Plan Z", "dearer")
    assert open_boat(yard, option).revision == before
    with pytest.raises(UnknownBoatError):
        options.describe(yard, "sloop", "Plan", "")


def test_put_aside_and_brought_back(yard: Yard) -> None:
    option = branched(yard)

    assert options.put_aside(yard, option, aside=True).aside_us is not None
    assert [one.row.id for one in options.family(yard, "sloop").options] == [option]
    assert options.put_aside(yard, option, aside=False).aside_us is None


def test_an_option_taken_over_gives_its_bytes_and_undo_gives_back_those_of_before(yard: Yard) -> None:
    """Law: take over, then undo, is no change at all, of the bytes and of what the boat is."""
    option = branched(yard)
    moved(yard, option)
    before = open_boat(yard, "sloop")
    taken = options.take_over(yard, option, 2, 1, "whole", "take-over-1").after

    assert taken.revision.body == open_boat(yard, option).revision.body
    assert (taken.row.role, taken.revision.label) == ("working", "Taken over: Plan A")
    assert options.option_of(yard, option).is_taken
    undone = take_back(yard, "sloop", taken.rev, "undo", "undo-take-over").after
    assert undone.revision.body == before.revision.body
    assert (undone.row.role, undone.row.name) == (before.row.role, before.row.name)
    assert not options.option_of(yard, option).is_taken
    again = take_back(yard, "sloop", undone.rev, "redo", "redo-take-over").after
    assert (again.revision.body, again.row.role) == (taken.revision.body, "working")


def test_the_boat_keeps_its_own_name(yard: Yard) -> None:
    name = open_boat(yard, "sloop").boat.name
    option = branched(yard)
    apply_edit(yard, option, 1, Rename(name="Plan A in full"), "rename-option")
    taken = options.take_over(yard, option, 2, 1, "whole", "take-over-2").after

    assert (taken.boat.name, taken.row.name) == (name, name)


def test_a_boat_that_moved_on_is_never_overwritten_unseen(yard: Yard) -> None:
    option = branched(yard)
    moved(yard, option)
    longer(yard, "sloop")

    assert [one.rev for one in options.option_of(yard, option).moved_on] == [2]
    with pytest.raises(StaleError):
        options.take_over(yard, option, 2, 1, "whole", "take-over-3")


def test_on_top_keeps_what_the_boat_did_meanwhile(yard: Yard) -> None:
    option = branched(yard)
    moved(yard, option)
    longer(yard, "sloop")
    taken = options.take_over(yard, option, 2, 2, "on-top", "take-over-4").after.boat

    assert next(one for one in taken.conductors if one.id == "plotter-neg").length_m == 9.0
    alone = open_boat(yard, option).boat
    ends = {one.id: (one.tail, one.head) for one in alone.conductors}
    assert {one.id: (one.tail, one.head) for one in taken.conductors} == ends


def test_a_step_that_no_longer_fits_is_named(yard: Yard) -> None:
    option = branched(yard)
    apply_edit(yard, option, 1, SetSize(conductor="plotter-neg", size=None), "size-of-plotter-neg")
    apply_edit(yard, "sloop", 1, RemoveConductor(id="plotter-neg"), "out-with-plotter-neg")

    with pytest.raises(EditError, match="does not fit the boat as it is now"):
        options.take_over(yard, option, 2, 2, "on-top", "take-over-5")


def test_a_step_that_brought_in_a_whole_document_is_not_made_again_on_top(yard: Yard) -> None:
    option = branched(yard)
    longer(yard, option)
    restore(yard, option, 2, 1, "restore-option")

    with pytest.raises(EditError, match="brought in a whole document"):
        options.take_over(yard, option, 3, 1, "on-top", "take-over-6")


def test_restoring_gives_the_very_bytes_as_a_new_revision_and_undo_takes_it_back(yard: Yard) -> None:
    """Law: what is restored is the body of that revision, byte for byte."""
    longer(yard, "sloop", 9.0)
    longer(yard, "sloop", 8.0)
    bodies = [boat_at(yard, "sloop", rev).revision.body for rev in (1, 2, 3)]
    after = restore(yard, "sloop", 3, 1, "restore-1").after

    assert (after.rev, after.revision.body) == (4, bodies[0])
    assert after.revision.label == "Again as in revision 1 (Demo boat)"
    assert [boat_at(yard, "sloop", rev).revision.body for rev in (1, 2, 3)] == bodies
    assert take_back(yard, "sloop", 4, "undo", "undo-restore").after.revision.body == bodies[2]


@pytest.mark.parametrize("rev", [0, 1, 3, 99])
def test_what_is_no_earlier_revision_or_the_same_is_refused(yard: Yard, rev: int) -> None:
    longer(yard, "sloop")
    take_back(yard, "sloop", 2, "undo", "undo-length")

    with pytest.raises(EditError):
        restore(yard, "sloop", 3, rev, f"restore-{rev}")


def test_a_revision_that_never_was_is_told(yard: Yard) -> None:
    with pytest.raises(UnknownChoiceError, match="no revision 7"):
        boat_at(yard, "sloop", 7)


def test_the_list_says_what_stands_now_and_what_branched_where(yard: Yard) -> None:
    longer(yard, "sloop")
    option = branched(yard)
    take_back(yard, "sloop", 2, "undo", "undo-length")
    now, edit, first = history(yard, "sloop")

    assert [now.is_now, edit.is_now, first.is_now] == [True, False, False]
    assert [now.is_same_as_now, edit.is_same_as_now, first.is_same_as_now] == [False, False, True]
    assert [row.id for row in first.branches] == [option]


def test_steps_between_leave_out_what_was_undone_and_cross_branches(yard: Yard) -> None:
    longer(yard, "sloop", 9.0)
    take_back(yard, "sloop", 2, "undo", "undo-length")
    longer(yard, "sloop", 8.0)
    option = options.branch(yard, "sloop", 4, "Plan", "", "request-plan").id
    moved(yard, option)
    longer(yard, "sloop", 7.0)
    way = between(yard, ("sloop", 5), (option, 2))

    assert way.base is not None
    assert (way.base.boat_id, way.base.rev) == ("sloop", 4)
    assert [(one.boat_id, one.rev) for one in way.back] == [("sloop", 5)]
    assert [(one.boat_id, one.rev) for one in way.steps] == [(option, 2)]
    assert [one.rev for one in lineage(yard, option, 2)] == [1, 4, 2]
    assert between(yard, ("sloop", 5), ("trawler", 1)).base is None

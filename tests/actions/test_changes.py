"""Changing boats: one edit is one revision, a survey is kept as evidence, nothing is done twice."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from server.actions import boats, changes
from server.actions.troubles import (
    EditError,
    NothingToRedoError,
    NothingToUndoError,
    RequestReusedError,
    StaleError,
    UnknownBoatError,
)
from server.actions.yard import Yard, document, open_boat, open_yard, revision_of
from server.boat.document import read_boat
from server.boat.edits import ChangeValue, MoveLead, Rename, Several
from server.boat.value import TerminalRef
from server.bundled import bundled

MOVE = MoveLead(
    part="autopilot", terminal="negative", to=TerminalRef(part="negative-bus", terminal="stud-10")
)


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    """A yard with the sloop alone, as surveyed."""
    yard = open_yard(tmp_path)
    body = (bundled("seed_boats") / "1-sloop.json").read_bytes()
    yard.store.create(
        body=body, name="Sloop", role="surveyed", author="t", request_id="seed", boat_id="sloop"
    )
    yield yard
    yard.store.close()


def test_a_move_on_a_survey_opens_an_option_and_leaves_the_survey(yard: Yard) -> None:
    change = changes.apply_edit(yard, "sloop", 1, MOVE, "request-1")

    assert change.opened_option
    assert change.after.row.role == "option"
    assert (change.after.row.forked_from, change.after.row.forked_rev) == ("sloop", 1)
    assert open_boat(yard, "sloop").rev == 1


def test_several_edits_of_the_layout_open_an_option_too(yard: Yard) -> None:
    several = Several(edits=(MOVE, Rename(id="autopilot", name="Pilot")), label="Both")

    assert changes.apply_edit(yard, "sloop", 1, several, "request-1").opened_option


def test_correcting_what_was_recorded_stays_in_the_survey(yard: Yard) -> None:
    edit = ChangeValue(id="autopilot", field="inputs.0.minimum_voltage_v", value=8.0)
    change = changes.apply_edit(yard, "sloop", 1, edit, "request-1")

    assert not change.opened_option
    assert (change.after.id, change.after.rev) == ("sloop", 2)


def test_options_are_counted_and_a_repeated_request_opens_no_second_one(yard: Yard) -> None:
    first = changes.apply_edit(yard, "sloop", 1, MOVE, "request-1").after
    again = changes.apply_edit(yard, "sloop", 1, MOVE, "request-1").after
    other = changes.apply_edit(yard, "sloop", 1, MOVE, "request-2").after

    assert first.id == again.id
    assert [first.row.name, other.row.name] == ["Sloop, option 1", "Sloop, option 2"]


def test_a_refused_move_leaves_no_empty_option_behind(yard: Yard) -> None:
    nowhere = MOVE.model_copy(update={"to": TerminalRef(part="negative-bus", terminal="stud-99")})
    with pytest.raises(EditError):
        changes.apply_edit(yard, "sloop", 1, nowhere, "request-1")

    assert len(boats.all_boats(yard)) == 1


def test_undo_restores_the_very_bytes_and_redo_brings_the_edit_back(yard: Yard) -> None:
    option = changes.apply_edit(yard, "sloop", 1, MOVE, "request-1").after
    undone = changes.take_back(yard, option.id, 2, "undo", "request-2").after
    redone = changes.take_back(yard, option.id, 3, "redo", "request-3").after

    assert undone.revision.body == yard.store.head("sloop").body
    assert redone.revision.body == option.revision.body
    with pytest.raises(NothingToRedoError):
        changes.take_back(yard, option.id, 4, "redo", "request-4")


def test_a_fresh_boat_has_nothing_to_undo(yard: Yard) -> None:
    with pytest.raises(NothingToUndoError):
        changes.take_back(yard, "sloop", 1, "undo", "request-1")


def test_a_stale_edit_tells_what_others_did_in_words(yard: Yard) -> None:
    changes.apply_edit(yard, "sloop", 1, Rename(name="Teal"), "request-1")
    changes.take_back(yard, "sloop", 2, "undo", "request-2")
    with pytest.raises(StaleError) as stale:
        changes.apply_edit(yard, "sloop", 1, Rename(name="Heron"), "request-3")

    said = changes.changed_meanwhile(stale.value.since)
    assert len(said) == 2
    assert said[1].startswith("Undone: ")
    assert all(text.endswith("(this device)") for text in said)


def test_a_key_used_for_another_edit_is_refused(yard: Yard) -> None:
    changes.apply_edit(yard, "sloop", 1, Rename(name="Teal"), "request-1")
    with pytest.raises(RequestReusedError):
        changes.apply_edit(yard, "sloop", 1, Rename(name="Heron"), "request-1")


def test_renaming_renames_the_row_too(yard: Yard) -> None:
    changes.apply_edit(yard, "sloop", 1, Rename(name="Teal"), "request-1")

    assert boats.row(yard, "sloop").name == "Teal"


def test_an_input_that_is_not_there_is_an_edit_error(yard: Yard) -> None:
    assert changes.input_number(yard, "sloop", "bilge-pump", "automatic") in {0, 1}
    with pytest.raises(EditError, match="no input"):
        changes.input_number(yard, "sloop", "autopilot", "ghost")


def test_a_deleted_boat_is_not_open(yard: Yard) -> None:
    boats.delete(yard, "sloop")
    with pytest.raises(UnknownBoatError):
        open_boat(yard, "sloop")

    boats.restore(yard, "sloop")
    assert open_boat(yard, "sloop").rev == 1


def test_demo_boats_that_were_deleted_stay_deleted(yard: Yard) -> None:
    boats.delete(yard, "sloop")
    ids = boats.put_in_demo_boats(yard)

    assert ids[0] == "sloop"
    assert boats.teaching_boat(yard) is None
    assert len(boats.all_boats(yard)) == 4


def test_the_boat_after_an_edit_is_what_its_bytes_say_and_shares_what_was_left_alone(yard: Yard) -> None:
    before = open_boat(yard, "sloop").boat
    after = changes.apply_edit(yard, "sloop", 1, Rename(id="autopilot", name="Pilot"), "request-1").after

    assert read_boat(after.revision.body) == after.boat
    assert after.boat.conductors is before.conductors


def test_a_request_sent_again_from_a_later_page_does_not_mix_up_documents(yard: Yard) -> None:
    """The key decides: the first answer stands, and its document stays that of its bytes."""
    rename = Rename(id="autopilot", name="Pilot")
    changes.apply_edit(yard, "sloop", 1, rename, "request-1")
    changes.apply_edit(yard, "sloop", 2, Rename(id="plotter", name="Chart"), "request-2")
    fresh = Yard(store=yard.store)
    again = changes.apply_edit(fresh, "sloop", 3, rename, "request-1")

    for rev in (1, 2, 3):
        revision = revision_of(fresh, "sloop", rev)
        assert document(fresh, revision) == read_boat(revision.body)
    assert again.after.rev == 3

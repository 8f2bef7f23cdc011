"""Findings that somebody lets stand: kept with name, reason and figure, and forgotten with their subject."""

import json

import pytest

from server.boat.acceptance import Acceptance
from server.boat.document import DocumentError, boat_bytes, read_boat
from server.boat.edits import (
    AcceptFinding,
    AnyEdit,
    EditError,
    RemoveMode,
    RemovePart,
    WithdrawAcceptance,
    apply,
    label,
    read_edit,
)
from server.boat.figure import Figure
from server.boat.finding import Finding
from tests.boat.small_boat import BOAT

FIGURE = Figure(value=8.4, unit="V", basis="computed")


def acceptance(mode: str | None = "sailing", reason: str = "Has a battery of its own.") -> Acceptance:
    return Acceptance(
        code="restarts",
        subjects=("pilot", "main"),
        mode=mode,
        severity="fault",
        figure=FIGURE,
        by="A. Surveyor",
        reason=reason,
    )


ACCEPTED = apply(BOAT, AcceptFinding(acceptance=acceptance()))


def test_an_acceptance_names_its_finding_as_the_finding_names_itself() -> None:
    finding = Finding(
        code="restarts",
        severity="fault",
        subjects=("pilot", "main"),
        mode="sailing",
        message="The autopilot restarts.",
        source="as entered",
        source_status="document",
    )

    assert acceptance().finding == finding.id


def test_it_stands_in_the_document_and_comes_back() -> None:
    body = boat_bytes(ACCEPTED)

    assert json.loads(body)["accepted"][0]["by"] == "A. Surveyor"
    assert read_boat(body) == ACCEPTED
    assert b'"accepted"' not in boat_bytes(BOAT)


def test_a_second_acceptance_of_the_same_finding_takes_the_place_of_the_first() -> None:
    again = apply(ACCEPTED, AcceptFinding(acceptance=acceptance(reason="Its battery was renewed.")))
    other = apply(again, AcceptFinding(acceptance=acceptance(mode=None)))

    assert [one.reason for one in again.accepted] == ["Its battery was renewed."]
    assert len(other.accepted) == 2


def test_it_is_withdrawn_by_the_id_of_the_finding() -> None:
    edit = WithdrawAcceptance(finding=acceptance().finding)

    assert apply(ACCEPTED, edit).accepted == ()
    assert label(ACCEPTED, edit) == "No longer accepted: restarts, Autopilot"
    with pytest.raises(EditError, match="not accepted"):
        apply(BOAT, edit)
    assert label(BOAT, edit) == "No longer accepted: a finding"


def test_the_history_says_who_accepted_what() -> None:
    edit = read_edit(AcceptFinding(acceptance=acceptance()).model_dump_json())

    assert label(BOAT, edit) == "Accepted by A. Surveyor: restarts, Autopilot"


@pytest.mark.parametrize(
    ("code", "words"), [("uncounted", "not counted by the battery monitor"), ("stud-full", "stud full")]
)
def test_an_accepted_finding_is_told_in_words_and_not_by_its_code(code: str, words: str) -> None:
    edit = AcceptFinding(acceptance=acceptance().model_copy(update={"code": code}))

    assert label(BOAT, edit) == f"Accepted by A. Surveyor: {words}, Autopilot"


@pytest.mark.parametrize(
    "edit", [RemovePart(id="pilot"), RemoveMode(id="sailing")], ids=["its part", "its mode"]
)
def test_what_it_is_about_takes_it_along(edit: AnyEdit) -> None:
    assert apply(ACCEPTED, edit).accepted == ()


@pytest.mark.parametrize(
    ("changed", "field"),
    [({"subjects": ("nowhere",)}, "acceptance.subjects"), ({"mode": "nowhere"}, "acceptance.mode")],
)
def test_a_finding_of_something_that_is_not_aboard_cannot_be_accepted(
    changed: dict[str, object], field: str
) -> None:
    with pytest.raises(EditError) as error:
        apply(BOAT, AcceptFinding(acceptance=acceptance().model_copy(update=changed)))

    assert error.value.field == field


def test_a_document_that_accepts_something_unknown_or_twice_is_refused_with_the_place() -> None:
    document = json.loads(boat_bytes(ACCEPTED))
    known = document["accepted"][0]
    document["accepted"] += [known, known | {"subjects": ["nowhere"]}, known | {"mode": "nowhere"}]
    with pytest.raises(DocumentError) as error:
        read_boat(json.dumps(document).encode())

    assert [one.path for one in error.value.problems] == [
        "accepted[1]",
        "accepted[2].subjects[0]",
        "accepted[3].mode",
    ]

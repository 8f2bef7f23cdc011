"""A finding keeps its id, and its mends are edits that can be made."""

from server.boat.constructors import at
from server.boat.edits import MoveLead, apply
from server.boat.finding import Figure, Finding, Mend
from tests.boat.small_boat import BOAT, conductor

MEND = Mend(
    label="Move the autopilot's negative to the bus",
    edits=(MoveLead(part="pilot", terminal="negative", to=at("bus.stud-2")),),
)


def finding(mode: str | None = None, event: str | None = None) -> Finding:
    return Finding(
        code="restarts",
        severity="fault",
        subjects=("pilot", "block"),
        figure=Figure(value=7.1, unit="V", basis="computed"),
        limit=Figure(value=9.0, unit="V", basis="rule"),
        message="The autopilot restarts.",
        source="maker's manual",
        source_status="document",
        mends=(MEND,),
        mode=mode,
        event=event,
    )


def test_the_id_is_made_of_code_subjects_mode_and_event() -> None:
    assert finding().id == "restarts-pilot-block-any-steady"
    assert finding(mode="sailing").id == "restarts-pilot-block-sailing-steady"
    assert finding(mode="starting", event="start").id == "restarts-pilot-block-starting-start"


def test_the_id_does_not_change_with_the_figure() -> None:
    other = finding().model_copy(update={"figure": Figure(value=7.2, unit="V", basis="computed")})

    assert other.id == finding().id


def test_a_mend_is_a_label_and_edits() -> None:
    boat = BOAT
    for edit in finding().mends[0].edits:
        boat = apply(boat, edit)

    assert conductor(boat, "pilot-n").head == at("bus.stud-2")


def test_a_finding_comes_back_from_its_json() -> None:
    assert Finding.model_validate_json(finding().model_dump_json()) == finding()

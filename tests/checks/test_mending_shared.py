"""Mends for what a load shares with a heavy load; the boat after each says what it does."""

from collections.abc import Iterable

import pytest

from server.boat.boat import Boat
from server.boat.edits import MoveLead, SetSize, apply
from server.boat.finding import Finding
from server.checks.events import event_findings
from server.checks.mending.candidates import candidates
from server.checks.mending.patient import Patient
from server.checks.mending.shared import MOST_WIRES, heavy_elsewhere, thicker_shared
from server.engine.analysis import analyse_mode
from server.engine.answer import TapAnswer
from server.engine.taps import pick_up
from tests.checks.test_event_findings import followed
from tests.engine.demo import demo_boat

STARTING = ("starting", "engine-start")


@pytest.fixture(scope="module")
def boat() -> Boat:
    return demo_boat("1-sloop")


@pytest.fixture(scope="module")
def patient(boat: Boat) -> Patient:
    finding = next(one for one in event_findings(boat, followed(boat, *STARTING)) if one.code == "restarts")
    return Patient(boat, finding, tuple(analyse_mode(boat, mode.id, explained=()) for mode in boat.modes))


def test_the_wire_that_costs_most_is_made_thicker_first(patient: Patient) -> None:
    """The sloop's engine strap makes three of the five volts of the autopilot's dip."""
    found = list(thicker_shared(patient))
    edits = [edit for mend in found for edit in mend.edits]

    assert all(isinstance(edit, SetSize) for edit in edits)
    wires = list(dict.fromkeys(edit.conductor for edit in edits if isinstance(edit, SetSize)))
    assert wires[0] == "strap"
    assert len(wires) <= MOST_WIRES


def test_a_heavier_shared_wire_lifts_the_load_as_the_boat_after_it_says(boat: Boat, patient: Patient) -> None:
    mend = next(iter(thicker_shared(patient)))
    after = boat
    for edit in mend.edits:
        after = apply(after, edit)

    def lowest(one: Boat) -> float:
        answer = followed(one, *STARTING)
        load = next(load for load in answer.loads if load.part == "autopilot")
        return load.events[0].lowest.value

    gain_v = lowest(after) - lowest(boat)
    assert 0.01 < gain_v < 0.25  # the strap's wire takes a quarter of a volt in all; its lug the rest


def test_the_heavy_loads_own_leads_are_tried_on_the_places_that_break_nothing(
    boat: Boat, patient: Patient
) -> None:
    def taps(part: str, terminal: str) -> Iterable[TapAnswer]:
        return pick_up(boat, part, terminal, *STARTING).taps

    moves = [edit for mend in heavy_elsewhere(patient, taps) for edit in mend.edits]

    assert all(isinstance(edit, MoveLead) and edit.part == "starter" for edit in moves)
    bolted = [edit for edit in moves if isinstance(edit, MoveLead) and edit.terminal == "negative"]
    assert bolted == []  # the starter's case is bolted to its engine
    offered = [mend.label for mend in candidates(patient, taps)]
    assert any("Engine strap" in label or "instead of" in label for label in offered)


def test_a_finding_of_no_event_has_nothing_shared(boat: Boat, patient: Patient) -> None:
    steady = Finding(
        code="restarts",
        severity="fault",
        subjects=("autopilot", "supply"),
        message="It restarts.",
        source="none",
        source_status="document",
    )
    bare = Patient(boat, steady, patient.modes)

    assert list(thicker_shared(bare)) == []
    assert list(heavy_elsewhere(bare, lambda _part, _terminal: ())) == []

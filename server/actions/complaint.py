"""From “it restarts when the engine starts” to the suspect stretch and the best place for its leads."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions import answers, in_time
from server.actions.choices import Chosen, UnknownChoiceError
from server.actions.complaint_answers import Complaint, Readings
from server.actions.complaint_boat import complaint_boat
from server.actions.complaint_device import Left, left_for_device
from server.actions.complaint_legs import LEAST_A, BrokenWayError, Legs, legs
from server.actions.complaint_measured import readings_edit, sound, with_measured
from server.actions.complaint_states import DEVICE, START, STARTING, is_complaint
from server.actions.events_in_time import UnsolvedEventError
from server.actions.pick_ups import leads_met
from server.actions.yard import BoatRow, OpenBoat, Yard
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import Several

if TYPE_CHECKING:
    from server.engine.answer import AssumedValue, EventAnswer, PickUp
    from server.engine.transient.answer import EventRun


class NoComplaintError(UnknownChoiceError):
    """A boat whose complaint cannot be answered; the message says why."""


@dataclass(frozen=True)
class Answered:
    """Where the start's volts go, what the device has of it, and what its leads would meet elsewhere.

    ``left`` is what the other readings leave for it, ``cranked_v`` what is computed there; ``assumed`` is
    what the start took for granted.
    """

    legs: Legs
    device: str
    seen: "EventAnswer"
    leads: "tuple[PickUp, ...]"
    cranked_v: float | None
    left: Left | None
    assumed: "tuple[AssumedValue, ...]"


def begin(yard: Yard, said: Complaint, request_id: str) -> BoatRow:
    """Make a boat of a complaint and keep it, to go on with.

    A stretch that its readings show to be bad has the resistance that they give it, and a starter of which
    nobody knows the current has that of the clamp.
    """
    clamped_a = said.readings.current_a
    if said.starter_a is None and clamped_a is not None and clamped_a >= LEAST_A:
        said = replace(said, starter_a=clamped_a)
    boat = complaint_boat(said)
    if boat.readings:
        boat = _measured(boat)
    return yard.store.create(
        body=boat_bytes(boat),
        name=boat.name,
        role="working",
        author=yard.author,
        request_id=request_id,
        label=f"Begun: {said.device} restarts as the engine starts"[:120],
    )


def new_readings(opened: OpenBoat, got: Readings) -> Several | None:
    """The edit that keeps other readings, with what they make of the boat; None where nothing changes.

    Raises:
        NoComplaintError: the boat was changed too far for them.
    """
    from server.engine.transient.circuit import TransientError

    _require_complaint(opened.boat)
    try:
        return readings_edit(opened.boat, got)
    except (BrokenWayError, TransientError) as error:
        raise NoComplaintError(f"The readings cannot be taken over: {str(error).rstrip('.')}.") from None


def _measured(boat: Boat) -> Boat:
    """The boat after its readings; as it was where its start cannot be followed, which its page then says."""
    from server.engine.transient.circuit import TransientError

    try:
        return with_measured(boat)
    except (TransientError, BrokenWayError):
        return boat


def answer(yard: Yard, opened: OpenBoat) -> Answered:
    """The answer to the complaint as the boat stands now.

    Raises:
        NoComplaintError: it was not begun from a complaint, or was changed too far.
    """
    from server.engine.transient.circuit import TransientError

    _require_complaint(opened.boat)
    try:
        found = legs(sound(opened.boat))
    except (BrokenWayError, TransientError) as error:
        raise NoComplaintError(f"The complaint cannot be answered: {str(error).rstrip('.')}.") from None
    chosen = Chosen(STARTING, START)
    solved = in_time.over(
        yard,
        opened.sha,
        opened.boat,
        answers.answer(yard, opened.sha, opened.boat, STARTING, START),
        (START,),
    )
    load = next((one for one in solved.loads if one.part == DEVICE), None)
    seen = None if load is None else next((one for one in load.events if one.event == START), None)
    if load is None or seen is None:
        raise NoComplaintError("The device of the complaint is not there, not on, or not fed.")
    run = _run(yard, opened)
    return Answered(
        legs=found,
        device=load.name,
        seen=seen,
        leads=leads_met(yard, opened, load, chosen, waits=True),
        cranked_v=None if run is None else _cranked(run, load.id),
        left=left_for_device(opened.boat, found),
        assumed=() if run is None else (*run.derived, *run.assumptions),
    )


def _require_complaint(boat: Boat) -> None:
    if not is_complaint(boat):
        raise NoComplaintError(
            "The complaint cannot be answered: this boat has no start or no device of one."
        )


def _run(yard: Yard, opened: OpenBoat) -> "EventRun | None":
    from server.actions.events_in_time import event_in_time

    try:
        return event_in_time(yard, opened.sha, opened.boat, STARTING, START)
    except UnsolvedEventError:
        return None


def _cranked(run: "EventRun", key: str) -> float:
    """What a hand meter would show at the device while the engine cranks."""
    from server.actions.events_in_time import wave_of

    phase = next(one for one in run.phases if one.name == "run")
    return wave_of(run, key).mean(phase.start_s, phase.end_s)

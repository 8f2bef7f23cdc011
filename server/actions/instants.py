"""One instant of an event in time; the solved event is kept, so that a cursor can wander through it."""

from typing import TYPE_CHECKING

from server.actions.choices import UnknownChoiceError
from server.actions.results import Results
from server.boat.boat import Boat

if TYPE_CHECKING:
    from server.engine.transient.event_in_time import EventInTime
    from server.engine.transient.instant import InstantAnswer


def instant(results: Results, sha: str, boat: Boat, mode: str, event: str, at_s: float) -> "InstantAnswer":  # noqa: PLR0913, PLR0917 - each names one thing of the question
    """The currents and voltages of an event at an instant.

    Raises:
        UnknownChoiceError: the boat has no such mode or event, the event cannot be solved in time, or the
            instant lies outside of it.
    """
    from server.engine.transient.instant import at_instant

    try:
        solved = results.solved.get((sha, mode, event), lambda: _solved(boat, mode, event))
        return at_instant(solved, at_s)
    except ValueError as error:
        raise UnknownChoiceError(str(error)) from None


def _solved(boat: Boat, mode: str, event: str) -> "EventInTime":
    from server.engine.analysis import UnknownModeError
    from server.engine.solution import Solution
    from server.engine.transient.event_in_time import EventInTime

    try:
        solution = Solution.of(boat, mode)
        return EventInTime(solution, solution.event(event), ())
    except UnknownModeError as error:
        raise UnknownChoiceError(str(error)) from None

"""A boat fed by a published starting profile in the place of its batteries."""

from typing import TYPE_CHECKING

from server.actions.events_in_time import refusals
from server.actions.results import Results
from server.boat.boat import Boat

if TYPE_CHECKING:
    from server.engine.transient.answer import EventRun
    from server.engine.transient.fed_model import Post
    from server.practice.supply import StartingLevel


def levels_of(boat: Boat) -> "tuple[StartingLevel, ...]":
    """The levels with a verified profile for every system voltage that the boat's batteries have."""
    from server.engine.transient.fed_model import levels_for

    return levels_for(boat)


def posts_of(boat: Boat, mode: str, level: "StartingLevel") -> "tuple[Post, ...]":
    """What stands in the place of each battery.

    Raises:
        UnknownChoiceError, UnsolvedEventError: as for ``fed_in_time``.
    """
    from server.engine.solution import Solution
    from server.engine.transient.fed_model import FedSolution

    with refusals():
        return FedSolution.of(Solution.of(boat, mode), level).posts


def fed_in_time(results: Results, sha: str, boat: Boat, mode: str, level: "StartingLevel") -> "EventRun":
    """A mode of a boat fed by the starting profile of a level.

    Raises:
        UnknownChoiceError: the boat has no such mode.
        UnsolvedEventError: there is no such profile for a battery, or a piece of the model cannot be solved.
    """
    key = (sha, mode, f"test-supply-{level}", (), False)
    return results.runs.get(key, lambda: _solved(boat, mode, level))


def _solved(boat: Boat, mode: str, level: "StartingLevel") -> "EventRun":
    from server.engine.transient.fed_run import fed_run

    with refusals():
        return fed_run(boat, mode, level)


def fed_deck_of(boat: Boat, mode: str, level: "StartingLevel") -> str:
    """The same as a deck for a circuit simulator.

    Raises:
        UnknownChoiceError, UnsolvedEventError: as for ``fed_in_time``.
    """
    from server.papers.event_deck import fed_deck

    with refusals():
        return fed_deck(boat, mode, level)

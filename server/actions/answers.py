"""A mode solved, with its events; the loop of a load; what the checks judge places by."""

from dataclasses import replace
from typing import TYPE_CHECKING

from server.actions.results import Results
from server.actions.yard import OpenBoat, Yard
from server.boat.boat import Boat

if TYPE_CHECKING:
    from server.actions.choices import Chosen
    from server.checks.ground import Ground
    from server.engine.answer import EventAnswer, InputAnswer, LoopStep, ModeAnswer


def answer(results: Results, sha: str, boat: Boat, mode: str, event: str | None = None) -> "ModeAnswer":
    """A mode solved, with one event or (left out) with all of its events; no input's sag is split."""
    whole = results.answers.peek((sha, mode, None))
    if whole is not None:
        return whole
    return results.answers.get((sha, mode, event), lambda: _solve(boat, mode, event))


def _solve(boat: Boat, mode: str, event: str | None) -> "ModeAnswer":
    from server.engine.analysis import analyse_mode

    return analyse_mode(boat, mode, events=None if event is None else (event,), explained=())


def whole_answer(results: Results, sha: str, boat: Boat, mode: str) -> "ModeAnswer":
    """A mode with all of its events, with every input's sag split and its best tap searched."""
    from server.actions.judged_taps import judge
    from server.engine.analysis import analyse_mode

    return results.wholes.get(
        (sha, mode), lambda: analyse_mode(boat, mode, is_allowed=judge(ground_of(results, sha, boat, mode)))
    )


LARGEST_AT_ONCE = 100
"""Up to so many conductors an answer waits for better taps and for moves that mend; beyond, they follow."""


def shown_answer(
    yard: Yard, opened: OpenBoat, chosen: "Chosen", selected: str | None = None, *, hurried: bool = False
) -> "ModeAnswer":
    """The answer of the chosen mode; with all of its events as soon as they are known.

    The sag of a selected part's inputs in the chosen event is split. Its best tap is searched too, but on a
    large boat not in a hurry.
    """
    solved = answer(yard, opened.sha, opened.boat, chosen.mode, chosen.event)
    if chosen.event is None or all(selected not in {load.part, load.id} for load in solved.loads):
        return solved
    searches = not hurried or len(opened.boat.conductors) <= LARGEST_AT_ONCE
    loads = (
        _explained(yard, opened, load, chosen.mode, chosen.event, searches=searches)
        if selected in {load.part, load.id}
        else load
        for load in solved.loads
    )
    return replace(solved, loads=tuple(loads))


def _explained(  # noqa: PLR0913 - each names one thing of the input
    yard: Yard, opened: OpenBoat, load: "InputAnswer", mode: str, event: str, *, searches: bool
) -> "InputAnswer":
    """An input with its sag in an event split over the elements."""
    from server.actions.judged_taps import judge
    from server.engine.analysis import explained

    key = (opened.sha, load.part, load.input, mode, event)
    terminal = (load.part, load.input)

    def seen_again(seen: "EventAnswer") -> "EventAnswer":
        if seen.event != event:
            return seen
        searched = yard.explained.peek((key, True))
        return searched or yard.explained.get((key, searches), made)

    def made() -> "EventAnswer":
        is_allowed = judge(ground_of(yard, opened.sha, opened.boat, mode)) if searches else None
        return explained(opened.boat, mode, event, terminal, is_allowed, searches=searches)

    return replace(load, events=tuple(map(seen_again, load.events)))


def ground_of(results: Results, sha: str, boat: Boat, mode_id: str) -> "Ground":
    """What the checks judge the places of a mode by."""
    from server.checks.ground import Ground

    mode = next(one for one in boat.modes if one.id == mode_id)
    return results.grounds.get((sha, mode.id), lambda: Ground(boat, mode))


def loop(yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: "Chosen") -> "tuple[LoopStep, ...]":
    """A load's loop from battery + round to battery −; empty where the load is not fed."""
    key = (opened.sha, load.part, load.input, chosen.mode, chosen.event)
    return yard.loops.get(key, lambda: _loop(opened.boat, load, chosen))


def _loop(boat: Boat, load: "InputAnswer", chosen: "Chosen") -> "tuple[LoopStep, ...]":
    from server.engine.loop import loop as engine_loop

    return engine_loop(boat, load.part, load.input, chosen.mode, chosen.event)

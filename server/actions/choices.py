"""Which mode and event are asked for; what is left out is the worst."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.answers import answer
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.modes import Event

if TYPE_CHECKING:
    from server.engine.answer import EventInfo


class UnknownChoiceError(ValueError):
    """A mode, event or load that this boat does not have."""


@dataclass(frozen=True)
class Chosen:
    """The mode and event whose answer is shown; a boat without modes has neither."""

    mode: str
    event: str | None


def choose(results: Results, sha: str, boat: Boat, mode: str | None, event: str | None) -> Chosen | None:
    """The mode and event asked for; what is left out is the worst of all heavy loads in all modes.

    Raises:
        UnknownChoiceError: the boat has no such mode or event.
    """
    if not boat.modes:
        return None
    known = {one.id: one for one in events_of(boat)}
    if event is not None and event not in known:
        raise UnknownChoiceError(f"This boat has no event “{event}”. Choose one from the list.")
    if mode is not None and mode not in {one.id for one in boat.modes}:
        raise UnknownChoiceError(f"This boat has no mode “{mode}”. Choose one from the list.")
    if event is not None and mode in {None, known[event].mode}:
        return Chosen(known[event].mode, event)
    if mode is not None:
        return Chosen(mode, _worst_in(results, sha, boat, mode))
    return _worst(results, sha, boat)


def _worst(results: Results, sha: str, boat: Boat) -> Chosen:
    found = results.worst.get(sha, lambda: _ask_worst(boat))
    return Chosen(*found) if found else Chosen(boat.modes[0].id, None)


def _ask_worst(boat: Boat) -> tuple[str, str] | tuple[()]:
    from server.engine.analysis import worst_event

    return worst_event(boat) or ()


def _worst_in(results: Results, sha: str, boat: Boat, mode: str) -> str | None:
    """The event of a mode in which most restart, then the one with the lowest volts."""
    infos = answer(results, sha, boat, mode).events
    if not infos:
        return None
    return min(infos, key=_badness).event


def _badness(info: "EventInfo") -> tuple[int, float]:
    return -info.restarts, math.inf if info.worst_lowest_v is None else info.worst_lowest_v


def event_by_id(boat: Boat, event: str | None) -> Event | None:
    """The stored or default event of this id."""
    return next((one for one in events_of(boat) if one.id == event), None)

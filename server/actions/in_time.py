"""The event in time laid over a mode's answer: pages, documents and checks then speak of one and the same.

The steady network answers at once, for the first instant of an event. The event in time takes longer: where
it is known, its lowest voltage, band and verdict take the place of the first instant's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from server.actions import answers
from server.actions.choices import Chosen
from server.actions.events_in_time import Figures, figures_of
from server.actions.results import Results
from server.actions.yard import OpenBoat, Yard
from server.boat.boat import Boat

if TYPE_CHECKING:
    from server.engine.answer import EventAnswer, EventInfo, InputAnswer, ModeAnswer

LARGEST_WAITED = 200
"""Up to so many conductors a whole page waits for its event in time: a tenth of a second or two."""
Basis = Literal["in-time", "refining", "first-instant", "none"]


@dataclass(frozen=True)
class Standing:
    """What the figures of an event are: its own, those of the first instant until its own come, or for good.

    ``why`` says in the last case why the event cannot be followed in time.
    """

    basis: Basis
    why: str = ""

    @property
    def is_refining(self) -> bool:
        """Whether better figures are on their way."""
        return self.basis == "refining"


def shown(
    yard: Yard, opened: OpenBoat, chosen: Chosen, selected: str | None = None, *, hurried: bool = False
) -> "ModeAnswer":
    """The answer of a page: see ``answers.shown_answer``; the chosen event in time where that is known.

    A page waits for it where the boat is not large, in a hurry where it is small.
    """
    solved = answers.shown_answer(yard, opened, chosen, selected, hurried=hurried)
    most = answers.LARGEST_AT_ONCE if hurried else LARGEST_WAITED
    waits = len(opened.boat.conductors) <= most
    wanted = () if chosen.event is None or not waits else (chosen.event,)
    return over(yard, opened.sha, opened.boat, solved, wanted)


def whole_answer(results: Results, sha: str, boat: Boat, mode: str) -> "ModeAnswer":
    """A mode with all of its events in time, every sag split and every best tap searched."""
    return whole(results, sha, boat, answers.whole_answer(results, sha, boat, mode))


def whole(results: Results, sha: str, boat: Boat, solved: "ModeAnswer") -> "ModeAnswer":
    """An answer with all of its events in time."""
    return over(results, sha, boat, solved, tuple(info.event for info in solved.events))


def over(
    results: Results, sha: str, boat: Boat, solved: "ModeAnswer", wanted: tuple[str, ...] = ()
) -> "ModeAnswer":
    """An answer with the events in time that are known or ``wanted`` laid over it."""
    for info in solved.events:
        if info.event in wanted:
            figures_of(results, sha, boat, info.mode, info.event)
    events = tuple(info.event for info in solved.events)
    return over_known(results, sha, solved, known_events(results, sha, solved.mode, events))


def over_known(results: Results, sha: str, solved: "ModeAnswer", events: frozenset[str]) -> "ModeAnswer":
    """An answer with some events in time laid over it, of those that are known."""
    found = {event: results.figures.peek((sha, solved.mode, event)) for event in events}
    return laid_over(solved, {event: one for event, one in found.items() if one is not None and not one.why})


def known_in_both(
    results: Results, earlier: tuple[str, Boat], now: str, chosen: Chosen, events: tuple[str, ...]
) -> frozenset[str]:
    """The events that are known in time before and after a change, so that like is compared with like.

    The chosen event before the change is followed too, where it is known after it.
    """
    sha, boat = earlier
    known = known_events(results, now, chosen.mode, events)
    if chosen.event is not None and chosen.event in known:
        figures_of(results, sha, boat, chosen.mode, chosen.event)
    return known & known_events(results, sha, chosen.mode, events)


def not_in_time(results: Results, sha: str, solved: "ModeAnswer") -> tuple[str, ...]:
    """Why events of a mode cannot be followed in time, of those that were tried."""
    keys = ((sha, solved.mode, info.event) for info in solved.events)
    return tuple(found.why for key in keys if (found := results.figures.peek(key)) is not None and found.why)


def known_events(results: Results, sha: str, mode: str, events: tuple[str, ...]) -> frozenset[str]:
    """Those of the events whose figures in time are known."""
    return frozenset(event for event in events if results.figures.peek((sha, mode, event)) is not None)


def standing(results: Results, sha: str, chosen: Chosen | None, answer: "ModeAnswer | None") -> Standing:
    """What the figures of the chosen event are in an answer."""
    if chosen is None or chosen.event is None or answer is None:
        return Standing("none")
    if any(seen.in_time for load in answer.loads for seen in load.events if seen.event == chosen.event):
        return Standing("in-time")
    found: Figures | None = results.figures.peek((sha, chosen.mode, chosen.event))
    if found is None or found.points:
        return Standing("refining")
    return Standing("first-instant", found.why) if found.why else Standing("in-time")


def laid_over(solved: "ModeAnswer", figures: Mapping[str, Figures]) -> "ModeAnswer":
    """An answer with what its loads have in some events in time."""
    if not figures:
        return solved
    loads = tuple(
        replace(load, events=tuple(_seen(load, seen, figures.get(seen.event)) for seen in load.events))
        for load in solved.loads
    )
    infos = tuple(
        _info(info, loads, figures[info.event]) if info.event in figures else info for info in solved.events
    )
    return replace(solved, loads=loads, events=infos)


def _seen(load: "InputAnswer", seen: "EventAnswer", figures: Figures | None) -> "EventAnswer":
    from server.engine.answer import Band

    point = None if figures is None else figures.points.get(load.id)
    if point is None:
        return seen
    value = point.lowest.value
    return replace(
        seen,
        lowest=point.lowest_band or Band(value, value, value),
        verdict=point.verdict,
        in_time=point,
        at_first=seen.lowest,
    )


def _info(info: "EventInfo", loads: "tuple[InputAnswer, ...]", figures: Figures) -> "EventInfo":
    """The event with its inrush, worst-hit load, restarts, data links and devices by its own figures."""
    hit = [
        (load, seen)
        for load in loads
        if not load.heavy
        for seen in load.events
        if seen.event == info.event and seen.can_restart
    ]
    worst = min(hit, key=lambda pair: pair[1].lowest.value - (pair[1].need_v or 0.0), default=None)
    return replace(
        info,
        inrush_a=figures.inrush_a,
        worst_part=None if worst is None else worst[0].part,
        worst_lowest_v=None if worst is None else worst[1].lowest.value,
        restarts=sum(seen.verdict == "restarts" for _, seen in hit),
        links=figures.links,
        devices=figures.devices,
        happens=figures.happens,
    )

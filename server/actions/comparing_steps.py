"""The steps from one boat to another in their order, with what stands after each."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.choices import Chosen
from server.actions.comparing import Compared, compared
from server.actions.history import Between, between, boat_as_kept
from server.actions.yard import OpenBoat, Yard
from server.boat.events import events_of
from server.store.values import RevisionEntry

if TYPE_CHECKING:
    from server.engine.answer import EventAnswer, EventInfo, ModeAnswer

MOST_WORKED = 40
"""Steps whose result is worked out; further ones are listed without."""


@dataclass(frozen=True)
class Worst:
    """The load that is closest to what it needs in an event, or farthest below it."""

    name: str
    seen: "EventAnswer"


@dataclass(frozen=True)
class StepResult:
    """What stands after a step: the load that is worst off in the event, and how many restart.

    ``entry`` is None for the boat the steps begin with; ``worst`` where nothing can be said.
    """

    entry: RevisionEntry | None
    worst: Worst | None
    info: "EventInfo | None"
    is_worked: bool = True


@dataclass(frozen=True)
class Steps:
    """The steps in order, after the boat they begin with.

    ``way.back`` are steps of the first boat that are not on the second one: they are taken back first, and
    what then stands comes second.
    """

    way: Between
    results: tuple[StepResult, ...]


def steps(yard: Yard, of: Compared) -> Steps:
    """The steps between two compared boats, with the figures of the compared event after each."""
    way = between(yard, (of.first.id, of.first.rev), (of.second.id, of.second.rev))
    results = [_result(yard, of, of.first, None)]
    if way.back and way.base is not None:
        results.append(_result(yard, of, boat_as_kept(yard, way.base.boat_id, way.base.rev), way.base))
    for number, step in enumerate(way.steps):
        if number < MOST_WORKED:
            results.append(_result(yard, of, boat_as_kept(yard, step.boat_id, step.rev), step))
        else:
            results.append(StepResult(step, None, None, is_worked=False))
    return Steps(way, tuple(results))


def worst_in(answer: "ModeAnswer", event: str) -> Worst | None:
    """The load with the least to spare of those whose need is known, the heavy loads left out."""
    found = [
        (seen.lowest.value - seen.need_v, load.name, seen)
        for load in answer.loads
        if not load.heavy
        for seen in load.events
        if seen.event == event and seen.can_restart and seen.need_v is not None
    ]
    least = min(found, key=lambda one: one[:2], default=None)
    return None if least is None else Worst(*least[1:])


def _result(yard: Yard, of: Compared, one: OpenBoat, entry: RevisionEntry | None) -> StepResult:
    chosen = of.chosen
    if chosen is None or chosen.event is None or not _has(one, chosen):
        return StepResult(entry, None, None)
    found = compared(yard, of.first, one, chosen.mode, chosen.event, waits=of.standing.basis == "in-time")
    worst = None if found.answers is None else worst_in(found.answers[1], chosen.event)
    return StepResult(entry, worst, found.info(1))


def _has(one: OpenBoat, chosen: Chosen) -> bool:
    return any((event.mode, event.id) == (chosen.mode, chosen.event) for event in events_of(one.boat))

"""What an owner is told of a boat or an option: gathered for the sheet, by the figures of the workbench."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from server.actions import in_time
from server.actions.answers import answer
from server.actions.events_in_time import figures_of
from server.actions.findings import all_findings, is_all_known
from server.actions.owner_measured import readings_told
from server.actions.owner_work import work_told
from server.actions.yard import OpenBoat, Yard
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.modes import Event
from server.boat.parts import AnyPart, Load, Outboard
from server.boat.value import bounds

if TYPE_CHECKING:
    from server.boat.finding import Finding
    from server.engine.answer import EventInfo, ModeAnswer
    from server.papers.owner_sheet import Danger, Moment, OwnerFacts

_NAMED: dict[str, str] = {
    "restarts": "restarts",
    "too-close-to-call": "close",
    "limit-not-known": "unknown",
    "keeps-running": "keeps",
}


def owner_facts(yard: Yard, after: OpenBoat, now: OpenBoat, cost: str) -> "OwnerFacts":
    """What the sheet of a boat says; ``now`` is the boat until the work is done, if there is any."""
    from server.papers.owner_sheet import OwnerFacts

    moments = worst_moments(yard, after)
    found = all_findings(yard, after.sha, after.boat)
    return OwnerFacts(
        moments=moments,
        until_then=moments if now.sha == after.sha else worst_moments(yard, now),
        work=work_told(now.boat, after.boat),
        cost=cost,
        dangers=tuple(_danger(after.boat, one) for one in found if one.severity == "danger"),
        not_measured=sum(
            one.kind == "wire" and one.length_basis != "measured" for one in after.boat.conductors
        ),
        not_seen=len(after.boat.not_seen),
        faults=tuple(dict.fromkeys(_faults(after.boat, found))),
        measured=readings_told(now.boat),
    )


def _danger(boat: Boat, finding: "Finding") -> "Danger":
    """A finding of danger in an owner's words, with what it says itself small below."""
    from server.papers.owner_sheet import Danger
    from server.papers.plain_words import plainly

    return Danger(plainly(boat, finding), f"{finding.message} Source: {finding.source}.")


def _faults(boat: Boat, found: "Iterable[Finding]") -> Iterator[str]:
    """What else is not right and nobody lets stand, in an owner's words; starts are told by themselves."""
    from server.papers.plain_words import TOLD_AS_STARTS, plainly

    for one in found:
        if one.severity == "fault" and one.accepted is None and one.code not in TOLD_AS_STARTS:
            yield plainly(boat, one)


def worst_moments(yard: Yard, opened: OpenBoat) -> "tuple[Moment, ...]":
    """The start of each heavy load, in the event that hits most: engines first, then in document order."""
    return yard.moments.get(opened.sha, lambda: _worst_moments(yard, opened))


def is_known(yard: Yard, after: OpenBoat, now: OpenBoat) -> bool:
    """Whether everything that the sheet tells was worked out already."""
    started = all(yard.moments.peek(one.sha) is not None for one in (after, now))
    return started and is_all_known(yard, after.sha, after.boat)


def _worst_moments(yard: Yard, opened: OpenBoat) -> "tuple[Moment, ...]":
    chosen: dict[str, tuple[Event, EventInfo]] = {}
    for event in events_of(opened.boat):
        info = _info(answer(yard, opened.sha, opened.boat, event.mode, event.id), event)
        kept = chosen.get(event.heavy.part)
        if kept is None or _badness(info) < _badness(kept[1]):
            chosen[event.heavy.part] = (event, info)
    found = [_moment(yard, opened, event) for event, _ in chosen.values()]
    return tuple(sorted(found, key=lambda one: not one.is_engine))


def _badness(info: "EventInfo") -> tuple[int, float]:
    """The first of these in order is the worst: most restart, then the lowest volts."""
    return -info.restarts, float("inf") if info.worst_lowest_v is None else info.worst_lowest_v


def _info(solved: "ModeAnswer", event: Event) -> "EventInfo":
    return next(one for one in solved.events if one.event == event.id)


def _moment(yard: Yard, opened: OpenBoat, event: Event) -> "Moment":
    from server.checks.words import when
    from server.papers.owner_sheet import Moment

    boat, sha = opened.boat, opened.sha
    solved = in_time.over(yard, sha, boat, answer(yard, sha, boat, event.mode, event.id), (event.id,))
    info, heavy = _info(solved, event), next(one for one in boat.parts if one.id == event.heavy.part)
    known = None if info.inrush_a is None else figures_of(yard, sha, boat, event.mode, event.id)
    turning = None if known is None else known.turning
    hit = {name: tuple(_hit(solved, event, verdict)) for verdict, name in _NAMED.items()}
    return Moment(
        when=when(boat, event),
        heavy=heavy.name,
        conditions=_state(event),
        is_engine=_is_engine(heavy),
        inrush_a=info.inrush_a,
        motor_v=None if turning is None else turning.voltage_v,
        motor_a=None if turning is None else turning.current_a,
        motor_need_v=_need_v(heavy, event),
        why_not="" if known is None else known.why.rstrip("."),
        relied_on=_relied_on(boat),
        volts=_lowest_of(solved, event),
        **hit,
    )


def _is_engine(part: AnyPart) -> bool:
    return isinstance(part, Outboard) or (isinstance(part, Load) and part.role == "starter")


def _hit(solved: "ModeAnswer", event: Event, verdict: str) -> "list[str]":
    """The loads that are on and have this verdict, by name; lamps and the like have none."""
    return [
        load.name
        for load in solved.loads
        if load.on and not load.heavy
        for seen in load.events
        if seen.event == event.id and seen.verdict == verdict and seen.can_restart
    ]


def _lowest_of(solved: "ModeAnswer", event: Event) -> "dict[str, tuple[float, float]]":
    """The lowest volts of each load in an event and what it needs, where that is known."""
    return {
        load.name: (seen.lowest.value, seen.need_v)
        for load in solved.loads
        for seen in load.events
        if seen.event == event.id and seen.need_v is not None
    }


def _state(event: Event) -> str:
    """The state of the battery that an event is judged in, in an owner's words."""
    stated = event.conditions
    if stated is None:
        return "battery as it is in that mode"
    told = []
    if stated.state_of_charge is not None:
        told.append(f"charged {stated.state_of_charge * 100:.0f} %")
    if stated.temperature_c is not None:
        told.append(f"at {stated.temperature_c:g} °C")
    if stated.age_factor is not None and stated.age_factor > 1:
        told.append("aged")
    return f"battery {', '.join(told)}" if told else "battery as it is in that mode"


def _need_v(heavy: AnyPart, event: Event) -> float | None:
    """What the heavy load needs by its own statement, at the safe end of a range."""
    if not isinstance(heavy, Load):
        return None
    stated = next(one.minimum_voltage_v for one in heavy.inputs if one.id == event.heavy.input)
    return None if stated is None else bounds(stated)[1]


def _relied_on(boat: Boat) -> tuple[str, ...]:
    """The loads on which somebody's safety hangs."""
    return tuple(one.name for one in boat.parts if isinstance(one, Load) and one.consequence == "safety")

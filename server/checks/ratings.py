"""Steady currents against what conductors, devices, connectors and bars may carry."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding, Severity
from server.boat.parts import Breaker, Busbar, Connector, Fuse, Load, Panel, Post
from server.checks.over_rating import over_rating
from server.checks.protection import conductor_ampacity, safe_words, stands_for
from server.checks.words import conductor_words, listed
from server.engine.answer import BranchFlow, ModeAnswer
from server.engine.event_running import currents_without
from server.practice.sourced import Sourced
from server.units import Ampere

BRIEF = frozenset({"short-time", "momentary"})


@dataclass(frozen=True, slots=True)
class Rated:
    """A part with what it may carry all day."""

    part: str
    element: str
    name: str
    continuous_a: Ampere | None


def overloaded_conductors(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Conductors that carry more in the mode than the published table allows all day.

    What only runs for a short time is judged by the heat of one use: a conductor that stays below its
    insulation's rating for as long as the longest of them lasts is sound.
    """
    flows = {flow.element: abs(flow.current_a) for flow in answer.flows}
    over = [
        (conductor, flows[conductor.id], allowed)
        for conductor in boat.conductors
        if conductor.kind == "wire" and conductor.id in flows
        if isinstance(allowed := conductor_ampacity(boat, conductor), Sourced)
        if flows[conductor.id] > allowed.value
    ]
    brief = _brief_loads(boat, answer) if over else ()
    rest = currents_without(boat, answer.mode, {one.id for one in brief}) if brief else flows
    for conductor, amps, allowed in over:
        steady_a = rest[conductor.id]
        if steady_a > allowed.value:
            yield _hot(boat, conductor, steady_a, allowed, "danger", "all day.")
        else:
            stands_s = stands_for(conductor, amps, steady_a, allowed.value)
            if any(one.duty_on_s is None or one.duty_on_s > (stands_s or 0.0) for one in brief):
                told = f"all day{_with(_names(brief))}: {safe_words(stands_s)}"
                yield _hot(boat, conductor, amps, allowed, "cannot-tell", told)


def _hot(  # noqa: PLR0913, PLR0917 - everything that the sentence says
    boat: Boat, conductor: Conductor, amps: Ampere, allowed: Sourced, severity: Severity, for_how_long: str
) -> Finding:
    name = conductor_words(boat, conductor)
    return Finding(
        code="conductor-over-ampacity",
        severity=severity,
        subjects=(conductor.id,),
        figure=Figure(value=amps, unit="A", basis="computed"),
        limit=Figure(value=allowed.value, unit="A", basis="rule"),
        message=f"{name[0].upper()}{name[1:]} carries {amps:.0f} A; "
        f"it may carry {allowed.value:.0f} A {for_how_long}",
        source=allowed.source,
        source_status=allowed.status,
        rule_kind="standard",
    )


def overloaded_parts(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Fuses, breakers, connectors and bars that carry more than they are rated for."""
    flows = {flow.element: flow for flow in answer.flows}
    brief = _names(_brief_loads(boat, answer))
    for rated in _rated(boat):
        flow = flows.get(rated.element)
        if flow is not None:
            yield from _steady(rated, abs(flow.current_a), brief)
    yield from _bars(boat, flows, brief)


def _steady(rated: Rated, amps: Ampere, brief: tuple[str, ...]) -> Iterator[Finding]:
    if rated.continuous_a is not None and amps > rated.continuous_a:
        yield _over(rated, amps, rated.continuous_a, "all day" + _while(brief), brief)


def _over(rated: Rated, amps: Ampere, limit: Ampere, for_how_long: str, brief: tuple[str, ...]) -> Finding:
    subjects = rated.part, rated.element
    return over_rating(
        rated.name, subjects, (amps, limit), f" {for_how_long}", "cannot-tell" if brief else "fault"
    )


def _while(brief: tuple[str, ...]) -> str:
    """The end of a sentence that says which loads, on for a short time, are in the current."""
    return f"{_with(brief)}, judge by heating." if brief else "."


def _with(brief: tuple[str, ...]) -> str:
    told = listed(brief[:2]) + (" and others" if len(brief) > 2 else "")  # noqa: PLR2004
    return f": with {told} in it, which run for a short time"


def _names(loads: tuple[Load, ...]) -> tuple[str, ...]:
    return tuple(one.name for one in loads)


def _brief_loads(boat: Boat, answer: ModeAnswer) -> tuple[Load, ...]:
    """Loads on in the mode that never run for long."""
    on = {one.part for one in answer.loads if one.on and one.current_a}
    return tuple(
        part for part in boat.parts if isinstance(part, Load) and part.id in on and part.duty in BRIEF
    )


def _rated(boat: Boat) -> Iterator[Rated]:
    for part in boat.parts:
        match part:
            case Fuse() | Breaker():
                yield Rated(part.id, part.id, part.name, part.rating_a)
            case Connector():
                yield Rated(part.id, part.id, part.name, part.rated_current_a)
            case Panel():
                for section in part.sections:
                    for way in section.ways:
                        if way.device is not None:
                            element = f"{part.id}.{section.id}-{way.id}"
                            yield Rated(part.id, element, f"{part.name}, {way.name},", way.device.rating_a)
            case _:
                pass


def _bars(boat: Boat, flows: Mapping[str, BranchFlow], brief: tuple[str, ...]) -> Iterator[Finding]:
    """Bars and posts by the largest current that comes in by one conductor."""
    largest: dict[str, Ampere] = {}
    for conductor in boat.conductors:
        flow = flows.get(conductor.id)
        for end in (conductor.tail, conductor.head):
            if flow is not None and end is not None:
                largest[end.part] = max(largest.get(end.part, 0.0), abs(flow.current_a))
    for part in boat.parts:
        if isinstance(part, Busbar | Post):
            rated = Rated(part.id, part.id, part.name, part.rated_current_a)
            yield from _steady(rated, largest.get(part.id, 0.0), brief)

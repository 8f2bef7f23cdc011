"""Switches and contactors against the currents through them, steady and while an engine is cranked."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.finding import Figure, Finding, Severity
from server.boat.modes import Event
from server.boat.parts import Contact, Load, Outboard
from server.boat.value import nominal
from server.checks.opening import rounded
from server.checks.over_rating import over_rating
from server.checks.spoken import rule_kind
from server.checks.words import listed, the, when
from server.engine.answer import ModeAnswer
from server.engine.event_currents import event_currents
from server.practice.rules import rule
from server.units import Ampere, Second

BRIEF = frozenset({"short-time", "momentary"})
FIVE_MINUTES: Second = 300.0


def overloaded_switches(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Switches that carry more in the mode than they are rated for, all day or for five minutes."""
    amps_of = {flow.element: abs(flow.current_a) for flow in answer.flows}
    brief = _brief_loads(boat, answer)
    for switch in _contacts(boat):
        amps = amps_of.get(switch.id, 0.0)
        limit = switch.continuous_a
        if limit is None or amps <= limit:
            continue
        five = switch.five_minute_a
        if not brief:
            yield _over(switch, amps, limit, "all day.", "fault")
        elif five is not None and amps > five:
            yield _over(switch, amps, five, "for five minutes.", "fault")
        elif five is None or not all(_is_over_in_five_minutes(load) for load in brief):
            told = listed(load.name for load in brief[:2]) + (" and others" if len(brief) > 2 else "")  # noqa: PLR2004
            yield _over(
                switch,
                amps,
                limit,
                f"all day: {told} in it run for a short time; see how long, and what the switch may carry "
                "for that time.",
                "cannot-tell",
            )


def _over(switch: Contact, amps: Ampere, limit: Ampere, how_long: str, severity: Severity) -> Finding:
    return over_rating(switch.name, (switch.id, switch.id), (amps, limit), f" {how_long}", severity)


def _contacts(boat: Boat) -> Iterator[Contact]:
    return (part for part in boat.parts if isinstance(part, Contact))


def _brief_loads(boat: Boat, answer: ModeAnswer) -> tuple[Load, ...]:
    """Loads on in the mode that never run for long."""
    on = {one.part for one in answer.loads if one.on and one.current_a}
    return tuple(p for p in boat.parts if isinstance(p, Load) and p.id in on and p.duty in BRIEF)


def _is_over_in_five_minutes(load: Load) -> bool:
    return load.duty == "momentary" or (load.duty_on_s is not None and load.duty_on_s <= FIVE_MINUTES)


def cranking_through_switches(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Switches against the cranking current of the engines that start through them (E-11 11.6.1.2.3).

    The rating is held to the current while the engine turns; of the first instant, when it stands, only the
    maker can say whether the contacts stand it.
    """
    events = {event.id: event for event in events_of(boat)}
    for info in answer.events:
        running = _cranking_a(boat, events[info.event])
        if running is None or info.inrush_a is None:
            continue
        amps = event_currents(boat, answer.mode, info.event)
        share = running / max(info.inrush_a, running)
        for switch in _contacts(boat):
            first = amps.get(switch.id, 0.0)
            if first > LEAST_SHARE * info.inrush_a:
                yield from _cranked(boat, switch, events[info.event], first, first * share)


LEAST_SHARE = 0.1
"""A switch that carries less of a starter's current is beside its way."""


def _cranking_a(boat: Boat, event: Event) -> Ampere | None:
    """The current of an engine's starter while it turns; None for all other heavy loads."""
    part = next(part for part in boat.parts if part.id == event.heavy.part)
    if isinstance(part, Outboard):
        return nominal(part.starter.running_current_a)
    if isinstance(part, Load) and part.role == "starter":
        demand = next(one.demand for one in part.inputs if one.id == event.heavy.input)
        return nominal(demand.running_current_a) if demand.kind == "motor" else None
    return None


def _cranked(boat: Boat, switch: Contact, event: Event, first: Ampere, turning: Ampere) -> Iterator[Finding]:
    rated = switch.cranking_a
    spoken = rule("e11-switch-intermittent")
    if rated is None:
        if not switch.is_battery_switch or turning <= (switch.five_minute_a or switch.continuous_a or 0.0):
            return
        severity: Severity = "cannot-tell"
        told = (
            f"about {rounded(turning)} A crank the engine through {the(switch.name)}: look on it for its "
            "cranking or intermittent rating."
        )
    elif turning > rated:
        severity = "fault"
        told = (
            f"{the(switch.name)} carries about {turning:.0f} A of cranking current; "
            f"it is rated {rated:.0f} A."
        )
    elif first > rated:
        severity = "cannot-tell"
        told = (
            f"{the(switch.name)} carries {first:.0f} A in the first instant; it is rated {rated:.0f} A for "
            "cranking: ask its maker what it stands before the engine turns."
        )
    else:
        return
    yield Finding(
        code="switch-intermittent",
        severity=severity,
        subjects=(switch.id, event.heavy.part),
        mode=event.mode,
        event=event.id,
        figure=Figure(
            value=turning if severity != "cannot-tell" or rated is None else first, unit="A", basis="computed"
        ),
        limit=None if rated is None else Figure(value=rated, unit="A", basis="rule"),
        message=f"{when(boat, event)}, {told}",
        source=spoken.source,
        source_status=spoken.status,
        rule_kind=rule_kind(boat, spoken),
    )

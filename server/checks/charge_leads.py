"""Charge leads between banks in heavy events: while their relay is closed they feed the heavy load too."""

from collections.abc import Iterator, Mapping
from typing import Literal

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.events import events_of
from server.boat.finding import Figure, Finding, Severity
from server.boat.leads import Landings, lead
from server.boat.modes import Event
from server.boat.parts import Combiner, Load
from server.checks.opening import span_words
from server.checks.protection import conductor_ampacity, safe_words, stands_for
from server.checks.shorts import Shorts, band_of
from server.checks.words import conductor_words, part_of, when
from server.engine.answer import ModeAnswer
from server.engine.event_running import running_currents
from server.practice.sourced import Sourced, Status
from server.units import Ampere

SourceStatus = Status | Literal["document"]


def charge_leads_that_feed(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Leads of combining relays, and devices in them, that carry too much while a heavy load runs on.

    Starters are left out: they run for seconds, and `starts_beside_their_way` judges those.
    """
    events = {event.id: event for event in events_of(boat)}
    asked = [events[one.event] for one in answer.events]
    heavy = [(event, part_of(boat, event.heavy.part)) for event in asked]
    running = [(event, part) for event, part in heavy if isinstance(part, Load) and part.role != "starter"]
    combiners = [part for part in boat.parts if isinstance(part, Combiner)]
    if not combiners or not running:
        return
    landings, shorts = Landings.of(boat), Shorts.of(boat, answer)
    for event, part in running:
        amps = running_currents(boat, answer.mode, event.id)
        for relay in combiners:
            for terminal in ("a", "b"):
                found = lead(boat, relay.id, terminal, landings)
                for name in found.conductors:
                    yield from _wire(boat, event, part, shorts.wires.get(name), amps.get(name, 0.0))
                yield from _devices(boat, event, part, shorts, set(found.inline), amps)


def _wire(boat: Boat, event: Event, heavy: Load, wire: Conductor | None, amps: Ampere) -> Iterator[Finding]:
    allowed = None if wire is None else conductor_ampacity(boat, wire)
    if wire is None or not isinstance(allowed, Sourced) or amps <= allowed.value:
        return
    stands_s = stands_for(wire, amps)
    if heavy.duty_on_s is not None and heavy.duty_on_s <= (stands_s or 0.0):
        return
    is_certain = heavy.duty == "continuous"
    look = "." if is_certain else f": {safe_words(stands_s)}"
    yield _finding(
        boat,
        event,
        (wire.id, heavy.id),
        f"{conductor_words(boat, wire)} of {wire.size.label if wire.size else 'unknown size'}",
        (amps, allowed.value),
        "all day" + look,
        "danger" if is_certain else "cannot-tell",
        (allowed.source, allowed.status),
    )


def _devices(  # noqa: PLR0913, PLR0917 - who, when, and all currents
    boat: Boat, event: Event, heavy: Load, shorts: Shorts, inline: set[str], amps: Mapping[str, Ampere]
) -> Iterator[Finding]:
    for device in shorts.devices:
        rating_a, through_a = device.rating_a, amps.get(device.element, 0.0)
        if device.element in inline and rating_a is not None and through_a > rating_a:
            band = band_of(device)
            opening = band.opening(through_a / rating_a)
            if not band.is_assumed and heavy.duty_on_s is not None and heavy.duty_on_s < opening.shortest_s:
                continue
            yield _finding(
                boat,
                event,
                (device.element, heavy.id),
                f"“{device.name}”",
                (through_a, rating_a),
                f"for ever; it opens after {span_words(opening)}: see how long a use lasts, and its curve.",
                "cannot-tell",
                (band.source, "memory" if band.is_assumed else "document"),
            )


def _finding(  # noqa: PLR0913, PLR0917 - everything that the sentence says
    boat: Boat,
    event: Event,
    subjects: tuple[str, ...],
    what: str,
    figures: tuple[Ampere, Ampere],
    for_how_long: str,
    severity: Severity,
    source: tuple[str, SourceStatus],
) -> Finding:
    amps, limit = figures
    return Finding(
        code="charge-lead-feeds",
        severity=severity,
        subjects=subjects,
        figure=Figure(value=amps, unit="A", basis="computed"),
        limit=Figure(value=limit, unit="A", basis="rule"),
        message=f"{when(boat, event)}, the other bank helps through the charge lead: {what} carries "
        f"{amps:.0f} A and may carry {limit:.0f} A {for_how_long}",
        source=source[0],
        source_status=source[1],
    )

"""Starts and stalls of motors against the time that the devices before them take to open."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.devices import Motor
from server.boat.events import events_of
from server.boat.finding import Figure, Finding, Severity
from server.boat.modes import Event
from server.boat.parts import Load, Outboard
from server.boat.value import bounds
from server.checks.feeds import Device
from server.checks.opening import outcome, rounded, span_words
from server.checks.protection import conductor_ampacity
from server.checks.shorts import Shorts, band_of
from server.checks.spoken import rule_kind
from server.checks.words import part_of, the, when
from server.engine.answer import ModeAnswer
from server.engine.figures import Figures, Level
from server.engine.solution import Solution
from server.practice.rules import rule
from server.practice.sourced import Sourced
from server.practice.time_current import Band, Opening
from server.practice.withstand import withstand
from server.units import Ampere, Ratio

EARLY: Ratio = 0.1
STILL: Ratio = math.exp(-3 * EARLY)
"""After a tenth of its run-up a motor still draws at least so much of its inrush.

Its speed rises exponentially to 95 % within the run-up, so what is left to rise is e^(-3 t / run-up).
"""
MULTIPLES = frozenset({"windlass", "thruster", "winch"})


@dataclass(frozen=True, slots=True)
class Start:
    """A motor's start: who, for how long it draws more than its running current, and when."""

    part: str
    run_up: Level
    is_stated: bool
    moment: str


def opening_for_nothing(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Devices that a start opens, though nothing is wrong; those with an assumed curve where it surely would.

    The current is the start's at its first instant; it has to be stood for the whole run-up at most.
    """
    solution, events = Solution.of(boat, answer.mode), {event.id: event for event in events_of(boat)}
    devices = [device for device in Shorts.of(boat, answer).devices if device.rating_a is not None]
    for info in answer.events:
        start = _start(boat, events[info.event])
        if start is not None:
            solved = solution.event(info.event)
            before, during = solved.absent.current_a, solved.present.current_a
            for device in devices:
                rows = solved.net.rows_of.get(device.element, ())
                for row in rows:
                    yield from _for_nothing(device, start, abs(float(before[row])), abs(float(during[row])))


def _start(boat: Boat, event: Event) -> Start | None:
    part, motor, kind = part_of(boat, event.heavy.part), None, "starter"
    if isinstance(part, Outboard):
        motor = part.starter
    elif isinstance(part, Load):
        demand = next(one.demand for one in part.inputs if one.id == event.heavy.input)
        motor = demand if isinstance(demand, Motor) else None
        kind = "starter" if part.role == "starter" else "other"
    if motor is None:
        return None
    figures, is_stated = Figures.of(boat), motor.run_up_s is not None
    if motor.run_up_s is not None:
        run_up = figures.given(motor.run_up_s, part.id, "run-up time")
    else:
        run_up = figures.level(f"motor_run_up_time_{kind}", part.id)
    return Start(part.id, run_up, is_stated, when(boat, event))


def _for_nothing(device: Device, start: Start, before_a: Ampere, during_a: Ampere) -> Iterator[Finding]:
    rating_a, band = device.rating_a or math.inf, band_of(device)
    opening = band.opening(during_a / rating_a)
    early_a = before_a + (during_a - before_a) * STILL
    opens = band.opening(early_a / rating_a).longest_s <= EARLY * start.run_up.low
    if opening.shortest_s >= start.run_up.high or (band.is_assumed and not opens):
        return
    is_certain = opens and start.is_stated and not band.is_assumed
    told = "opens" if is_certain else "may open"
    look = "" if is_certain else "; look up its time-current curve and how long the start takes"
    yield Finding(
        code="opens-at-start",
        severity="fault" if is_certain else "cannot-tell",
        subjects=tuple(dict.fromkeys((device.load[0], device.element, start.part))),
        figure=Figure(value=during_a, unit="A", basis="computed"),
        limit=Figure(value=rating_a, unit="A", basis="rule"),
        message=f"{start.moment}, {rounded(during_a)} A run through “{device.name}” of {rating_a:g} A for up "
        f"to {start.run_up.high:g} s: it {told} after {span_words(opening)}{look}.",
        source=f"{band.source}; run-up as stated or assumed",
        source_status="memory" if band.is_assumed else "document",
    )


def stalled_motors(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Motors that a jam holds: does the device before them open, and before their lead burns?

    Cranking motors are left out: their feed is exempt, and a hand is on the key.
    """
    shorts = Shorts.of(boat, answer)
    leads: dict[tuple[str, str], list[str]] = {}
    for way in shorts.ways:
        if not way.is_return and shorts.piece_of(shorts.wires[way.conductor]) == shorts.piece.get(way.load):
            leads.setdefault(way.load, []).append(way.conductor)
    for part in boat.parts:
        if isinstance(part, Load) and part.role != "starter":
            for one in part.inputs:
                device = shorts.fed.get(shorts.piece[part.id, one.id])
                wires = leads.get((part.id, one.id), [])
                if isinstance(one.demand, Motor) and device is not None and device.rating_a and wires:
                    stalled = _stalled_a(boat, part, one.demand)
                    is_stated = one.demand.inrush_current_a is not None
                    yield from _stall(shorts, part, device, stalled, wires, is_stated=is_stated)


def _stalled_a(boat: Boat, part: Load, motor: Motor) -> tuple[Ampere, Ampere]:
    """The lowest and the highest current of a motor at standstill."""
    if motor.inrush_current_a is not None:
        return bounds(motor.inrush_current_a)
    low, high = bounds(motor.running_current_a)
    role = part.role if part.role in MULTIPLES else "pump"
    multiple = Figures.of(boat).level(f"inrush_multiple_{role}", part.id)
    return low * multiple.low, high * multiple.high


def _stall(  # noqa: PLR0913 - the motor's own figures and its lead
    shorts: Shorts,
    part: Load,
    device: Device,
    stalled: tuple[Ampere, Ampere],
    names: list[str],
    *,
    is_stated: bool,
) -> Iterator[Finding]:
    wires = [shorts.wires[name] for name in names]
    rating_a, (low_a, high_a), band = device.rating_a or math.inf, stalled, band_of(device)
    if high_a <= rating_a:
        ampacities = [conductor_ampacity(shorts.boat, wire) for wire in wires]
        known = [one for one in ampacities if isinstance(one, Sourced)]
        least = min(known, key=lambda one: one.value, default=None)
        if least is not None and least.value < low_a:
            told = f"never opens, and its lead may carry {least.value:.0f} A"
            told += "" if is_stated else "; its stalled current is assumed: look it up"
            severity: Severity = "danger" if is_stated else "cannot-tell"
            yield _stall_finding(shorts.boat, part, device, stalled, told, severity)
        else:
            told = "never opens; look on the motor for a thermal protector of its own"
            yield _stall_finding(shorts.boat, part, device, stalled, told, "cannot-tell")
        return
    if low_a <= rating_a:
        told = "may never open; look up what it draws when jammed, and whether it has a thermal protector"
        yield _stall_finding(shorts.boat, part, device, stalled, told, "cannot-tell")
        return
    for wire in wires:
        if wire.size is not None:
            earliest_s, latest_s = withstand(wire.insulation_c).burns_after(low_a, wire.size.area_mm2)
            opening = band.opening(low_a / rating_a)
            found = outcome(opening, earliest_s, latest_s)
            if found == "burns first" or (found == "cannot tell" and not band.is_assumed):
                burns = span_words(Opening(earliest_s, latest_s))
                told = f"opens after {span_words(opening)}, and its lead burns after {burns}"
                certain = found == "burns first" and is_stated and not band.is_assumed
                look = "" if certain else "; look up the device's time-current curve"
                graded: Severity = "danger" if certain else "cannot-tell"
                yield _stall_finding(shorts.boat, part, device, stalled, told + look, graded, band)
                return


def _stall_finding(  # noqa: PLR0913, PLR0917 - everything that the sentence says
    boat: Boat,
    part: Load,
    device: Device,
    stalled: tuple[Ampere, Ampere],
    told: str,
    severity: Severity,
    band: Band | None = None,
) -> Finding:
    low_a, high_a = stalled
    amps = rounded(low_a) if high_a <= low_a else f"{rounded(low_a)} to {rounded(high_a)}"
    spoken = rule("e11-locked-rotor")
    return Finding(
        code="stall-does-not-open",
        severity=severity,
        subjects=(part.id,),
        figure=Figure(value=low_a, unit="A", basis="assumed"),
        limit=Figure(value=device.rating_a or 0.0, unit="A", basis="rule") if band is None else None,
        message=f"Jammed, {the(part.name)} draws {amps} A: “{device.name}” of {device.rating_a:g} A {told}.",
        source=spoken.source if band is None else f"{spoken.source}; {band.source}",
        source_status=spoken.status if band is None or not band.is_assumed else "memory",
        rule_kind=rule_kind(boat, spoken),
    )

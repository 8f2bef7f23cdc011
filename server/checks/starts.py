"""Starts and stalls of motors against the time that the devices before them take to open."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

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
from server.engine.event_running import running_currents
from server.engine.figures import Figures, Level
from server.engine.solution import Solution
from server.engine.transient.answer import DeviceCurrent
from server.practice.rules import rule
from server.practice.sourced import Sourced
from server.practice.time_current import Band, Opening
from server.practice.withstand import withstand
from server.units import Ampere, Ratio, Second

STEPS = 60
"""In so many steps the first instant's current falls to what it was, where the event in time is unknown.

A motor's speed rises exponentially to 95 % within the run-up, so what is left to rise is e^(-3 t / run-up).
"""
LONG_S: Second = 3600.0
"""What runs all day is followed for an hour."""
MULTIPLES = frozenset({"windlass", "thruster", "winch"})


@dataclass(frozen=True, slots=True)
class Start:
    """A motor's start: who, how long it takes to run up, for how long it then runs on, and when."""

    part: str
    run_up: Level
    is_stated: bool
    runs_s: Second
    moment: str


@dataclass(frozen=True, slots=True)
class Through:
    """The current through a device in a start: along its first seconds, and as the motor runs on."""

    times_s: Sequence[Second]
    amps: Sequence[Ampere]
    running_a: Ampere

    def opening(self, band: Band, rating_a: Ampere, start: Start, stretch: Ratio) -> Opening:
        """When a device opens, with the run-up so many times as long as it is taken to be."""
        times = [stretch * at_s for at_s in self.times_s]
        amps = [*self.amps]
        if start.runs_s > times[-1]:
            times += [times[-1], start.runs_s]
            amps += [self.running_a, self.running_a]
        return band.opening_along(times, [one / rating_a for one in amps])


def opening_for_nothing(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Devices that a start and its run open, though nothing is wrong; an assumed curve where it surely would.

    Judged along the current: that of the event in time where it is known, else the first instant's, falling
    as a motor runs up. Then the motor runs on for as long as is stated of a use of it.
    """
    events = {event.id: event for event in events_of(boat)}
    devices = [device for device in Shorts.of(boat, answer).devices if device.rating_a is not None]
    for info in answer.events:
        start = _start(boat, events[info.event])
        if start is not None:
            running = _Running(boat, answer.mode, info.event)
            known = info.devices
            along = (
                _first_instant(boat, answer.mode, info.event, start, devices)
                if known is None
                else _in_time(known, devices)
            )
            for device, times, amps in along:
                through = Through(times, amps, running.through(device, start))
                yield from _for_nothing(device, start, through)


Along = Iterator[tuple[Device, Sequence[Second], Sequence[Ampere]]]


def _in_time(known: Sequence[DeviceCurrent], devices: Sequence[Device]) -> Along:
    """Each device that an event runs through, with its current along it."""
    by_name = {device.element: device for device in devices}
    for one in known:
        if one.element in by_name:
            yield by_name[one.element], one.time_s.tolist(), one.current_a.tolist()


def _first_instant(boat: Boat, mode: str, event: str, start: Start, devices: Sequence[Device]) -> Along:
    """Each device with the current of the first instant, falling to what it was as the motor runs up."""
    solved = Solution.of(boat, mode).event(event)
    before, during = solved.absent.current_a, solved.present.current_a
    shares = [step / STEPS for step in range(STEPS + 1)]
    for device in devices:
        for row in solved.net.rows_of.get(device.element, ()):
            was, first = abs(float(before[row])), abs(float(during[row]))
            if max(was, first) <= (device.rating_a or 0.0) and start.runs_s == 0:
                continue
            falling = [was + (first - was) * math.exp(-3 * share) for share in shares]
            yield device, [share * start.run_up.value for share in shares], falling


@dataclass(frozen=True, eq=False)
class _Running:
    """What runs through devices once the motor of an event has run up, worked out where it is asked for."""

    boat: Boat
    mode: str
    event: str

    @cached_property
    def _amps(self) -> Mapping[str, Ampere]:
        return running_currents(self.boat, self.mode, self.event)

    def through(self, device: Device, start: Start) -> Ampere:
        """The current through a device; none where nobody said how long a use lasts."""
        return self._amps.get(device.element, 0.0) if start.runs_s > 0 else 0.0


def _start(boat: Boat, event: Event) -> Start | None:
    part, motor, kind = part_of(boat, event.heavy.part), None, "starter"
    runs_s = 0.0
    if isinstance(part, Outboard):
        motor = part.starter
    elif isinstance(part, Load):
        demand = next(one.demand for one in part.inputs if one.id == event.heavy.input)
        motor = demand if isinstance(demand, Motor) else None
        kind = "starter" if part.role == "starter" else "other"
        runs_s = LONG_S if part.duty == "continuous" else part.duty_on_s or 0.0
    if motor is None:
        return None
    figures, is_stated = Figures.of(boat), motor.run_up_s is not None
    if motor.run_up_s is not None:
        run_up = figures.given(motor.run_up_s, part.id, "run-up time")
    else:
        run_up = figures.level(f"motor_run_up_time_{kind}", part.id)
    return Start(part.id, run_up, is_stated, runs_s, when(boat, event))


def _for_nothing(device: Device, start: Start, through: Through) -> Iterator[Finding]:
    rating_a, band, up = device.rating_a or math.inf, band_of(device), start.run_up
    quick = through.opening(band, rating_a, start, up.high / up.value)
    sure = through.opening(band, rating_a, start, up.low / up.value)
    opens, most_a = not math.isinf(sure.longest_s), max(through.amps)
    if math.isinf(quick.shortest_s) or (band.is_assumed and not opens):
        return
    is_certain = opens and start.is_stated and not band.is_assumed
    told = "opens" if is_certain else "may open"
    look = "" if is_certain else "; look up its time-current curve and how long the start takes"
    after = span_words(Opening(quick.shortest_s, sure.longest_s))
    on = (
        f", then {rounded(through.running_a)} A for {start.runs_s:g} s"
        if through.running_a > rating_a
        else ""
    )
    yield Finding(
        code="opens-at-start",
        severity="fault" if is_certain else "cannot-tell",
        subjects=tuple(dict.fromkeys((device.load[0], device.element, start.part))),
        figure=Figure(value=most_a, unit="A", basis="computed"),
        limit=Figure(value=rating_a, unit="A", basis="rule"),
        message=f"{start.moment}, up to {rounded(most_a)} A run through “{device.name}” of {rating_a:g} A as "
        f"it runs up in up to {up.high:g} s{on}: it {told} after {after}{look}.",
        source=f"{band.source}; added up along the current, ∫ dt ÷ t(I); run-up as stated or assumed",
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

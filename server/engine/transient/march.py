"""Steps through a stretch, as long as they may be, to its end or to where an arc goes out.

A step that errs by more than ``STEP_V`` is shortened. The bend of the watched voltages limits a step too,
so that nothing passes unseen in it. Where a motor starts, stops, or its arc goes out, and where a draw's
voltage passes its cut-out, the step ends exactly there.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

from server.engine.arrays import Floats
from server.engine.transient.circuit import TransientError
from server.engine.transient.graph import rows_named
from server.engine.transient.motors import MotorState
from server.engine.transient.points import COUNT, LATER, POINTS, POWERS, TO_POWERS
from server.engine.transient.segment import Motion, PhaseKind
from server.engine.transient.stepper import (
    MOST_TURNS,
    STEP_V,
    Stepper,
    exponent_within,
    span_of,
)
from server.engine.transient.steps import Now, Step
from server.units import Second, Volt

GROWTH = math.sqrt(2) ** (COUNT - 1)
"""How errors grow from one length of a step to the next, √2 times as long."""
MOST_LONGER, MOST_SHORTER = 4, 4
CHORD_V = 0.05
"""A step is no longer than as many chords as it has points that stay within this of the watched voltages."""
SETTLED_V = 5e-12
"""After an edge inputs and voltages agree to this."""
UNKNOWN = 1e300
"""Readings before the first turn: agreed with nothing."""
KNEE_V = 1e-9
"""A cut-out has been passed this far beyond it: on it rounding would decide."""
AFTER_A_CUT_OUT = 4
"""By how many powers of √2 the step after a cut-out is shorter: what rises at once there is followed."""
SHORTEST_STEP_S = 1e-15
SAME_TIME = 1e-13
MOST_EXPONENT = 60
"""No event is as long as such a step."""
MOST_STEPS = 3_000
"""Events of boats take a few hundred steps a stretch; one that takes so many swings without end."""


@dataclass(slots=True)
class Track:
    """The pieces made so far."""

    starts: list[float] = field(default_factory=list)
    spans: list[float] = field(default_factory=list)
    m0: list[Floats] = field(default_factory=list)
    Q: list[Floats] = field(default_factory=list)
    edges: list[float] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Event:
    """What ends a step, as a share of it.

    Nothing; a motor that starts or stops, or its arc that goes out; draws that pass their cut-out.
    """

    at: float
    motor: MotorState | None = None
    is_arc_out: bool = False
    is_cut_out: bool = False


class March:
    """Marches one system from a state on."""

    def __init__(
        self, stepper: Stepper, motors: list[MotorState], x: Floats, time: Second, step_v: Volt = STEP_V
    ) -> None:
        self.stepper, self.motors, self.step_v = stepper, motors, step_v
        self.system = stepper.system
        self.track = Track()
        self.now = self._after_an_edge(time, self.system.modes.project(x))

    @property
    def state(self) -> Floats:
        """The state now."""
        x: Floats = self.system.modes.basis @ self.now.m
        return x

    @cached_property
    def is_plain(self) -> bool:
        """Whether nothing in this stretch bends or has to be watched: one step answers it."""
        return not self.stepper.laws.bends.any() and all(motor.is_plain for motor in self.motors)

    def until(self, end: Second) -> MotorState | None:
        """March to the end, or to the instant at which a motor's arc goes out, and say which motor's."""
        exponent = MOST_EXPONENT
        while self.now.time < end:
            if len(self.track.starts) >= MOST_STEPS:
                raise TransientError(
                    f"{self._unsettled(self.now.time)}: it swings without end, as electronics do whose input "
                    "capacitance is too small for the leads before them; check what was entered for it"
                )
            last = exponent_within(end - self.now.time) + 1
            step, exponent = self._accurate_step(min(exponent, last))
            event = self._first_event(step, min(1.0, (end - self.now.time) / step.table.span))
            self._take(step, event, end)
            if event.motor is not None and event.is_arc_out:
                return event.motor
            if event.motor is not None:
                self._turn_or_hold(event.motor)
            if event.is_cut_out:
                self._pass_cut_outs()
                exponent -= AFTER_A_CUT_OUT
        return None

    def motion(self, kind: PhaseKind) -> Motion:
        """The stretch marched so far."""
        track = self.track
        starts, spans = np.array(track.starts), np.array(track.spans)
        m0, Q = np.stack(track.m0, axis=1), np.stack(track.Q)
        edges = np.array([edge for edge in track.edges if track.starts[0] < edge < self.now.time])
        return Motion(kind, track.starts[0], self.now.time, self.system, starts, spans, m0, Q, edges)

    def _accurate_step(self, exponent: int) -> tuple[Step, int]:
        """A step accurate enough, and the exponent to try next."""
        exponent = self._limited(exponent)
        while True:
            step = self.stepper.step(self.now, self.motors, exponent, self.step_v)
            error = math.inf if step is None else self.stepper.error(step)
            if step is not None and error <= self.step_v:
                return step, exponent + _longer(error / self.step_v)
            exponent -= _shorter(error / self.step_v)
            if span_of(exponent) < SHORTEST_STEP_S:
                raise TransientError(self._unsettled(self.now.time))

    def _limited(self, exponent: int) -> int:
        """The longest step in which nothing watched bends unseen."""
        if self.is_plain:
            return exponent
        longest = self.stepper.growth_s
        bend = self.stepper.bend(self.now)
        if bend > 0:
            longest = min(longest, (COUNT - 1) * math.sqrt(8 * CHORD_V / bend))
        return min(exponent, exponent_within(max(longest, SHORTEST_STEP_S)))

    def _unsettled(self, time: Second) -> str:
        names = [motor.drive.name for motor in self.motors if not motor.is_plain]
        rows = self.system.wiring.draw[self.stepper.laws.bends].tolist()
        names += [rows_named("draw", rows)] if rows else []
        return f"no voltage settles at {time:.6g} s: {', '.join(names)}"

    def _after_an_edge(self, time: Second, m: Floats) -> Now:
        """A beginning whose inputs settle with the voltages they move at once."""
        stepper = self.stepper
        free = (stepper.watched.modal @ m)[:, None]
        angles, times = np.array([[motor.angle] for motor in self.motors]), np.array([time])
        U = np.zeros((self.system.H.shape[1], 1))
        U[0] = 1.0
        stepper.supply(U, time, times)
        last: Floats | float = UNKNOWN
        for _ in range(MOST_TURNS * 4):
            z = free + stepper.watched.direct @ U
            if (np.abs(z - last) * stepper.volts).max(initial=0.0) < SETTLED_V:
                is_below = stepper.laws.is_below(z[: stepper.draws, 0])
                return Now(time, m, z[:, 0], U[:, 0], None, 0.0, 1.0, is_below)
            last = z
            U = stepper.law(z, angles, times, self.motors)
        raise TransientError(
            self._unsettled(time)
        )  # pragma: no cover - the steps before would not have settled

    def _first_event(self, step: Step, used: float) -> Event:
        """The first that happens within a part of a step, or its end."""
        first = Event(used)
        for number, motor in enumerate(self.motors):
            if motor.is_plain:
                continue
            for is_arc_out in (False, True) if motor.arc_sign else (False,):
                at = self._crossing(step, number, first.at, is_arc_out=is_arc_out)
                if at < first.at:
                    first = Event(at, motor, is_arc_out)
        at = self._cut_out(step, first.at)
        return Event(at, is_cut_out=True) if at < first.at else first

    def _cut_out(self, step: Step, used: float) -> float:
        """Where the first draw passes its cut-out, as a share of the step; 2 where none does."""
        laws, draws, is_below = self.stepper.laws, self.stepper.draws, self.now.is_below
        margins = laws.to_the_knee(step.z[:draws], is_below) + KNEE_V
        beyond = np.flatnonzero(margins.min(axis=0, initial=math.inf) < 0)
        if not beyond.size or POINTS[beyond[0]] >= used:
            return 2.0

        def least(sigma: float) -> float:
            v = self._watched(step, step.parts_at(np.array([sigma]))[:, 0], sigma)[0][:draws, None]
            return float(laws.to_the_knee(v, is_below).min()) + KNEE_V

        left, right = float(POINTS[beyond[0]]), float(LATER[beyond[0]])
        return falls(least, left, right)

    def _pass_cut_outs(self) -> None:
        """Draws that are beyond their cut-outs keep to the other side from now on."""
        now, laws = self.now, self.stepper.laws
        beyond = laws.to_the_knee(now.z[: self.stepper.draws, None], now.is_below) < -KNEE_V / 2
        self.track.edges.append(now.time)
        self.now = replace(now, is_below=now.is_below ^ beyond)

    def _watched(self, step: Step, m: Floats, at: float) -> tuple[Floats, Floats]:
        """Watched readings and inputs at a share of a step, by the modes there."""
        U, watched = step.by_power @ at**POWERS, self.stepper.watched
        return watched.modal @ m + watched.direct @ U, U

    def _crossing(self, step: Step, number: int, used: float, *, is_arc_out: bool) -> float:
        """Where a motor's margin falls below zero, as a share of the step; 2 where it does not."""
        motor = self.motors[number]

        def margin(i: Floats, s: Floats, angle: Floats) -> Floats:
            return motor.arc_margin(i) if is_arc_out else motor.margin(i, s, angle)

        points = POINTS if used == 1.0 else np.append(POINTS[used > POINTS], used)
        known = self._at_points(step, number) if used == 1.0 else self._within(step, number, points)
        below = np.flatnonzero(margin(*known) < 0)
        if not below.size:
            return 2.0
        if below[0] == 0:
            return 0.0

        def at(sigma: float) -> float:
            return float(margin(*self._within(step, number, np.array([sigma])))[0])

        return falls(at, float(points[below[0] - 1]), float(points[below[0]]))

    def _at_points(self, step: Step, number: int) -> tuple[Floats, Floats, Floats]:
        """A motor's current, speed and angle at the points of a step."""
        at = self.stepper.motor_rows(number)
        found = np.empty((3, COUNT))
        found[:2, 0], found[2, 0] = self.now.z[at], self.motors[number].angle
        found[:2, 1:], found[2, 1:] = step.z[at], step.angles[number]
        i, s, angles = found
        return i, s, angles

    def _within(self, step: Step, number: int, sigma: Floats) -> tuple[Floats, Floats, Floats]:
        """A motor's current, speed and angle anywhere within a step."""
        i, s = self.stepper.watched.modal[self.stepper.motor_rows(number)] @ step.parts_at(sigma)
        speeds, powers = self._at_points(step, number)[1], POWERS + 1
        summed = (sigma[:, None] ** powers / powers) @ (speeds @ TO_POWERS)
        return i, s, self.motors[number].angle + step.table.span * summed

    def _take(self, step: Step, event: Event, end: Second) -> None:
        """Go to where a step ends, and keep it as a piece."""
        now, span, whole = self.now, step.table.span, event.at == 1.0
        if event.at <= 0:
            return
        dead = self.stepper.laws.collapsed(step.z[: self.stepper.draws])
        if dead.size:
            rows = self.system.wiring.draw[dead].tolist()
            raise TransientError(
                f"{rows_named('draw', rows)}: no voltage is left to run on at {now.time:.6g} s"
            )
        self.track.starts.append(now.time)
        self.track.spans.append(span)
        self.track.m0.append(now.m)
        self.track.Q.append(step.by_power)
        share = np.array([event.at])
        angles = [
            step.angles[k, -1] if whole else self._within(step, k, share)[2][0]
            for k in range(len(self.motors))
        ]
        m = step.ends if whole else step.parts_at(share)[:, 0]
        for motor, angle in zip(self.motors, angles, strict=True):
            motor.angle = float(angle)
        arrived = now.time + event.at * span
        time = end if end - arrived <= SAME_TIME * max(abs(end), span) else arrived
        z, U = (step.z[:, -1], step.U[:, -1]) if whole else self._watched(step, m, event.at)
        self.now = Now(time, m, z, U, step.by_power, event.at, span, now.is_below)

    def _turn_or_hold(self, motor: MotorState) -> None:
        """A held motor starts to turn; a turning one stops, exactly."""
        motor.is_held = not motor.is_held
        self.track.edges.append(self.now.time)
        m = self.now.m
        if motor.is_held:
            x = self.state
            x[self.system.places[self.motors.index(motor)].speed] = 0.0
            m = self.system.modes.project(x)
        self.now = self._after_an_edge(self.now.time, m)


def falls(margin: Callable[[float], float], left: float, right: float) -> float:
    """Where a margin falls through zero between two ends; one of these where rounding puts it there."""
    at_left, at_right = margin(left), margin(right)
    if at_left > 0 > at_right:
        return float(brentq(margin, left, right, xtol=1e-15))
    return left if at_left <= 0 else right


def _longer(share: float) -> int:
    """By how many powers of √2 the next step may be longer, given the share of what this one may err.

    Such that it would err by half of what it may.
    """
    if share <= 0:
        return MOST_LONGER
    return min(max(math.floor(math.log(0.5 / share, GROWTH)), 0), MOST_LONGER)


def _shorter(times: float) -> int:
    """By how many powers of √2 a step has to be shorter that errs this many times as much as it may."""
    if times == math.inf:
        return MOST_SHORTER
    return min(math.floor(math.log(times, GROWTH)) + 1, MOST_SHORTER)

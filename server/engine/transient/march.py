r"""Steps through a stretch: the linear part exact, the nonlinear inputs as cubics that agree with their laws.

On a step of length h every input is the cubic through its values at the Lobatto points of the step
(exponential collocation; Hochbruck and Ostermann 2010, section 2.5). The values are iterated until input and
law agree: draws by substitution, since they are measured from their tangents, each motor by Newton's method.
What a quadratic would have given instead bounds the error, in volts at the draws and motors; a step that errs
by more than ``STEP_V`` is halved. The bend of those voltages limits a step too, so that nothing passes unseen
in it.
"""

import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

from server.engine.arrays import Floats
from server.engine.transient.circuit import TransientError
from server.engine.transient.draws import DrawLaws
from server.engine.transient.equations import Lines, Outputs, System
from server.engine.transient.graph import rows_named
from server.engine.transient.modes import Complexes, phis
from server.engine.transient.motors import MotorState
from server.engine.transient.segment import Motion, PhaseKind
from server.units import Second, Volt

STEP_V = 1e-4
"""The error a step may have if its inputs were quadratics; the cubics that are used err far less."""
AGREED_V = 1e-7
"""Inputs and laws agree when another turn changes no voltage by more."""
CHORD_V = 0.02
"""A step is no longer than three chords that stay within this of the watched voltages."""
MOST_TURNS = 12
SHORTEST_STEP = 2.0**-50
SAME_TIME = 1e-13
POINTS = np.array([0.0, 0.5 - math.sqrt(0.05), 0.5 + math.sqrt(0.05), 1.0])
"""Lobatto points of four (Abramowitz and Stegun 1964, table 25.6), on 0 … 1."""
TO_POWERS = np.linalg.inv(POINTS[:, None] ** np.arange(4)).T
"""Values at the points times this are the coefficients of the cubic."""
DROPPED = np.array([0.0, POINTS[1], -(1.0 + POINTS[1]), 1.0])
"""The cubic that is zero at all points but the third: what a quadratic through those misses."""
SUMMED = POINTS[1:, None] ** np.arange(1, 5) / np.arange(1, 5) @ TO_POWERS.T
"""Values at the points times this (transposed) are the integrals to the points but the first."""


@dataclass(frozen=True, eq=False)
class Table:
    """What a step of one length does to the modes: to its three later points."""

    span: Second
    decay: Complexes
    forced: Complexes
    replies: tuple[Floats, ...]


class Stepper:
    """Steps of one system: the watched readings, and a table for every length of step.

    Watched are the live draws' voltages, for each closed motor its current and speed, and the volts at their
    terminals. Lengths are powers of two of a second, so that tables are few.
    """

    def __init__(self, system: System, laws: DrawLaws, lines: Lines, scale_v: Volt) -> None:
        self.system, self.laws, self.lines = system, laws, lines
        wiring = system.wiring
        path = wiring.one_by_one(len(wiring.branch) + wiring.draw_at, wiring.draw_sign)
        states = [row for place in system.places for row in (place.current, place.speed)]
        terminals = system.voltages(wiring.motor_paths()[list(system.closed)])
        self.watched = _stacked(system.voltages(path), system.of_states(states), terminals)
        ohms = [wiring.circuit.motors[wiring.motor[k]].ohm for k in system.closed]
        self.volts = np.ones(len(self.watched.state))
        for number, ohm in enumerate(ohms):
            at = len(wiring.draw) + 2 * number
            self.volts[at : at + 2] = ohm, scale_v
        self.speeds = slice(len(wiring.draw) + 1, len(wiring.draw) + 2 * len(ohms), 2)
        self._tables: dict[int, Table] = {}

    @cached_property
    def reach(self) -> Floats:
        """For each mode the most it moves any watched voltage."""
        found: Floats = (np.abs(self.watched.modal) * self.volts[:, None]).max(axis=0, initial=0.0)
        return found

    @cached_property
    def growth_s(self) -> Second:
        """The time in which the fastest growing mode grows e times; none grows, as a rule."""
        fastest = float(self.system.modes.rate.real.max(initial=0.0))
        return 1 / fastest if fastest > 0 else math.inf

    def table(self, exponent: int) -> Table:
        """The table for steps of 2^exponent seconds."""
        if exponent not in self._tables:
            span = 2.0**exponent
            rate = self.system.modes.rate
            found = phis((rate[:, None] * span) * POINTS[1:], 4)
            forced = np.stack(
                [found[k + 1] * (math.factorial(k) * span * POINTS[1:] ** (k + 1)) for k in range(4)], axis=2
            )
            self._tables[exponent] = Table(span, found[0], forced, tuple(self._replies(forced)))
        return self._tables[exponent]

    def _replies(self, forced: Complexes) -> list[Floats]:
        """For each motor, how its current and speed at the points follow its own inputs there."""
        by_value = forced @ TO_POWERS[1:].T
        replies, draws = [], len(self.system.wiring.draw)
        for number in range(len(self.system.places)):
            at, into = draws + 2 * number, 1 + draws + 2 * number
            rows, columns = self.watched.modal[at : at + 2], self.system.modal_inputs[:, into : into + 2]
            reply = np.einsum("rn,nij,nc->irjc", rows, by_value, columns, optimize=True).real
            replies.append(reply)
        return replies


@dataclass(slots=True)
class Track:
    """The pieces made so far."""

    starts: list[float] = field(default_factory=list)
    spans: list[float] = field(default_factory=list)
    m0: list[Complexes] = field(default_factory=list)
    Q: list[Floats] = field(default_factory=list)

    def motion(self, kind: PhaseKind, end: Second, system: System) -> Motion:
        """The stretch they make."""
        m0 = np.stack(self.m0, axis=1)
        starts = np.array(self.starts)
        return Motion(kind, self.starts[0], end, system, starts, np.array(self.spans), m0, np.stack(self.Q))


@dataclass(frozen=True, eq=False)
class Step:
    """A step that agrees: inputs at its points and as powers, watched readings at its points, angles."""

    table: Table
    U: Floats
    Q: Floats
    z: Floats
    angles: Floats


@dataclass(frozen=True, slots=True)
class Event:
    """What ends a step, as a share of it: nothing, a motor that starts or stops, or its arc that goes out."""

    at: float
    motor: MotorState | None
    is_arc_out: bool


class March:
    """Marches one system from a start to an end, or to where an arc goes out."""

    def __init__(self, stepper: Stepper, motors: list[MotorState], x: Floats, time: Second) -> None:
        self.stepper, self.motors, self.time = stepper, motors, time
        self.system = stepper.system
        self.m: Complexes = self.system.modes.project(x)
        self.track = Track()
        self.Q: Floats | None = None
        self.used = 1.0

    @property
    def state(self) -> Floats:
        """The state now."""
        return (self.system.modes.shape @ self.m).real

    @cached_property
    def is_plain(self) -> bool:
        """Whether nothing in this stretch bends or has to be watched: one step answers it."""
        return not self.stepper.laws.bends.any() and all(motor.is_plain for motor in self.motors)

    def until(self, end: Second) -> MotorState | None:
        """March to the end, or to the instant at which a motor's arc goes out, and say which motor's."""
        U0 = self._inputs_now()
        exponent = self._first_exponent(end)
        while self.time < end:
            step, exponent = self._agreed_step(U0, exponent)
            event = self._first_event(step, min(1.0, (end - self.time) / step.table.span))
            self._take(step, event.at, end)
            if event.motor is None and event.at == 1.0:
                U0 = step.U[:, 3]
                continue
            if event.motor is not None and event.is_arc_out:
                return event.motor
            if event.motor is not None:
                self._turn_or_hold(event.motor)
                exponent -= 2
            U0 = self._inputs_now()
        return None

    def _first_exponent(self, end: Second) -> int:
        """The longest step worth trying."""
        return math.ceil(math.log2(end - self.time))

    def _limited(self, exponent: int, U0: Floats) -> int:
        """The longest step in which nothing watched bends unseen."""
        if self.is_plain:
            return exponent
        rate = self.system.modes.rate
        F0 = self.system.modal_inputs @ U0
        F1 = self.system.modal_inputs @ self._rising()
        bend = float(np.abs(rate * (rate * self.m + F0) + F1) @ self.stepper.reach)
        longest = 3 * math.sqrt(8 * CHORD_V / bend) if bend > 0 else math.inf
        longest = min(longest, self.stepper.growth_s)
        return exponent if longest >= 2.0**exponent else math.floor(math.log2(longest))

    def _rising(self) -> Floats:
        """The slope of the inputs at the end of the last step, where there was one."""
        if self.Q is None:
            return np.zeros(self.system.H.shape[1])
        at = self.used ** np.arange(3) * np.arange(1, 4)
        return (self.Q[:, 1:] @ at) / self.track.spans[-1]

    def _agreed_step(self, U0: Floats, exponent: int) -> tuple[Step, int]:
        """A step accurate enough, and the exponent to try next."""
        exponent = self._limited(exponent, U0)
        while True:
            step = self._iterated(U0, exponent)
            error = math.inf if step is None else self._error(step)
            if step is not None and error <= STEP_V:
                return step, exponent + (1 if error < STEP_V / 16 else 0)
            exponent -= 1 if error < 8 * STEP_V else 2
            if 2.0**exponent < SHORTEST_STEP:
                raise TransientError(self._unsettled())

    def _unsettled(self) -> str:
        names = [motor.drive.name for motor in self.motors if not motor.is_plain]
        rows = self.system.wiring.draw[self.stepper.laws.bends].tolist()
        names += [rows_named("draw", rows)] if rows else []
        return f"no voltage settles at {self.time:.6g} s: {', '.join(names)}"

    def _error(self, step: Step) -> Volt:
        """What quadratic inputs would have changed, in watched volts."""
        cubic = step.Q[:, 3]
        if not cubic.any():
            return 0.0
        F = self.system.modal_inputs @ cubic
        moved = self.stepper.watched.modal @ ((step.table.forced @ DROPPED) * F[:, None])
        return float((np.abs(moved.real) * self.stepper.volts[:, None]).max(initial=0.0))

    def _iterated(self, U0: Floats, exponent: int) -> Step | None:
        """Inputs and laws made to agree over a step; None where they do not come together."""
        stepper, table = self.stepper, self.stepper.table(exponent)
        times = self.time + table.span * POINTS[1:]
        watched, draws = stepper.watched, len(self.system.wiring.draw)
        free = watched.modal @ (table.decay * self.m[:, None])
        U = self._foreseen(U0, table.span)
        last = np.full((len(stepper.volts), 3), np.inf)
        for _ in range(MOST_TURNS):
            Q = U @ TO_POWERS
            forced = (table.forced @ (self.system.modal_inputs @ Q)[:, :, None])[:, :, 0]
            z = (free + watched.modal @ forced).real + watched.direct @ U[:, 1:]
            angles = self._angles(z, table.span)
            if (np.abs(z - last) * stepper.volts[:, None]).max(initial=0.0) < AGREED_V:
                return Step(table, U, Q, z, angles)
            last = z
            wanted = self._law(z, angles, times)
            U = U.copy()
            U[: 1 + draws, 1:] = wanted[: 1 + draws]
            missing = wanted - U[:, 1:]
            for number, motor in enumerate(self.motors):
                at, into = draws + 2 * number, 1 + draws + 2 * number
                slopes = motor.slopes(z[at], z[at + 1])
                U[into : into + 2, 1:] += _newton(missing[into : into + 2], slopes, table.replies[number])
        return None

    def _foreseen(self, U0: Floats, span: Second) -> Floats:
        """The last step's cubics carried on, or constants."""
        U = np.repeat(U0[:, None], 4, axis=1)
        if self.Q is not None:
            sigma = self.used + POINTS * span / self.track.spans[-1]
            carried = self.Q @ sigma ** np.arange(4)[:, None]
            U += carried - carried[:, :1]
        return U

    def _angles(self, z: Floats, span: Second) -> Floats:
        """Each motor's angle at the three later points, from its speeds."""
        now = np.array([motor.angle for motor in self.motors])
        speeds = np.column_stack([self._speeds_now(), z[self.stepper.speeds]])
        return now[:, None] + span * speeds @ SUMMED.T

    def _speeds_now(self) -> Floats:
        return (self.stepper.watched.modal[self.stepper.speeds] @ self.m).real

    def _law(self, z: Floats, angles: Floats, times: Floats) -> Floats:
        """The inputs the laws ask for at watched readings."""
        laws, lines, draws = self.stepper.laws, self.stepper.lines, len(self.system.wiring.draw)
        wanted = np.ones((self.system.H.shape[1], len(times)))
        v = z[:draws]
        wanted[1 : 1 + draws] = laws.current(v) - (lines.conductance[:, None] * v + lines.offset_a[:, None])
        for number, motor in enumerate(self.motors):
            i, s = z[draws + 2 * number : draws + 2 * number + 2]
            into = 1 + draws + 2 * number
            wanted[into], wanted[into + 1] = motor.inputs(i, s, angles[number], times)
        return wanted

    def _inputs_now(self) -> Floats:
        """The inputs at this instant; those of draws settle with the voltages they move at once."""
        watched = self.stepper.watched
        free = (watched.modal @ self.m).real[:, None]
        angles, times = np.array([[motor.angle] for motor in self.motors]), np.array([self.time])
        U = np.zeros((self.system.H.shape[1], 1))
        U[0] = 1.0
        last = np.full(len(free), np.inf)
        for _ in range(MOST_TURNS * 4):
            z = free + watched.direct @ U
            if (np.abs(z[:, 0] - last) * self.stepper.volts).max(initial=0.0) < AGREED_V / 100:
                return U[:, 0]
            last = z[:, 0]
            U = self._law(z, angles, times)
        raise TransientError(self._unsettled())

    def _first_event(self, step: Step, used: float) -> "Event":
        """The first that happens within a part of a step, or its end."""
        first = Event(used, None, is_arc_out=False)
        for number, motor in enumerate(self.motors):
            for is_arc_out in (False, True) if motor.arc_sign else (False,):
                at = self._crossing(step, number, first.at, is_arc_out=is_arc_out)
                if at < first.at:
                    first = Event(at, motor, is_arc_out)
        return first

    def _crossing(self, step: Step, number: int, used: float, *, is_arc_out: bool) -> float:
        """Where a motor's margin falls below zero, as a share of the step; 2 where it does not."""
        motor = self.motors[number]

        def margin(sigma: Floats) -> Floats:
            i, s, angle = self._motor_within(step, number, sigma)
            return motor.arc_margin(i) if is_arc_out else motor.margin(i, s, angle)

        if motor.is_plain:
            return 2.0
        points = np.append(POINTS[used > POINTS], used)
        below = np.flatnonzero(margin(points) < 0)
        if not below.size:
            return 2.0
        if below[0] == 0:
            return 0.0
        low, high = float(points[below[0] - 1]), float(points[below[0]])
        return float(brentq(lambda sigma: float(margin(np.array([sigma]))[0]), low, high, xtol=1e-15))

    def _motor_within(self, step: Step, number: int, sigma: Floats) -> tuple[Floats, Floats, Floats]:
        """A motor's current, speed and angle within a step."""
        at = len(self.system.wiring.draw) + 2 * number
        modes = self._modes_within(step, sigma)
        i, s = (self.stepper.watched.modal[at : at + 2] @ modes).real
        speeds = np.append(self._speeds_now()[number], step.z[at + 1])
        powers = np.arange(1, 5)
        summed = (sigma[:, None] ** powers / powers) @ (speeds @ TO_POWERS)
        return i, s, self.motors[number].angle + step.table.span * summed

    def _modes_within(self, step: Step, sigma: Floats) -> Complexes:
        tau = sigma * step.table.span
        found = phis(self.system.modes.rate[:, None] * tau, 4)
        F = self.system.modal_inputs @ step.Q
        modes: Complexes = found[0] * self.m[:, None]
        for k in range(4):
            modes += F[:, k : k + 1] * found[k + 1] * (math.factorial(k) * tau * sigma**k)
        return modes

    def _take(self, step: Step, used: float, end: Second) -> None:
        """Go to a share of the step, and keep it as a piece."""
        if used <= 0:
            return
        self.track.starts.append(self.time)
        self.track.spans.append(step.table.span)
        self.track.m0.append(self.m)
        self.track.Q.append(step.Q)
        share = np.array([used])
        angles = [float(self._motor_within(step, k, share)[2][0]) for k in range(len(self.motors))]
        self.m = self._modes_within(step, share)[:, 0]
        for motor, angle in zip(self.motors, angles, strict=True):
            motor.angle = angle
        arrived = self.time + used * step.table.span
        self.time = end if end - arrived <= SAME_TIME * max(abs(end), step.table.span) else arrived
        self.Q, self.used = step.Q, used

    def _turn_or_hold(self, motor: MotorState) -> None:
        """A held motor starts to turn; a turning one stops, exactly."""
        motor.is_held = not motor.is_held
        self.Q = None
        if motor.is_held:
            x = self.state
            x[self.system.places[self.motors.index(motor)].speed] = 0.0
            self.m = self.system.modes.project(x)


def _newton(missing: Floats, slopes: Floats, reply: Floats) -> Floats:
    """Newton's step for a motor's two inputs at three points, from what law and input still differ by."""
    if not slopes.any():
        return missing
    gain = np.einsum("icr,irjd->icjd", slopes, reply).reshape(6, 6)
    return np.linalg.solve(np.eye(6) - gain, missing.T.reshape(6)).reshape(3, 2).T


def _stacked(*parts: Outputs) -> Outputs:
    return Outputs(
        np.vstack([part.state for part in parts]),
        np.vstack([part.modal for part in parts]),
        np.vstack([part.direct for part in parts]),
    )

r"""One step of a stretch: the linear part exact, the nonlinear inputs as quintics that agree with their laws.

On a step of length h every input is the quintic through its values at the Lobatto points of the step
(exponential collocation; Hochbruck and Ostermann 2010, section 2.5). The values are iterated until input and
law agree: draws by substitution, since they are measured from their tangents, each motor by Newton's method.
What a quartic would have given instead bounds the error, in volts at the draws and motors.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.draws import DrawLaws
from server.engine.transient.equations import Lines, Outputs, System
from server.engine.transient.modes import Complexes, phis
from server.engine.transient.motors import MotorState
from server.engine.transient.points import (
    COUNT,
    DROPPED,
    FACTORIALS,
    LATER,
    POINTS,
    POWERS,
    SUMMED,
    TO_POWERS,
)
from server.units import Second, Volt

AGREED_V = 1e-6
"""Inputs and laws agree when what they still differ by moves no watched voltage by more."""
MOST_TURNS = 12
UNNOTICED_V = 1e-7
"""A mode that has less of its own left does not hold a step up: at high rates that is rounding."""
FOREVER_S = 1e9
LEAST_SCALE_OHM = 1e-4
"""A motor's current counts at least this many volts an ampere in errors."""
WANTED = COUNT - 1
"""Points of a step at which inputs are sought: all but the first."""
ONE = np.eye(2 * WANTED)
FORCING = FACTORIALS * LATER[:, None] ** (POWERS + 1)


def span_of(exponent: int) -> Second:
    """The length of a step: √2 to a power, in seconds."""
    return float(2.0 ** (exponent / 2))


def exponent_within(span: Second) -> int:
    """The longest step within a span."""
    return math.floor(2 * math.log2(span))


@dataclass(frozen=True, eq=False)
class Table:
    """What a step of one length does to the modes until its later points.

    ``forced`` is by modes, points, and powers of the inputs; ``replies`` tell for each motor how its current
    and speed at the points follow its own two inputs there; ``swing_v`` bounds by how many watched volts one
    unit of each input moves anything.
    """

    span: Second
    decay: Complexes
    forced: Complexes
    replies: tuple[Floats, ...]
    swing_v: Floats

    def driven(self, F: Complexes) -> Complexes:
        """The modes at the points that a forcing brings about."""
        found: Complexes = (self.forced @ F[:, :, None])[:, :, 0]
        return found


@dataclass(frozen=True, eq=False)
class Now:
    """Where a step begins: the instant, the modes, the inputs, and their polynomials from before."""

    time: Second
    m: Complexes
    U: Floats
    before: Floats | None
    """Those of the last step, of which ``used`` of ``span`` were used; None after an edge."""
    used: float
    span: Second

    def foreseen(self, span: Second) -> Floats:
        """Inputs at the points of a step: the last step's polynomials carried on, or constants."""
        U = np.repeat(self.U[:, None], COUNT, axis=1)
        if self.before is not None:
            sigma = self.used + POINTS * (span / self.span)
            carried = self.before @ sigma ** POWERS[:, None]
            U += carried - carried[:, :1]
        return U

    @property
    def rising(self) -> Floats:
        """The slopes of the inputs."""
        if self.before is None:
            return np.zeros(len(self.U))
        slopes: Floats = self.before[:, 1:] @ (self.used ** POWERS[:-1] * POWERS[1:]) / self.span
        return slopes


@dataclass(frozen=True, eq=False)
class Step:
    """A step that agrees: inputs at its points and as powers, watched readings at the later points."""

    table: Table
    U: Floats
    Q: Floats
    F: Complexes
    z: Floats
    angles: Floats
    ends: Complexes
    """The modes at its end."""


class Stepper:
    """Steps of one system; their lengths are powers of √2 of a second, so that tables are few.

    Watched are the live draws' voltages, then for each closed motor its current and speed, then the voltages
    at the motors' terminals.
    """

    def __init__(self, system: System, laws: DrawLaws, lines: Lines, scale_v: Volt) -> None:
        self.system, self.laws, self.lines = system, laws, lines
        wiring = system.wiring
        self.draws = len(wiring.draw)
        path = wiring.one_by_one(len(wiring.branch) + wiring.draw_at, wiring.draw_sign)
        states = [row for place in system.places for row in (place.current, place.speed)]
        terminals = system.voltages(wiring.motor_paths[list(system.closed)])
        self.watched = _stacked(system.voltages(path), system.of_states(states), terminals)
        drives = [wiring.circuit.motors[wiring.motor[k]] for k in system.closed]
        scales = [scale for drive in drives for scale in (max(drive.ohm, LEAST_SCALE_OHM), scale_v)]
        self.volts = np.concatenate([np.ones(self.draws), scales, np.ones(len(drives))])[:, None]
        self.speeds = slice(self.draws + 1, self.draws + 2 * len(drives), 2)
        self._tables: dict[int, Table] = {}

    @cached_property
    def reach(self) -> Floats:
        """For each mode the most it moves any watched voltage."""
        found: Floats = (np.abs(self.watched.modal) * self.volts).max(axis=0, initial=0.0)
        return found

    @cached_property
    def growth_s(self) -> Second:
        """The time in which the fastest growing mode grows e times; none grows, as a rule."""
        fastest = float(self.system.modes.rate.real.max(initial=0.0))
        return 1 / fastest if fastest > 0 else FOREVER_S

    def motor_rows(self, number: int) -> slice:
        """Where a closed motor's current and speed are watched; its inputs stand one further."""
        return slice(self.draws + 2 * number, self.draws + 2 * number + 2)

    def table(self, exponent: int) -> Table:
        """The table for steps of a length."""
        if exponent not in self._tables:
            span = span_of(exponent)
            found = phis((self.system.modes.rate[:, None] * span) * LATER, COUNT)
            forced: Complexes = (np.stack(found[1:], axis=2) * (span * FORCING)).astype(np.complex128)
            replies = tuple(self._replies(forced))
            self._tables[exponent] = Table(span, found[0], forced, replies, self._swing_v(span))
        return self._tables[exponent]

    def _replies(self, forced: Complexes) -> list[Floats]:
        by_value = forced @ TO_POWERS[1:].T
        replies = []
        for number in range(len(self.system.places)):
            at = self.motor_rows(number)
            rows, columns = self.watched.modal[at], self.system.modal_inputs[:, at.start + 1 : at.stop + 1]
            both = (rows[:, None, :] * columns.T).reshape(4, -1)
            reply = (both @ by_value.reshape(len(by_value), -1)).real.reshape(2, 2, WANTED, WANTED)
            replies.append(reply.transpose(2, 0, 3, 1).reshape(WANTED, 2, 2 * WANTED))
        return replies

    def _swing_v(self, span: Second) -> Floats:
        """|∫ e^λ(τ-s) ds| is no more than the span, nor than 2/|λ| for a mode that does not grow."""
        rate = self.system.modes.rate
        longest = np.where(rate.real > 0, span, np.minimum(span, 2 / np.maximum(np.abs(rate), 1e-300)))
        at_once: Floats = (np.abs(self.watched.direct) * self.volts).max(axis=0, initial=0.0)
        return at_once + (self.reach * longest) @ np.abs(self.system.modal_inputs)

    def bend(self, now: Now) -> float:
        """A bound of the second derivative of all watched voltages, but for what fades below notice."""
        rate, into = self.system.modes.rate, self.system.modal_inputs
        F0, F1 = (into @ np.column_stack([now.U, now.rising])).T
        bends = np.abs(rate * (rate * now.m + F0) + F1) * self.reach
        return float(bends[bends > UNNOTICED_V * np.abs(rate) ** 2].sum())

    def step(self, now: Now, motors: list[MotorState], exponent: int) -> Step | None:
        """Inputs and laws made to agree over a step; None where they do not come together."""
        table = self.table(exponent)
        times = now.time + table.span * LATER
        free = table.decay * now.m[:, None]
        speeds_now = (self.watched.modal[self.speeds] @ now.m).real[:, None]
        angles_now = np.array([motor.angle for motor in motors])[:, None]
        angles_now = angles_now + table.span * speeds_now * SUMMED[:, 0]
        U = now.foreseen(table.span)
        for _ in range(MOST_TURNS):
            Q = U @ TO_POWERS
            F = self.system.modal_inputs @ Q
            modes = free + table.driven(F)
            z = (self.watched.modal @ modes).real + self.watched.direct @ U[:, 1:]
            angles = angles_now + table.span * (z[self.speeds] @ SUMMED[:, 1:].T)
            missing = self.law(z, angles, times, motors) - U[:, 1:]
            for number, motor in enumerate(motors):
                at = self.motor_rows(number)
                into = slice(at.start + 1, at.stop + 1)
                if motor.bends:
                    slopes = motor.slopes(*z[at])
                    missing[into] = _newton(missing[into], slopes, table.replies[number])
            if np.abs(missing).max(axis=1) @ table.swing_v < AGREED_V:
                return Step(table, U, Q, F, z, angles, modes[:, -1])
            U[:, 1:] += missing
        return None

    def law(self, z: Floats, angles: Floats, times: Floats, motors: list[MotorState]) -> Floats:
        """The inputs the laws ask for at watched readings."""
        wanted = np.ones((self.system.H.shape[1], len(times)))
        v, lines = z[: self.draws], self.lines
        wanted[1 : 1 + self.draws] = self.laws.current(v) - (lines.conductance * v + lines.offset_a)
        for number, motor in enumerate(motors):
            at = self.motor_rows(number)
            i, s = z[at]
            wanted[at.start + 1 : at.stop + 1] = motor.inputs(i, s, angles[number], times)
        return wanted

    def error(self, step: Step) -> Volt:
        """What inputs of one degree less would have changed, in watched volts."""
        highest = step.F[:, -1]
        if not highest.any():
            return 0.0
        moved = self.watched.modal @ (highest[:, None] * (step.table.forced @ DROPPED))
        return float((np.abs(moved.real) * self.volts).max(initial=0.0))


def _newton(missing: Floats, slopes: Floats, reply: Floats) -> Floats:
    """Newton's step for a motor's two inputs at the points, from what law and input still differ by."""
    gain = (slopes @ reply).reshape(2 * WANTED, 2 * WANTED)
    better: Floats = np.linalg.solve(ONE - gain, missing.T.reshape(-1)).astype(np.float64)
    return better.reshape(WANTED, 2).T


def _stacked(*parts: Outputs) -> Outputs:
    return Outputs(
        np.vstack([part.state for part in parts]),
        np.vstack([part.modal for part in parts]),
        np.vstack([part.direct for part in parts]),
    )

r"""One step of a stretch: the linear part exact, the nonlinear inputs as sextics that agree with their laws.

On a step of length h every input is the sextic through its values at the Lobatto points of the step
(exponential collocation; Hochbruck and Ostermann 2010, section 2.5). The values are iterated until input and
law agree: draws by substitution, since they are measured from their tangents, each motor by Newton's method.
What a quintic would have given instead bounds the error, in volts at the draws and motors.
"""

import math
from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np
from scipy.linalg.lapack import dgesv

from server.engine.arrays import Flags, Floats
from server.engine.transient.draws import DrawLaws
from server.engine.transient.equations import Lines, Outputs, System
from server.engine.transient.modes import Numbers
from server.engine.transient.motors import MotorState, Wanted
from server.engine.transient.points import LATER, POINTS, SUMMED, TO_POWERS
from server.engine.transient.replies import WANTED, Replies
from server.engine.transient.steps import Now, Step, Table
from server.units import Second, Volt

STEP_V = 6e-5
"""The error a step may have if its inputs were quintics; the sextics that are used err far less."""
AGREED = 1 / 120
"""Inputs and laws agree when what they still differ by moves no voltage by more than this share of it."""
LEFT = 1 / 30
"""They are not asked again when, by how they came together so far, that share is what a last turn leaves."""
MOST_TURNS = 12
UNNOTICED_V = 1e-7
"""A mode that has less of its own left does not hold a step up: at high rates that is rounding."""
FOREVER_S = 1e9
LEAST_SCALE_OHM = 1e-4
"""A motor's current counts at least this many volts an ampere in errors."""
ONE = np.eye(2 * WANTED)


def span_of(exponent: int) -> Second:
    """The length of a step: √2 to a power, in seconds."""
    return float(2.0 ** (exponent / 2))


def exponent_within(span: Second) -> int:
    """The longest step within a span."""
    return math.floor(2 * math.log2(span))


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
    def _reach(self) -> list[Floats]:
        """For each mode of each kind the most it moves any watched voltage."""
        modal = self.watched.modal * self.volts
        return [kind.weights(modal).max(axis=0, initial=0.0) for kind in self.system.modes.kinds]

    def supply(self, inputs: Floats, since_s: Second, times: Floats) -> None:
        """Write the supplies' waves into the inputs at instants: the line that each follows since one."""
        supplies = self.system.wiring.circuit.supplies
        for number, one in enumerate(supplies, -len(supplies)):
            inputs[number] = one.line_since(since_s, times)

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
            kinds = tuple(Replies.of(kind, span) for kind in self.system.modes.kinds)
            self._tables[exponent] = Table(span, kinds, tuple(self._own(kinds)), self._swing_v(span))
        return self._tables[exponent]

    def _own(self, kinds: Sequence[Replies]) -> Iterator[Floats]:
        """For each motor how its current and speed follow its two inputs at the points."""
        by_value = [replies.forced[:, :, 1:].reshape(-1, WANTED * WANTED) for replies in kinds]
        for number in range(len(self.system.places)):
            ways = self._ways[number]
            reply = np.zeros((4, WANTED * WANTED))
            for way, values in zip(ways, by_value, strict=True):
                reply += (way @ values).real
            each = reply.reshape(2, 2, WANTED, WANTED).transpose(0, 2, 1, 3)
            yield each.reshape(2, WANTED, 2 * WANTED)

    @cached_property
    def _ways(self) -> list[list[Numbers]]:
        """For each motor how its current and speed follow its two inputs by way of every mode: four rows."""
        found = []
        for number in range(len(self.system.places)):
            at = self.motor_rows(number)
            rows, columns = self.watched.modal[at], self.system.modal_inputs[:, at.start + 1 : at.stop + 1]
            found.append(
                [
                    (kind.read(rows)[:, None, :] * kind.picked(columns).T).reshape(4, -1)
                    for kind in self.system.modes.kinds
                ]
            )
        return found

    @cached_property
    def _fastness(self) -> list[Floats]:
        """How fast each mode of each kind turns or fades, at least a little."""
        return [np.maximum(np.abs(kind.rate), 1e-300) for kind in self.system.modes.kinds]

    @cached_property
    def _strength(self) -> list[Floats]:
        """The most by which each input drives each mode's part of any watched voltage."""
        inputs = self.system.modal_inputs
        return [
            reach[:, None] * np.abs(kind.picked(inputs))
            for kind, reach in zip(self.system.modes.kinds, self._reach, strict=True)
        ]

    @cached_property
    def _at_once(self) -> Floats:
        """The most by which each input moves any watched voltage at once."""
        at_once: Floats = (np.abs(self.watched.direct) * self.volts).max(axis=0, initial=0.0)
        return at_once

    def _swing_v(self, span: Second) -> Floats:
        """|∫ e^λ(τ-s) ds| is no more than the span, nor than 2/|λ| for a mode that does not grow."""
        swing_v = self._at_once.copy()
        for kind, fastness, strength in zip(
            self.system.modes.kinds, self._fastness, self._strength, strict=True
        ):
            fading = np.minimum(span, 2 / fastness)
            swing_v += np.where(kind.rate.real > 0, span, fading) @ strength
        return swing_v

    def bend(self, now: Now) -> float:
        """A bound of the second derivative of all watched voltages, but for what fades below notice."""
        forcing, bound = self.system.modal_inputs @ np.array((now.U, now.rising)).T, 0.0
        for kind, fastness, reach in zip(self.system.modes.kinds, self._fastness, self._reach, strict=True):
            level, slope = kind.picked(forcing).T
            bends = np.abs(kind.rate * (kind.rate * kind.picked(now.m) + level) + slope) * reach
            bound += float(bends @ (bends > UNNOTICED_V * fastness**2))
        return bound

    def step(self, now: Now, motors: list[MotorState], exponent: int, step_v: Volt = STEP_V) -> Step | None:
        """Inputs and laws made to agree over a step; None where they do not come together."""
        table = self.table(exponent)
        free = table.free(now.m)
        angles_now = np.array([motor.angle for motor in motors])[:, None]
        angles_now = angles_now + table.span * now.z[self.speeds, None] * SUMMED[:, 0]
        U = now.foreseen(table.span)
        self.supply(U, now.time, now.time + table.span * POINTS)
        last_v = left_v = math.inf
        for _ in range(MOST_TURNS):
            F = self.system.modal_inputs @ U
            modes = free + table.driven(F)
            z = self.watched.modal @ modes + self.watched.direct @ U[:, 1:]
            angles = angles_now + table.span * (z[self.speeds] @ SUMMED[:, 1:].T)
            if left_v < LEFT * step_v:
                return Step(table, now.m, U, F, z, angles, modes[:, -1])
            missing = self._missing(z, U, motors, angles, now, table)
            swing_v = float(np.abs(missing).max(axis=1) @ table.swing_v)
            if swing_v < AGREED * step_v:
                return Step(table, now.m, U, F, z, angles, modes[:, -1])
            last_v, left_v = swing_v, swing_v * swing_v / last_v if swing_v < last_v < math.inf else math.inf
            U[:, 1:] += missing
        return None

    def _missing(  # noqa: PLR0913, PLR0917 - all of a step
        self, z: Floats, U: Floats, motors: list[MotorState], angles: Floats, now: Now, table: Table
    ) -> Floats:
        """What to add to the inputs: draws by substitution, motors by Newton's method."""
        missing, draws, times = 1.0 - U[:, 1:], self.draws, now.time + table.span * LATER
        missing[len(missing) - len(self.system.wiring.circuit.supplies) :] = 0.0
        missing[1 : 1 + draws] = self._drawn(z[:draws], now.is_below) - U[1 : 1 + draws, 1:]
        for number, motor in enumerate(motors):
            at = self.motor_rows(number)
            i, s = z[at]
            wanted = motor.inputs(i, s, angles[number], times)
            own = missing[at.start + 1 : at.stop + 1]
            own[0], own[1] = wanted.volts, wanted.power_w
            own -= U[at.start + 1 : at.stop + 1, 1:]
            if motor.bends:
                own[:] = _newton(own, wanted, table.own[number])
        return missing

    def _drawn(self, v: Floats, is_below: Flags | None = None) -> Floats:
        """What the draws take beyond their lines."""
        lines = self.lines
        beyond: Floats = self.laws.current(v, is_below) - (lines.conductance * v + lines.offset_a)
        return beyond

    def law(self, z: Floats, angles: Floats, times: Floats, motors: list[MotorState]) -> Floats:
        """The inputs the laws ask for at watched readings."""
        wanted = np.ones((self.system.H.shape[1], len(times)))
        wanted[1 : 1 + self.draws] = self._drawn(z[: self.draws])
        self.supply(wanted, float(times[0]), times)
        for number, motor in enumerate(motors):
            at = self.motor_rows(number)
            i, s = z[at]
            found = motor.inputs(i, s, angles[number], times)
            wanted[at.start + 1], wanted[at.stop] = found.volts, found.power_w
        return wanted

    def error(self, step: Step) -> Volt:
        """What inputs of one degree less would have changed, in watched volts."""
        highest = step.F @ TO_POWERS[:, -1]
        moved = self.watched.modal @ step.table.missed(highest)
        return float((np.abs(moved) * self.volts).max(initial=0.0))


def _newton(missing: Floats, wanted: Wanted, reply: Floats) -> Floats:
    """Newton's step for a motor's two inputs at the points, from what law and input still differ by.

    ``reply`` tells how current and speed (first axis) at the points follow both inputs at them.
    """
    by_current, by_speed = reply
    matrix = ONE.copy()
    matrix[:WANTED] -= _rows(wanted.volts_by_current) * by_current + _rows(wanted.volts_by_speed) * by_speed
    matrix[WANTED:] -= _rows(wanted.power_by_current) * by_current
    better: Floats = dgesv(matrix, missing.reshape(-1), 1, 0)[2]
    return better.reshape(2, WANTED)


def _rows(slope: Floats | float) -> Floats | float:
    return slope if isinstance(slope, float) else slope[:, None]


def _stacked(*parts: Outputs) -> Outputs:
    return Outputs(
        np.vstack([part.state for part in parts]),
        np.vstack([part.modal for part in parts]),
        np.vstack([part.direct for part in parts]),
    )

"""An event solved: before, closed, arc, open, in the order in which contacts move and arcs go out."""

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.circuit import TransientCircuit, TransientError
from server.engine.transient.draws import DrawLaws, at_rest
from server.engine.transient.equations import Equations, Lines, System
from server.engine.transient.march import STEP_V, March
from server.engine.transient.motors import MotorState
from server.engine.transient.segment import PhaseKind, Rest, Segment
from server.engine.transient.solution import MotorTrack, TransientSolution
from server.engine.transient.stepper import Stepper
from server.engine.transient.wiring import Wiring
from server.units import Second, Volt

BEFORE_S = 0.01
"""So much of the time before the first press is part of the answer."""
NO_CURRENT_A = 1e-9
"""A contact that opens on less draws no arc."""


def solve(circuit: TransientCircuit, step_v: Volt = STEP_V) -> TransientSolution:
    """Every voltage and current of an event in time; a step errs by far less than ``step_v``.

    Raises:
        TransientError: a piece of the model has no solution; the message says which and why.
    """
    wiring = Wiring.of(circuit)
    laws = DrawLaws.of(circuit.draws, wiring.draw)
    rest = at_rest(wiring, laws)
    equations = Equations(wiring, rest.lines)
    run = _Run(equations, laws, rest.lines, step_v)
    run.rest(rest.z[wiring.slack :])
    run.through_all_instants()
    return TransientSolution(circuit, wiring, rest.lines, tuple(run.segments), tuple(run.tracks))


@dataclass
class _Run:
    """The course of an event: contacts, motors and state as time goes on."""

    equations: Equations
    laws: DrawLaws
    lines: Lines
    step_v: Volt
    segments: list[Segment] = field(default_factory=list)
    steppers: dict[tuple[int, ...], Stepper] = field(default_factory=dict)
    closed: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        wiring = self.equations.wiring
        self.circuit = wiring.circuit
        self.motors = [MotorState(self.circuit.motors[k]) for k in wiring.motor.tolist()]
        self.tracks = [MotorTrack(number) for number in wiring.motor.tolist()]
        self.time: Second = min([0.0, *(motor.drive.press_s for motor in self.motors)]) - BEFORE_S
        self.x = np.zeros(0)

    def rest(self, x: Floats) -> None:
        """The stretch before the first press."""
        system = self.equations.system(())
        w = np.zeros(system.H.shape[1])
        w[0] = 1.0
        presses = [motor.drive.press_s for motor in self.motors]
        end = min([*presses, self.circuit.end_s])
        self.segments.append(Rest(self.time, end, system, x, w))
        self.time, self.x = end, x

    def through_all_instants(self) -> None:
        """March from switching to switching until the end."""
        end = self.circuit.end_s
        drives = [motor.drive for motor in self.motors]
        instants = {t for drive in drives for t in (drive.press_s, drive.release_s) if t < end}
        for instant, after in pairwise([*sorted(instants), end]):
            self._switch(instant)
            while self.time < after:
                self._march(after)

    def _switch(self, instant: Second) -> None:
        """Close and open contacts at an instant; one that carries current opens into an arc."""
        for number, motor in enumerate(self.motors):
            if motor.drive.press_s == instant and motor.drive.release_s > instant:
                self._close(number)
            if motor.drive.release_s == instant and number in self.closed:
                place = self._system.places[self.closed.index(number)]
                current = float(self.x[place.current])
                arc = motor.drive.arc
                if abs(current) <= NO_CURRENT_A:
                    self._open(number)
                elif arc.volts <= 0 and arc.slope_v_per_s <= 0:
                    raise TransientError(f"{motor.drive.name}: its opening contact holds no voltage")
                else:
                    motor.arc_sign = 1.0 if current > 0 else -1.0

    @property
    def _system(self) -> System:
        return self.equations.system(tuple(self.closed))

    def _close(self, number: int) -> None:
        """Take a motor's loop in, without current; at rest, or as fast as it still turns."""
        before = self._system
        self.closed = sorted([*self.closed, number])
        self._carry_over(before)
        motor = self.motors[number]
        if motor.drive.continues is not None:
            speed, motor.angle = self._coasted(motor)
            self.x[self._system.places[self.closed.index(number)].speed] = speed
            motor.is_held = motor.is_held and speed <= 0

    def _coasted(self, motor: MotorState) -> tuple[float, float]:
        """Speed and angle of a motor that is pressed again."""
        track = next(track for track in self.tracks if track.number == motor.drive.continues)
        if track.coast is None:
            raise TransientError(f"{motor.drive.name}: pressed again while the arc of its last release burns")
        speeds, angles = track.coast(np.array([self.time]))
        return float(speeds[0]), float(angles[0])

    def _open(self, number: int) -> None:
        """Take a motor's loop out; it spins down by itself."""
        before = self._system
        place, motor = before.places[self.closed.index(number)], self.motors[number]
        self.tracks[number].opened(self.time, float(self.x[place.speed]), motor)
        motor.arc_sign = 0.0
        self.closed = [k for k in self.closed if k != number]
        self._carry_over(before)

    def _carry_over(self, before: System) -> None:
        """The state in the new system: the open network's part, and what stays closed."""
        after = self._system
        x = np.zeros(len(after.A))
        x[: after.base] = self.x[: before.base]
        places = dict(zip(before.closed, before.places, strict=True))
        for number, place in zip(after.closed, after.places, strict=True):
            if number in places:
                old = places[number]
                x[place.current : place.speed + 1] = self.x[old.current : old.speed + 1]
        self.x = x

    def _march(self, end: Second) -> None:
        """One segment: to the end, or until an arc goes out."""
        key = tuple(self.closed)
        if key not in self.steppers:
            scale = float(np.abs(self.circuit.branches.emf_v).max())
            self.steppers[key] = Stepper(self._system, self.laws, self.lines, scale)
        motors = [self.motors[k] for k in self.closed]
        march = March(self.steppers[key], motors, self.x, self.time, self.step_v)
        went_out = march.until(end)
        if march.track.starts:  # pragma: no branch - not where two arcs go out at one instant to the last bit
            self.segments.append(march.motion(self._kind(motors)))
        self.time, self.x = march.now.time, march.state
        if went_out is not None:
            number = self.motors.index(went_out)
            self.tracks[number].arc_end_s = self.time
            self._open(number)

    def _kind(self, motors: list[MotorState]) -> PhaseKind:
        if any(motor.arc_sign for motor in motors):
            return "arc"
        return "closed" if motors else "open"

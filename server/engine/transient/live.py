"""The network of an event at an instant: its setting, the contacts that are closed, its state."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.carrying_over import branch_amps, carried_over
from server.engine.transient.circuit import TransientError
from server.engine.transient.equations import Places, System
from server.engine.transient.motors import MotorState
from server.engine.transient.solution import MotorTrack
from server.engine.transient.switched import Change
from server.engine.transient.variants import Setting, Variants
from server.engine.transient.wiring import Wiring
from server.units import Second

BEFORE_S = 0.01
"""So much of the time before the first press is part of the answer."""
NO_CURRENT_A = 1e-9
"""A contact that opens on less draws no arc."""


@dataclass(frozen=True, slots=True)
class Kept:
    """The network at an instant, to go back to within one setting."""

    x: Floats
    w: Floats
    time: Second
    motors: tuple[tuple[bool, float, float], ...]


@dataclass
class Live:
    """Contacts of motors and switched parts move here; nothing else does in between but ``x`` and ``w``."""

    variants: Variants
    tracks: list[MotorTrack] = field(default_factory=list)
    latest: dict[int | None, MotorTrack] = field(default_factory=dict)
    closed: list[int] = field(default_factory=list)
    pressed: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.circuit, self.setting = self.variants.base.circuit, self.variants.first
        drives = self.variants.drives
        self.motors = {number: MotorState(drives[number]) for number in self.variants.base.movable.tolist()}
        presses = (motor.drive.press_s for motor in self.motors.values())
        self.time: Second = min([0.0, *presses]) - BEFORE_S
        self.x, self.w = np.zeros(0), np.zeros(0)

    @property
    def wiring(self) -> Wiring:
        """What is joined now."""
        return self.variants.equations(self.setting).wiring

    @property
    def system(self) -> System:
        """The equations with the contacts that are closed now; those of motors cut off from all are not."""
        places = np.searchsorted(self.wiring.motor, self.closed)
        return self.variants.equations(self.setting).system(tuple(places.tolist()))

    @property
    def running(self) -> list[MotorState]:
        """The motors whose contacts are closed, or arc."""
        return [self.motors[number] for number in self.closed]

    def kept(self) -> Kept:
        """Everything that a stretch moves."""
        motors = tuple((motor.is_held, motor.angle, motor.arc_sign) for motor in self.running)
        return Kept(self.x, self.w, self.time, motors)

    def back_to(self, kept: Kept) -> None:
        """As things were at the start of a stretch."""
        self.x, self.w, self.time = kept.x, kept.w, kept.time
        for motor, (is_held, angle, arc_sign) in zip(self.running, kept.motors, strict=True):
            motor.is_held, motor.angle, motor.arc_sign = is_held, angle, arc_sign

    def switch(self) -> None:
        """Close and open the contacts of motors at this instant."""
        for number in self.variants.base.movable.tolist():
            drive = self.circuit.motors[number]
            if drive.press_s == self.time and drive.release_s > self.time:
                self.pressed.add(number)
                if self._may_close(number):
                    self._close(number)
            if drive.release_s == self.time and number in self.pressed:
                self.pressed.remove(number)
                if number in self.closed and not self.motors[number].arc_sign:
                    self._let_go(number)

    def _may_close(self, number: int) -> bool:
        """Whether a pressed motor's own contact closes, and anything would come through it."""
        states = zip(self.circuit.switched, self.setting.states, strict=True)
        is_held = any(number in one.motors and one.states[state].is_open for one, state in states)
        return not is_held and number in self.wiring.motor and number not in self.closed

    def _let_go(self, number: int) -> None:
        """Open a motor's contact now: at once without current, else into an arc."""
        motor = self.motors[number]
        current = float(self.x[self._place(number).current])
        arc = motor.drive.arc
        if abs(current) <= NO_CURRENT_A:
            self._open(number)
        elif arc.volts <= 0 and arc.slope_v_per_s <= 0:
            raise TransientError(f"{motor.drive.name}: its opening contact holds no voltage")
        else:
            motor.drive = replace(motor.drive, release_s=self.time)
            motor.arc_sign = 1.0 if current > 0 else -1.0

    def _place(self, number: int) -> Places:
        """Where a closed motor stands in the state."""
        return self.system.places[self.closed.index(number)]

    def _close(self, number: int) -> None:
        """Take a motor's loop in, without current; at rest, or as fast as it still turns."""
        before = self.system
        motor = self.motors[number]
        self.closed = sorted([*self.closed, number])
        self._take_along(before)
        earlier = self.latest.get(number, self.latest.get(motor.drive.continues))
        if earlier is not None:
            speed, motor.angle = self._coasted(motor, earlier)
            self.x[self._place(number).speed] = speed
            motor.is_held = motor.drive.load_w > 0 and speed <= 0
        self.latest[number] = MotorTrack(number, closed_s=self.time)
        self.tracks.append(self.latest[number])

    def _coasted(self, motor: MotorState, track: MotorTrack) -> tuple[float, float]:
        """Speed and angle of a motor that is pressed again."""
        if track.coast is None:
            raise TransientError(f"{motor.drive.name}: pressed again while the arc of its last release burns")
        speeds, angles = track.coast(np.array([self.time]))
        return float(speeds[0]), float(angles[0])

    def _open(self, number: int) -> None:
        """Take a motor's loop out; it spins down by itself."""
        before, motor = self.system, self.motors[number]
        self._spins_down(before, number)
        motor.arc_sign = 0.0
        self.closed = [k for k in self.closed if k != number]
        self._take_along(before)

    def _spins_down(self, system: System, number: int) -> None:
        """Note how a motor that loses its current goes on to turn."""
        at = int(np.flatnonzero(system.wiring.motor == number)[0])
        speed = float(self.x[system.places[system.closed.index(at)].speed])
        self.latest[number].opened(self.time, speed, self.motors[number])

    def _take_along(self, before: System) -> None:
        """The state after a motor's loop came in or went out: the open network's, and what stays closed."""
        after = self.system
        x = np.zeros(len(after.A))
        x[: after.base] = self.x[: before.base]
        places = dict(zip(before.closed, before.places, strict=True))
        for number, place in zip(after.closed, after.places, strict=True):
            if number in places:
                old = places[number]
                x[place.current : place.speed + 1] = self.x[old.current : old.speed + 1]
        self.x = x

    def arc_went_out(self, motor: MotorState) -> None:
        """A contact whose arc has gone out is open."""
        number = next(number for number in self.closed if self.motors[number] is motor)
        row = self.variants.arc_row(number)
        if row is not None:
            self._set(self.setting.states, [k for k in self.setting.arcing if k != row])
            return
        self.latest[number].arc_end_s = self.time
        self._open(number)

    def change(self, change: Change) -> None:
        """Put a switched part into another state; what carries current opens into an arc."""
        one = self.circuit.switched[change.number]
        was_open, is_open = (set(one.open_rows(state)) for state in (change.left, change.to))
        states = list(self.setting.states)
        states[change.number] = change.to
        arcing = [row for row in self.setting.arcing if row not in one.rows or row in is_open]
        for row in sorted(is_open - was_open) if one.arc is not None else ():
            current = branch_amps(self.system, self.x, self.w, row)
            if abs(current) > NO_CURRENT_A:
                arcing.append(row)
                self._light(row, current)
        self._set(tuple(states), arcing)
        if one.states[change.to].is_open:
            for number in sorted(set(one.motors) & set(self.closed)):
                if not self.motors[number].arc_sign:
                    self._let_go(number)

    def _light(self, row: int, current: float) -> None:
        """The arc of a branch's contact, against its current."""
        number = self.variants.arc_motor(row)
        drive = replace(self.variants.drives[number], release_s=self.time)
        self.motors[number] = MotorState(drive, arc_sign=1.0 if current > 0 else -1.0)

    def _set(self, states: tuple[int, ...], arcing: Sequence[int]) -> None:
        """Go over to another setting: arcs, motors cut off from everything, and those joined again."""
        before, was = self.system, set(self.closed)
        self.setting = Setting(states, tuple(sorted(arcing)))
        live = set(self.wiring.motor.tolist())
        arcs = {self.variants.arc_motor(row) for row in arcing} & live
        stay = {number for number in was if self.variants.arc_row(number) is None}
        for number in sorted(stay - live):
            self._spins_down(before, number)
            self.motors[number].arc_sign = 0.0
        self.closed = sorted((stay & live) | arcs)
        rows = {number: self.variants.arc_row(number) or 0 for number in arcs | (was - stay)}
        self.x = carried_over(before, self.x, self.w, self.system, rows)
        self.w = np.zeros(0)
        for number in sorted(self.pressed):
            if self._may_close(number):
                self._close(number)

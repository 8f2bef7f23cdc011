"""The course of an event: contacts, motors, switched parts and the network's state as time goes on."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.carrying_over import branch_amps, carried_over
from server.engine.transient.circuit import TransientError
from server.engine.transient.draws import DrawLaws
from server.engine.transient.equations import Places, System
from server.engine.transient.march import March
from server.engine.transient.motors import MotorState
from server.engine.transient.segment import PhaseKind, Rest, Segment
from server.engine.transient.solution import MotorTrack
from server.engine.transient.stepper import Stepper
from server.engine.transient.switched import Change, Clock
from server.engine.transient.variants import Setting, Variants
from server.engine.transient.watching import Since, Watching
from server.engine.transient.wiring import Wiring
from server.units import Second, Volt

BEFORE_S = 0.01
"""So much of the time before the first press is part of the answer."""
NO_CURRENT_A = 1e-9
"""A contact that opens on less draws no arc."""
FIRST_LOOK_S = 0.01
"""How far a stretch goes on at first once a switched part has moved; then ever further."""
SHORTEST_LOOK_S = 1e-6
MOST_CHANGES = 12
"""A contact that moved more often in one event chatters."""
MANY_CHANGES = 200
"""Diodes and limited sources may follow what rings around them for so many changes."""
MOST_AT_ONCE = 20
"""More changes at one instant than this have no end."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """What a stretch started from: to march it once more, to a nearer end."""

    x: Floats
    w: Floats
    time: Second
    motors: tuple[tuple[bool, float, float], ...]


@dataclass
class Course:
    """Marches from switching to switching."""

    variants: Variants
    laws: DrawLaws
    step_v: Volt
    segments: list[Segment] = field(default_factory=list)
    tracks: list[MotorTrack] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    steppers: dict[System, Stepper] = field(default_factory=dict)
    watchings: dict[System, Watching] = field(default_factory=dict)
    latest: dict[int | None, MotorTrack] = field(default_factory=dict)
    closed: list[int] = field(default_factory=list)
    pressed: set[int] = field(default_factory=set)
    since: Since = field(default_factory=dict)
    look_s: Second = np.inf

    def __post_init__(self) -> None:
        base = self.variants.base
        self.circuit, self.setting = base.circuit, self.variants.first
        drives = self.variants.drives
        self.motors = {number: MotorState(drives[number]) for number in base.motor.tolist()}
        self.time: Second = min([0.0, *(motor.drive.press_s for motor in self.motors.values())]) - BEFORE_S
        self.x, self.w = np.zeros(0), np.zeros(0)

    def rest(self, x: Floats) -> None:
        """The stretch before the first press."""
        system = self._system
        w = np.zeros(system.H.shape[1])
        w[0] = 1.0
        presses = [motor.drive.press_s for motor in self.motors.values()]
        end = min([*presses, self.circuit.end_s])
        self.segments.append(Rest(self.time, end, system, x, w))
        self.time, self.x, self.w = end, x, w

    def through_all_instants(self) -> None:
        """March from switching to switching until the end."""
        end = self.circuit.end_s
        drives = [motor.drive for motor in self.motors.values()]
        moments = [t for drive in drives for t in (drive.press_s, drive.release_s)]
        moments += [
            border.level
            for one in self.circuit.switched
            for border in one.states[one.start].borders
            if isinstance(border.reading, Clock)
        ]
        instants = {t for t in moments if t < end}
        for instant, after in pairwise([*sorted(instants), end]):
            self._switch(instant)
            while self.time < after:
                self._march(after)

    @property
    def _wiring(self) -> Wiring:
        return self.variants.equations(self.setting).wiring

    @property
    def _system(self) -> System:
        """The equations with the contacts that are closed now; those of motors cut off from all are not."""
        live = self._wiring.motor
        places = np.searchsorted(live, self.closed)
        return self.variants.equations(self.setting).system(tuple(places.tolist()))

    def _switch(self, instant: Second) -> None:
        """Close and open contacts at an instant; one that carries current opens into an arc."""
        for number in self.variants.base.motor.tolist():
            drive = self.circuit.motors[number]
            if drive.press_s == instant and drive.release_s > instant:
                self.pressed.add(number)
                if self._may_close(number):
                    self._close(number)
            if drive.release_s == instant and number in self.pressed:
                self.pressed.remove(number)
                if number in self.closed and not self.motors[number].arc_sign:
                    self._let_go(number)

    def _may_close(self, number: int) -> bool:
        """Whether a pressed motor's own contact closes, and anything would come through it."""
        states = zip(self.circuit.switched, self.setting.states, strict=True)
        is_held = any(number in one.motors and one.states[state].is_open for one, state in states)
        return not is_held and number in self._wiring.motor and number not in self.closed

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
        return self._system.places[self.closed.index(number)]

    def _close(self, number: int) -> None:
        """Take a motor's loop in, without current; at rest, or as fast as it still turns."""
        before = self._system
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
        before, motor = self._system, self.motors[number]
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
        """One segment: to the end, until an arc goes out, or until a switched part leaves its state."""
        kept = _Kept(self.x, self.w, self.time, self._as_motors_are())
        end = min(end, self.time + self.look_s)
        if not self.circuit.switched:
            self._keep(*self._marched(end))
            return
        march, out = self._foreseen(end, kept)
        change, since = self._looked_through(march)
        if change is None:
            self.since, self.look_s = since, 2 * self.look_s
            self._keep(march, out)
            return
        self.look_s = FIRST_LOOK_S
        if kept.time < change.at_s < march.now.time:
            self._back_to(kept)
            march, out = self._marched(change.at_s)
            self.since = self._looked_through(march)[1]
        if change.at_s > kept.time:
            self._keep(march, out)
        else:
            self._back_to(kept)
            self.w = self._begun().now.U
        self._change(replace(change, at_s=self.time))

    def _foreseen(self, end: Second, kept: _Kept) -> tuple[March, MotorState | None]:
        """A stretch to the end; to a nearer one where the present states lead to no solution."""
        while True:
            try:
                return self._marched(end)
            except TransientError:
                self._back_to(kept)
                if end - self.time <= SHORTEST_LOOK_S:
                    raise
                end = self.time + (end - self.time) / 8

    def _marched(self, end: Second) -> tuple[March, MotorState | None]:
        march = self._begun()
        return march, march.until(end)

    def _begun(self) -> March:
        """A stretch that begins now."""
        system = self._system
        if system not in self.steppers:
            scale = float(np.abs(self.circuit.branches.emf_v).max())
            self.steppers[system] = Stepper(system, self.laws, self.variants.lines, scale)
        motors = [self.motors[number] for number in self.closed]
        return March(self.steppers[system], motors, self.x, self.time, self.step_v)

    def _looked_through(self, march: March) -> tuple[Change | None, Since]:
        """Whether a switched part leaves its state in a stretch."""
        system = self._system
        if system not in self.watchings:
            states = self.setting.states
            self.watchings[system] = Watching(system, self.variants.lines, self.circuit.switched, states)
        watching = self.watchings[system]
        if not (watching.borders or watching.clocks) or not march.track.starts:
            return None, self.since
        return watching.looked_through(march.motion(self._kind(march.motors)), self.since)

    def _as_motors_are(self) -> tuple[tuple[bool, float, float], ...]:
        return tuple(
            (motor.is_held, motor.angle, motor.arc_sign)
            for motor in (self.motors[number] for number in self.closed)
        )

    def _back_to(self, kept: _Kept) -> None:
        """As things were at the start of a stretch."""
        self.x, self.w, self.time = kept.x, kept.w, kept.time
        for number, (is_held, angle, arc_sign) in zip(self.closed, kept.motors, strict=True):
            motor = self.motors[number]
            motor.is_held, motor.angle, motor.arc_sign = is_held, angle, arc_sign

    def _keep(self, march: March, went_out: MotorState | None) -> None:
        """Take a stretch into the answer; where an arc went out, its contact is open."""
        if march.track.starts:  # pragma: no branch - not where two arcs go out at one instant to the last bit
            self.segments.append(march.motion(self._kind(march.motors)))
        self.time, self.x, self.w = march.now.time, march.state, march.now.U
        if went_out is not None:
            number = next(number for number in self.closed if self.motors[number] is went_out)
            row = self.variants.arc_row(number)
            if row is not None:
                self._set(arcing=[k for k in self.setting.arcing if k != row])
                return
            self.latest[number].arc_end_s = self.time
            self._open(number)

    def _change(self, change: Change) -> None:
        """Put a switched part into another state; what carries current opens into an arc."""
        self._count(change)
        self.changes.append(change)
        one = self.circuit.switched[change.number]
        state = one.states[change.to]
        states = list(self.setting.states)
        states[change.number] = change.to
        arcing = [row for row in self.setting.arcing if row not in one.rows]
        if state.is_open and one.arc is not None:
            amps = {row: branch_amps(self._system, self.x, self.w, row) for row in one.rows}
            arcing += [row for row, current in amps.items() if abs(current) > NO_CURRENT_A]
            for row, current in amps.items():
                self._light(row, current)
        self.since = {key: at_s for key, at_s in self.since.items() if key[0] != change.number}
        self._set(tuple(states), arcing)
        if state.is_open:
            for number in sorted(set(one.motors) & set(self.closed)):
                if not self.motors[number].arc_sign:
                    self._let_go(number)

    def _light(self, row: int, current: float) -> None:
        """The arc of a branch's contact, against its current."""
        number = self.variants.arc_motor(row)
        drive = replace(self.variants.drives[number], release_s=self.time)
        self.motors[number] = MotorState(drive, arc_sign=1.0 if current > 0 else -1.0)

    def _set(self, states: tuple[int, ...] | None = None, arcing: Sequence[int] = ()) -> None:
        """Go over to another setting: arcs, motors cut off from everything, and those joined again."""
        before, was = self._system, set(self.closed)
        self.setting = Setting(self.setting.states if states is None else states, tuple(sorted(arcing)))
        live = set(self._wiring.motor.tolist())
        arcs = {self.variants.arc_motor(row) for row in arcing} & live
        stay = {number for number in was if self.variants.arc_row(number) is None}
        for number in sorted(stay - live):
            self._spins_down(before, number)
            self.motors[number].arc_sign = 0.0
        self.closed = sorted((stay & live) | arcs)
        rows = {number: self.variants.arc_row(number) or 0 for number in arcs | (was - stay)}
        self.x = carried_over(before, self.x, self.w, self._system, rows)
        self.w = np.zeros(0)
        for number in sorted(self.pressed):
            if self._may_close(number):
                self._close(number)

    def _count(self, change: Change) -> None:
        """Refuse to go on where a part swings between its states without end."""
        one = self.circuit.switched[change.number]
        same = [found for found in self.changes if found.number == change.number]
        most = MANY_CHANGES if one.follows else MOST_CHANGES
        at_once = [found for found in self.changes if found.at_s == change.at_s]
        if len(same) >= most or len(at_once) >= MOST_AT_ONCE:
            times = len(same)
            raise TransientError(
                f"{one.name} chatters: it has changed its state {times} times by {change.at_s:.3g} s, and "
                "what the event does then cannot be told; look at the volts at which it moves, and at what "
                "it measures"
            )

    @staticmethod
    def _kind(motors: Sequence[MotorState]) -> PhaseKind:
        if any(motor.arc_sign for motor in motors):
            return "arc"
        return "closed" if motors else "open"

"""The answer of an event in time: waveforms, values, extremes, averages, and what each element adds."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.transient.branch_parts import BranchParts, branch_parts
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.currents import branch_currents
from server.engine.transient.equations import Lines, Outputs, System
from server.engine.transient.extremes import (
    Extremes,
    Window,
    extremes,
    extremes_among,
    longest_below,
)
from server.engine.transient.motors import MotorState, coasting
from server.engine.transient.segment import Segment
from server.engine.transient.switched import Change
from server.engine.transient.wiring import Wiring
from server.units import Ampere, Second, Volt

Pairs = Sequence[tuple[int, int]]
Coasting = Callable[[Floats], tuple[Floats, Floats]]
"""Speeds and angles at instants."""

CHORD_V = 1e-3
"""Straight lines between the instants of a voltage waveform are true to this."""
CHORD_SHARE = 1e-3
"""The same for other waveforms, as a share of their largest value."""
COASTING_POINTS = 200
FIRST_CHORD, LEAST_CHORD = 0.1, 1e-4
"""How fine a waveform of unknown size is looked at first, and at most: amperes, or shares of full speed."""
STANDING = 1e-6
"""A motor slower than this share of its running speed stands."""


@dataclass(slots=True)
class MotorTrack:
    """What became of a motor since its contact closed: its row, when its arc went out (None: never).

    ``coast`` gives its speeds and angles at instants after its current is gone.
    """

    number: int
    arc_end_s: Second | None = None
    closed_s: Second = 0.0
    opened_s: Second = 0.0
    coast: Coasting | None = field(default=None, repr=False)

    def opened(self, time: Second, speed: float, state: MotorState) -> None:
        """Note that its current is gone."""
        self.opened_s = time
        kept = MotorState(state.drive, state.is_held, state.angle)
        self.coast = lambda times: coasting(kept, speed, times - time)


@dataclass(frozen=True, eq=False)
class TransientSolution:
    """An event solved. Voltages are nan between nodes that no common source reaches.

    At a switching instant a value is that after the switching; waveforms give both.
    """

    circuit: TransientCircuit
    wiring: Wiring
    lines: Lines
    segments: tuple[Segment, ...]
    tracks: tuple[MotorTrack, ...]
    changes: tuple[Change, ...] = ()
    _kept: dict[tuple[object, ...], Outputs] = field(default_factory=dict, repr=False)

    @property
    def troubles(self) -> tuple[str, ...]:
        """What was left out, in words."""
        return self.wiring.troubles

    @property
    def start_s(self) -> Second:
        """The first instant that is answered."""
        return self.segments[0].start_s

    @property
    def end_s(self) -> Second:
        """The last one."""
        return self.segments[-1].end_s

    def voltages(self, pairs: Pairs, chord_v: Volt = CHORD_V) -> tuple[Floats, Floats]:
        """Waveforms of many pairs on one grid: instants, and a row of volts for each pair.

        An edge is two values at one instant. Between instants straight lines are true to ``chord_v``.
        """
        joined = self._joined(pairs)
        times, values = self._waves(lambda system: self._across(system, pairs, joined), chord_v)
        return times, _filled(joined, values)

    def between(self, tail: int, head: int, chord_v: Volt = CHORD_V) -> tuple[Floats, Floats]:
        """The waveform of v_tail - v_head."""
        times, values = self.voltages([(tail, head)], chord_v)
        return times, values[0]

    def at(self, tail: int, head: int, time: Second) -> Volt:
        """v_tail - v_head at an instant."""
        return float(self.at_times([(tail, head)], np.array([time]))[0, 0])

    def at_times(self, pairs: Pairs, times: Floats) -> Floats:
        """Voltages of pairs (rows) at instants (columns); nan outside of the event."""
        joined = self._joined(pairs)
        return _filled(joined, self._at(lambda system: self._across(system, pairs, joined), times))

    def extremes(
        self, tail: int, head: int, since_s: Second | None = None, until_s: Second | None = None
    ) -> tuple[Volt, Second, Volt, Second]:
        """The lowest voltage and when, the highest and when."""
        found = self.extremes_of([(tail, head)], since_s, until_s)
        return float(found.low[0]), float(found.low_at[0]), float(found.high[0]), float(found.high_at[0])

    def extremes_of(
        self, pairs: Pairs, since_s: Second | None = None, until_s: Second | None = None
    ) -> Extremes:
        """The extremes of many pairs, each refined to its exact instant."""
        joined = self._joined(pairs)
        found = extremes(self._windows(pairs, joined, since_s, until_s), int(joined.sum()))
        return _spread(joined, found)

    def waves_and_extremes(self, pairs: Pairs, chord_v: Volt) -> tuple[Floats, Floats, Extremes]:
        """Waveforms as ``voltages`` gives them, and extremes of all joined pairs that move by two chords."""
        joined = self._joined(pairs)
        windows = self._windows(pairs, joined, None, None)
        samples = [window.samples(chord_v) for window in windows]
        found = extremes_among(windows, samples, int(joined.sum()), chord_v, 2 * chord_v)
        times = np.concatenate([one.times for one in samples])
        values = _filled(joined, np.concatenate([one.values for one in samples], axis=1))
        return times, values, _spread(joined, found)

    def average(self, tail: int, head: int, start_s: Second, end_s: Second) -> Volt:
        """The mean of v_tail - v_head between two instants, exactly."""
        return float(self.averages([(tail, head)], start_s, end_s)[0])

    def averages(self, pairs: Pairs, start_s: Second, end_s: Second) -> Floats:
        """The means of many pairs."""
        joined = self._joined(pairs)
        total = np.zeros(int(joined.sum()))
        for window in self._windows(pairs, joined, start_s, end_s):
            total += window.segment.integral(window.outputs, window.start_s, window.end_s)
        return _filled(joined, (total / (end_s - start_s))[:, None])[:, 0]

    def longest_below(
        self, tail: int, head: int, level: Volt, since_s: Second | None = None, until_s: Second | None = None
    ) -> Second:
        """The longest unbroken time below a level; nan where there is no voltage."""
        joined = self._joined([(tail, head)])
        if not joined.all():
            return float("nan")
        return longest_below(self._windows([(tail, head)], joined, since_s, until_s), level)

    def branch_current(self, row: int) -> tuple[Floats, Floats]:
        """The waveform of a branch's current, tail to head; nan where no source reaches."""
        return self._scaled_wave(lambda system: self._currents(system, np.array([row])))

    def branch_currents_at(self, time: Second) -> Floats:
        """The currents of all branches at an instant."""
        rows = np.arange(len(self.circuit.branches))
        return self._at(lambda system: self._currents(system, rows), np.array([time]))[:, 0]

    def branch_volts(self, time: Second) -> BranchParts:
        """What makes up the voltage of every branch at an instant."""
        segment = self.segments[self._segment_at(time)]
        return BranchParts(*(part[:, 0] for part in branch_parts(self.circuit, segment, np.array([time]))))

    def motor_current(self, number: int) -> tuple[Floats, Floats]:
        """The waveform of a motor's current (row in the circuit): zero while its contact is open."""
        return self._scaled_wave(lambda system: self._of_motor(system, number, speed=False))

    def motor_current_at(self, number: int, time: Second) -> Ampere:
        """A motor's current at an instant."""
        return float(
            self._at(lambda system: self._of_motor(system, number, speed=False), np.array([time]))[0, 0]
        )

    def motor_speed(self, number: int) -> tuple[Floats, Floats]:
        """The waveform of a motor's speed, as a share of that at its running point, with its coasting.

        Of a motor pressed again it goes on to the end of its last press.
        """
        times, speeds = self._scaled_wave(lambda system: self._of_motor(system, number, speed=True))
        own = [track for track in self.tracks if track.number == number]
        for track, following in zip(own, [*own[1:], None], strict=True):
            if track.coast is not None:
                until_s = self.end_s if following is None else following.closed_s
                times, speeds = _with_coasting(times, speeds, track.opened_s, until_s, track.coast)
        again = next((n for n, motor in enumerate(self.circuit.motors) if motor.continues == number), None)
        if again is not None:
            press_s = self.circuit.motors[again].press_s
            later, taken = self.motor_speed(again)
            before, since = times < press_s, int(np.searchsorted(later, press_s, side="right")) - 1
            times = np.concatenate([times[before], later[since:]])
            speeds = np.concatenate([speeds[before], taken[since:]])
        return times, np.where(np.abs(speeds) < STANDING, 0.0, speeds)

    def arc_end(self, number: int) -> Second | None:
        """When a motor's arc went out; None where none did."""
        ends = [track.arc_end_s for track in self.tracks if track.number == number]
        return next((end for end in reversed(ends) if end is not None), None)

    @cached_property
    def _starts(self) -> Floats:
        return np.array([segment.start_s for segment in self.segments])

    def _segment_at(self, time: Second) -> int:
        return max(int(np.searchsorted(self._starts, time, side="right")) - 1, 0)

    def _joined(self, pairs: Pairs) -> Flags:
        ends = np.array(pairs, np.intp).reshape(-1, 2)
        return self.wiring.joined(ends[:, 0], ends[:, 1])

    def _across(self, system: System, pairs: Pairs, joined: Flags) -> Outputs:
        """Voltages of the joined pairs; nan while switched parts keep a pair apart."""
        key = (system, tuple(pairs))
        if key not in self._kept:
            ends = np.array(pairs, np.intp).reshape(-1, 2)[joined]
            now = system.wiring.joined(ends[:, 0], ends[:, 1])
            found = system.voltages(system.wiring.paths(ends[now, 0], ends[now, 1]))
            if not now.all():
                state, direct = (np.zeros((len(now), one.shape[1])) for one in (found.state, found.direct))
                state[now], direct[now] = found.state, found.direct
                direct[~now, 0] = np.nan
                found = system.outputs(state, direct)
            self._kept[key] = found
        return self._kept[key]

    def _of_motor(self, system: System, number: int, *, speed: bool) -> Outputs:
        live = np.flatnonzero(system.wiring.motor == number).tolist()
        if not live or live[0] not in system.closed:
            return _nothing(system, 1)
        place = system.places[system.closed.index(live[0])]
        return system.of_states([place.speed if speed else place.current])

    def _currents(self, system: System, rows: Indices) -> Outputs:
        return branch_currents(system, self.lines, rows)

    def _windows(
        self, pairs: Pairs, joined: Flags, since_s: Second | None, until_s: Second | None
    ) -> list[Window]:
        since, until = (
            self.start_s if since_s is None else since_s,
            self.end_s if until_s is None else until_s,
        )
        windows = []
        for segment in self.segments:
            start, end = max(segment.start_s, since), min(segment.end_s, until)
            if start < end:
                windows.append(Window(segment, self._across(segment.system, pairs, joined), start, end))
        return windows

    def _waves(self, outputs: Callable[[System], Outputs], chord: float) -> tuple[Floats, Floats]:
        times, values = [], []
        for segment in self.segments:
            asked = outputs(segment.system)
            grid = segment.grid(asked, chord)
            times.append(grid)
            values.append(segment.values(asked, grid))
        return np.concatenate(times), np.concatenate(values, axis=1)

    def _scaled_wave(self, outputs: Callable[[System], Outputs]) -> tuple[Floats, Floats]:
        """A waveform of anything but volts, fine enough for its own size."""
        largest = float(np.nanmax(np.abs(self._waves(outputs, FIRST_CHORD)[1]), initial=0.0))
        times, values = self._waves(outputs, max(CHORD_SHARE * largest, LEAST_CHORD))
        return times, values[0]

    def _at(self, outputs: Callable[[System], Outputs], times: Floats) -> Floats:
        at = np.searchsorted(self._starts, times, side="right") - 1
        rows = len(outputs(self.segments[0].system).state)
        found = np.full((rows, len(times)), np.nan)
        for number in np.unique(at[(at >= 0) & (times <= self.end_s)]).tolist():
            segment = self.segments[number]
            here = np.flatnonzero((at == number) & (times <= self.end_s))
            found[:, here] = segment.values(outputs(segment.system), times[here])
        return found


def _with_coasting(
    times: Floats, speeds: Floats, opened_s: Second, until_s: Second, coast: Coasting
) -> tuple[Floats, Floats]:
    """A motor's speeds, with those that it has between two of its presses, or after the last."""
    first = max(int(np.searchsorted(times, opened_s, side="right")) - 1, 0)
    later = int(np.searchsorted(times, until_s, side="right" if until_s >= times[-1] else "left"))
    extra = np.linspace(opened_s, until_s, COASTING_POINTS)
    after = np.unique(np.concatenate([times[first:later], extra]))
    times = np.concatenate([times[:first], after, times[later:]])
    return times, np.concatenate([speeds[:first], coast(after)[0], speeds[later:]])


def _nothing(system: System, rows: int) -> Outputs:
    """Readings that are zero."""
    return system.outputs(np.zeros((rows, len(system.A))), np.zeros((rows, system.H.shape[1])))


def _spread(joined: Flags, found: Extremes) -> Extremes:
    """Extremes of the joined pairs at their places, nan for the others."""
    return Extremes(*(_filled(joined, figure[:, None])[:, 0] for figure in found.figures))


def _filled(joined: Flags, values: Floats) -> Floats:
    """Rows of the joined pairs at their places, nan for the others."""
    filled = np.full((len(joined), values.shape[1]), np.nan)
    filled[joined] = values
    return filled

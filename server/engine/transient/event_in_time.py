"""An event solved in time, and what is read off its waveforms at every load and between probes."""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Floats
from server.engine.naming import Names
from server.engine.netlist_rows import Terminal
from server.engine.solution import EventSolution, Solution, UnknownModeError
from server.engine.transient.answer import Instant, PointPair
from server.engine.transient.causes import Moment
from server.engine.transient.circuit import TransientError
from server.engine.transient.extremes import Extremes
from server.engine.transient.model import BoatModel
from server.engine.transient.solution import CHORD_V, TransientSolution
from server.engine.transient.solver import solve
from server.engine.transient.spoken import spoken
from server.engine.transient.waves import Wave
from server.units import Second

PROBE = "probe"
UNMOVED_V = 1e-6
"""An event that lowers a voltage by less does not reach that point."""
STANDING_V = 1e-3
"""Less than this is no voltage."""
SAME_V = 1e-10
"""Two voltages this close are the same one."""


@dataclass(frozen=True, slots=True)
class Point:
    """Where volts are read: a load's input, or a pair of probes; nodes of the steady network."""

    key: str
    name: str
    tail: int
    head: int
    load: Terminal | None


@dataclass(frozen=True, eq=False)
class EventInTime:
    """An event with its waveforms at the loads that are on and fed, or at some of them, and at probes."""

    solution: Solution
    solved: EventSolution
    probes: tuple[PointPair, ...] = ()
    only: frozenset[Terminal] | None = None

    @cached_property
    def model(self) -> BoatModel:
        """Its circuit."""
        return BoatModel(self.solution, self.solved)

    @cached_property
    def waves(self) -> TransientSolution:
        """Its voltages and currents."""
        circuit = self.model.circuit()
        try:
            return solve(circuit)
        except TransientError as error:
            name = self.solved.event.name
            raise TransientError(
                f"{name} cannot be solved in time: {spoken(str(error), self.model)}"
            ) from error

    @property
    def names(self) -> Names:
        """What things are called."""
        return self.solution.names

    @cached_property
    def points(self) -> tuple[Point, ...]:
        """All points: loads, then probes."""
        network, net = self.solved.net.network, self.solved.net
        left = {press.key for press in self.model.schedule.presses} | {*self.model.extent.late}
        loads = (
            Point(
                f"{key[0]}.{key[1]}",
                self.names.input(*key),
                int(network.tail[net.inputs[key]]),
                int(network.head[net.inputs[key]]),
                key,
            )
            for key in self._fed_before
            if key not in left and (self.only is None or key in self.only)
        )
        return (*loads, *self._probe_points())

    @property
    def _fed_before(self) -> tuple[Terminal, ...]:
        """The loads that are on and fed before the press; some may be dead at its first instant already."""
        off, net, volts = self.solved.absent.absent, self.solved.net, self.solved.absent.element_v
        return tuple(
            key
            for key, row in net.inputs.items()
            if (off is None or not off[row]) and net.labels[row].kind != "coil" and not np.isnan(volts[row])
        )

    def _probe_points(self) -> Iterator[Point]:
        for number, pair in enumerate(self.probes):
            plus, minus = (self._node(one.part, one.terminal) for one in (pair.plus, pair.minus))
            key = PROBE if number == 0 else f"{PROBE}-{number + 1}"
            name = f"{self.names.terminal(pair.plus)} against {self.names.terminal(pair.minus)}"
            if plus == minus or np.isnan(self.model.before.node_v[[plus, minus]]).any():
                raise TransientError(f"{name}: no source lies between these two terminals.")
            yield Point(key, name, plus, minus, None)

    def _node(self, part: str, terminal: str) -> int:
        try:
            return self.solved.net.nodes[part, terminal]
        except KeyError:
            raise UnknownModeError(f"no terminal “{terminal}” on “{part}”") from None

    @cached_property
    def pairs(self) -> list[tuple[int, int]]:
        """The nodes of all points in the circuit."""
        numbers = self.model.numbers
        return [(int(numbers[point.tail]), int(numbers[point.head])) for point in self.points]

    @cached_property
    def before_v(self) -> Floats:
        """The voltage of every point before the press."""
        start = self.waves.start_s
        return self.waves.at_times(self.pairs, np.array([start]))[:, 0]

    @cached_property
    def extremes(self) -> Extremes:
        """Lowest and highest of every point; of one that hardly moves, those of its waveform."""
        return self._read[2]

    @cached_property
    def after_release(self) -> Extremes:
        """Lowest and highest of every point from the first release on."""
        times, volts, _ = self._read
        later = times >= self.first_release_s
        times, volts = times[later], volts[:, later]
        rows = np.arange(len(volts))
        low, high = volts.argmin(axis=1), volts.argmax(axis=1)
        figures = np.stack([volts[rows, low], times[low], volts[rows, high], times[high]])
        moved = np.flatnonzero(figures[2] - figures[0] >= 2 * CHORD_V)
        if len(moved):
            pairs = [self.pairs[row] for row in moved.tolist()]
            figures[:, moved] = np.stack(self.waves.extremes_of(pairs, self.first_release_s).figures)
        return Extremes(*figures)

    @cached_property
    def _read(self) -> tuple[Floats, Floats, Extremes]:
        return self.waves.waves_and_extremes(self.pairs, CHORD_V)

    @cached_property
    def curves(self) -> tuple[Wave, ...]:
        """The waveform of every point."""
        times, volts, _ = self._read
        return tuple(Wave(times, row) for row in volts)

    @cached_property
    def first_release_s(self) -> Second:
        """When the first heavy load is released."""
        return min(press.release_s for press in self.model.schedule.presses)

    @cached_property
    def last_release_s(self) -> Second:
        """When the last one is."""
        return max(press.release_s for press in self.model.schedule.presses)

    @cached_property
    def averages(self) -> Floats:
        """Mean voltage of every point from the first press to the last release."""
        return self.waves.averages(self.pairs, 0.0, self.last_release_s)

    def lowest(self, number: int) -> Instant:
        """The lowest voltage; of a point that the event does not reach, its voltage at the press.

        A load whose supply was opened has none at the lowest: how far its inputs let currents of inductances
        pull it below is not known.
        """
        lowest_v, before_v = float(self.extremes.low[number]), float(self.before_v[number])
        if before_v - lowest_v < UNMOVED_V:
            return Instant(before_v, 0.0)
        if self.is_cut_off(number):
            curve = self.curves[number]
            return Instant(0.0, curve.first_below(STANDING_V) or float(curve.time_s[-1]))
        return Instant(lowest_v, float(self.extremes.low_at[number]))

    def is_cut_off(self, number: int) -> bool:
        """Whether a switched part leaves a load without voltage."""
        is_load = self.points[number].load is not None
        return is_load and bool(self.waves.changes) and float(self.extremes.low[number]) < STANDING_V

    def highest(self, number: int) -> Instant:
        """The highest voltage of a point."""
        return Instant(float(self.extremes.high[number]), float(self.extremes.high_at[number]))

    def released(self, number: int) -> Instant | None:
        """The highest voltage from the first release on; None where the answer ends with it."""
        if self.first_release_s >= self.waves.end_s:
            return None
        after = self.after_release
        return Instant(float(after.high[number]), float(after.high_at[number]))

    def moment(self, number: int, at: Instant) -> Moment:
        """An extreme in its stretch; at a switching the stretch in which it is so high or low."""
        starts = [segment.start_s for segment in self.waves.segments]
        segment = max(bisect_right(starts, at.at_s) - 1, 0)
        if segment == 0 or starts[segment] < at.at_s:
            return Moment(segment, at.at_s)
        after = float(self.waves.at_times([self.pairs[number]], np.array([at.at_s]))[0, 0])
        return Moment(segment if abs(after - at.value) <= SAME_V else segment - 1, at.at_s)

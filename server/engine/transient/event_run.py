"""The whole answer of an event in time: every load that is on and fed, the probes, phases and assumptions."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.engine.analysis import UnknownModeError
from server.engine.answer import AssumedValue, Band
from server.engine.arrays import Floats
from server.engine.naming import Names
from server.engine.netlist_rows import Terminal
from server.engine.outcome import Outcome
from server.engine.solution import EventSolution, Solution
from server.engine.transient.answer import (
    CauseShare,
    EventRun,
    Instant,
    Phase,
    PhaseName,
    PointAnswer,
    PointPair,
    Waveform,
)
from server.engine.transient.causes import Accounts, BranchVolts, Moment, unit_flows
from server.engine.transient.circuit import TransientError
from server.engine.transient.conditions import conditions_in_words, not_computed
from server.engine.transient.event_bands import DrawnBand, drawn_bands
from server.engine.transient.extremes import Extremes
from server.engine.transient.links import link_offsets
from server.engine.transient.model import BoatModel
from server.engine.transient.motor_figures import RUN_UP
from server.engine.transient.solution import TransientSolution
from server.engine.transient.solver import solve
from server.engine.transient.spoken import spoken
from server.engine.transient.states_left import states_left
from server.engine.transient.verdict import Drawn, Judgement, Limits, judged, limits_of
from server.engine.transient.waves import Wave
from server.units import Second, Volt

__all__ = ["TransientError", "UnknownModeError", "event_run"]

HEAVY_CURRENT = "heavy-current"
PROBE = "probe"
UNMOVED_V = 1e-6
"""An event that lowers a voltage by less does not reach that point."""
HARDLY_V = 2e-3
"""Twice what a waveform's straight lines may be off: within this, extremes are not looked for exactly."""
SAME_V = 1e-10
"""Two voltages this close are the same one."""


def event_run(
    boat: Boat, mode_id: str, event_id: str, probes: Sequence[PointPair] = (), *, bands: bool = False
) -> EventRun:
    """An event of a mode, solved in time.

    The points are the loads that are on and fed, in document order, then the probes. With ``bands`` every
    assumption is drawn, which solves the event some fifty times more; without, the bands of the first instant
    are laid around the lowest voltages.

    Raises:
        UnknownModeError: the boat has no such mode, the mode no such event, or a probe no such terminal.
        TransientError: a piece of the model cannot be solved, or probes share no source.
    """
    solution = Solution.of(boat, mode_id)
    return EventInTime(solution, solution.event(event_id), tuple(probes), draws_bands=bands).answer()


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
    """An event with its waveforms, and everything that is read off them."""

    solution: Solution
    solved: EventSolution
    probes: tuple[PointPair, ...]
    draws_bands: bool = False

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
        pressed = {press.key for press in self.model.schedule.presses}
        loads = (
            Point(
                f"{key[0]}.{key[1]}",
                self.names.input(*key),
                int(network.tail[net.inputs[key]]),
                int(network.head[net.inputs[key]]),
                key,
            )
            for key in self.solved.inputs
            if key not in pressed
        )
        return (*loads, *self._probe_points())

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
        """Lowest and highest of every point."""
        return self._extremes(self.waves.start_s)

    @cached_property
    def after_release(self) -> Extremes:
        """Lowest and highest of every point from the first release on."""
        return self._extremes(self.first_release_s)

    def _extremes(self, since_s: Second) -> Extremes:
        """The exact extremes; of points that hardly move, those of the waveform."""
        times, volts = self._grid
        later = times >= since_s
        times, volts = times[later], volts[:, later]
        rows = np.arange(len(volts))
        low, high = volts.argmin(axis=1), volts.argmax(axis=1)
        figures = np.stack([volts[rows, low], times[low], volts[rows, high], times[high]])
        moved = np.flatnonzero(figures[2] - figures[0] > HARDLY_V)
        if len(moved):
            exact = self.waves.extremes_of([self.pairs[row] for row in moved.tolist()], since_s)
            figures[:, moved] = np.stack(exact.figures)
        return Extremes(*figures)

    @cached_property
    def _grid(self) -> tuple[Floats, Floats]:
        return self.waves.voltages(self.pairs)

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

    @property
    def drawn(self) -> tuple[DrawnBand, ...] | None:
        """The bands of every point with all assumptions drawn, where that was asked for and can be done."""
        return self._drawn_or_why[0]

    @cached_property
    def _drawn_or_why(self) -> tuple[tuple[DrawnBand, ...] | None, tuple[str, ...]]:
        """The drawn bands, or what stands against them."""
        if not self.draws_bands:
            return None, ()
        needs = [None if limits is None else limits.need for limits in self.limits]
        try:
            bands = drawn_bands(self.model, self.pairs, needs, self.extremes.low, self.extremes.high)
        except TransientError as error:
            why = spoken(str(error), self.model)
            return None, (f"bands by drawing the assumptions: at an end of one there is no solution, {why}",)
        return bands, ()

    @cached_property
    def limits(self) -> tuple[Limits | None, ...]:
        """What every point needs and stands; probes need nothing."""
        return tuple(self._limits(point) for point in self.points)

    @cached_property
    def outcome(self) -> Outcome:
        """How the loads fare at the first instant, by the steady network."""
        return Outcome.of(self.solution, self.solved)

    @cached_property
    def flows(self) -> Floats:
        """Unit currents of every point, for its causes."""
        tails, heads = [point.tail for point in self.points], [point.head for point in self.points]
        return unit_flows(self.model.before, tails, heads)

    @cached_property
    def accounts(self) -> Accounts:
        """Splits dips and kicks."""
        before = Moment(0, self.waves.start_s)
        extremes = [
            self._moment(number, instant)
            for number in range(len(self.points))
            for instant in (self._lowest(number), self._released(number))
            if instant is not None
        ]
        volts = BranchVolts.of(self.waves, [before, *extremes])
        return Accounts(self.solved.net, self.names, self.waves.circuit.branch_element, volts, before)

    def _moment(self, number: int, at: Instant) -> Moment:
        """An extreme in its stretch; at a switching the stretch in which it is so high or low."""
        starts = [segment.start_s for segment in self.waves.segments]
        segment = max(bisect_right(starts, at.at_s) - 1, 0)
        if segment == 0 or starts[segment] < at.at_s:
            return Moment(segment, at.at_s)
        after = float(self.waves.at_times([self.pairs[number]], np.array([at.at_s]))[0, 0])
        return Moment(segment if abs(after - at.value) <= SAME_V else segment - 1, at.at_s)

    def answer(self) -> EventRun:
        """The whole answer."""
        event = self.solved.event
        current = self._heavy_current
        return EventRun(
            event=event.id,
            name=event.name,
            mode=event.mode,
            heavy_name=self.names.input(*self.solved.heavy),
            conditions=conditions_in_words(self.model.conditions),
            phases=tuple(self._phases()),
            inrush_a=self._inrush,
            settled_a=self.waves.motor_current_at(self._heavy_number, self._just_before_release),
            points=tuple(self._point(number) for number in range(len(self.points))),
            waveforms=(*self._waveforms(), current),
            derived=self.model.derived,
            assumptions=self._assumptions(),
            troubles=states_left(self.model, self.waves),
            not_assessed=(
                *(spoken(one, self.model) for one in self.waves.troubles),
                *not_computed(self.model),
                *self._drawn_or_why[1],
            ),
            links=tuple(link_offsets(self.model, self.waves)),
        )

    @cached_property
    def _heavy_number(self) -> int:
        presses = self.model.schedule.presses
        return next(n for n, press in enumerate(presses) if press.key == self.solved.heavy)

    @property
    def _just_before_release(self) -> Second:
        release = self.model.schedule.presses[self._heavy_number].release_s
        return float(np.nextafter(release, -np.inf))

    @cached_property
    def _heavy_current(self) -> Waveform:
        numbers = [n for n, one in enumerate(self.model.schedule.presses) if one.key == self.solved.heavy]
        waves = [self.waves.motor_current(number) for number in numbers]
        times = waves[0][0] if len(waves) == 1 else np.unique(np.concatenate([time for time, _ in waves]))
        total = np.zeros(len(times))
        for time, amps in waves:
            total += amps if len(waves) == 1 else np.interp(times, time, amps)
        return Waveform(HEAVY_CURRENT, self.names.input(*self.solved.heavy), "A", times, total)

    @property
    def _inrush(self) -> Instant:
        wave = self._heavy_current
        top = int(np.argmax(wave.values))
        return Instant(float(wave.values[top]), float(wave.time_s[top]))

    def _phases(self) -> Iterator[Phase]:
        press = self.model.schedule.presses[self._heavy_number]
        arc_out = max(
            (
                out
                for n in range(len(self.model.schedule.presses))
                if (out := self.waves.arc_end(n)) is not None
            ),
            default=self.last_release_s,
        )
        run_up = self._run_up_s(press.press_s, press.release_s)
        marks: list[tuple[PhaseName, Second]] = [
            ("before", self.waves.start_s),
            ("start", 0.0),
            ("run", run_up),
            ("release", press.release_s),
            ("after", max(arc_out, press.release_s)),
        ]
        ends = [at for _, at in marks[1:]] + [self.waves.end_s]
        for (name, start), end in zip(marks, ends, strict=True):
            yield Phase(name, start, end)

    def _run_up_s(self, press_s: Second, release_s: Second) -> Second:
        """When the heavy load first turns at ``RUN_UP`` of the speed it has when released."""
        times, speed = self.waves.motor_speed(self._heavy_number)
        held = (times >= press_s) & (times <= release_s)
        if not held.any() or speed[held][-1] <= 0:
            return press_s
        fast = np.flatnonzero(speed[held] >= RUN_UP * speed[held][-1])
        return float(times[held][fast[0]])

    @cached_property
    def curves(self) -> tuple[Wave, ...]:
        """The waveform of every point."""
        times, volts = self._grid
        return tuple(Wave(times, row) for row in volts)

    def _waveforms(self) -> Iterator[Waveform]:
        for point, curve in zip(self.points, self.curves, strict=True):
            yield Waveform(point.key, point.name, "V", curve.time_s, curve.values)

    def _point(self, number: int) -> PointAnswer:
        point, lowest = self.points[number], self._lowest(number)
        highest = Instant(float(self.extremes.high[number]), float(self.extremes.high_at[number]))
        released = self._released(number)
        before_v = float(self.before_v[number])
        limits, drawn = self.limits[number], None if self.drawn is None else self.drawn[number]
        band = self._static_band(point, lowest.value) if drawn is None else drawn.lowest
        judgement = self._judgement(number, before_v, band or Band(lowest.value, lowest.value, lowest.value))
        return PointAnswer(
            key=point.key,
            name=point.name,
            before_v=before_v,
            lowest=lowest,
            highest=highest,
            release_highest=released,
            average_v=float(self.averages[number]),
            lowest_band=band,
            highest_band=None if drawn is None else drawn.highest,
            need_v=None if limits is None else limits.need.value_v,
            need_source="" if limits is None else limits.need.source,
            need_assumed=limits is not None and limits.need.assumed,
            maximum_v=None if limits is None else limits.maximum_v,
            maximum_source="" if limits is None else limits.maximum_source,
            hold_up_s=None if limits is None or limits.hold_up is None else limits.hold_up.value,
            hold_up_assumed=limits is not None and limits.hold_up_assumed,
            below_need_s=judgement.below_need_s,
            verdict=judgement.verdict,
            reason=self._reason(judgement, limits, highest),
            dip_causes=self._causes(number, lowest, of_rise=False),
            kick_causes=self._causes(number, released, of_rise=True),
            band_basis="drawn" if drawn is not None else "none" if band is None else "first-instant",
            matters_most=None if drawn is None else drawn.matters_most,
        )

    def _lowest(self, number: int) -> Instant:
        """The lowest voltage; of a point that the event does not reach, its voltage at the press."""
        lowest_v, before_v = float(self.extremes.low[number]), float(self.before_v[number])
        if before_v - lowest_v < UNMOVED_V:
            return Instant(before_v, 0.0)
        return Instant(lowest_v, float(self.extremes.low_at[number]))

    def _released(self, number: int) -> Instant | None:
        """The highest voltage from the first release on; None where the answer ends with it."""
        if self.first_release_s >= self.waves.end_s:
            return None
        after = self.after_release
        return Instant(float(after.high[number]), float(after.high_at[number]))

    def _limits(self, point: Point) -> Limits | None:
        if point.load is None:
            return None
        part = self.solution.parts[point.load[0]]
        return limits_of(part, point.load[1], self.outcome.needs[point.load], self.model.own)

    def _static_band(self, point: Point, lowest_v: Volt) -> Band | None:
        """The band of the first instant, laid around the lowest voltage."""
        if point.load is None:
            return None
        static = self.solved.lowest[self.solved.inputs.index(point.load)]
        return Band(lowest_v - (static.value - static.low), lowest_v, lowest_v + static.high - static.value)

    def _judgement(self, number: int, before_v: Volt, band: Band) -> Judgement:
        point, limits = self.points[number], self.limits[number]
        if limits is None or point.load is None:
            return Judgement("limit-not-known", "Two probes have no need.", 0.0)
        return judged(
            self.curves[number].longest_below,
            before_v,
            band,
            limits,
            at_best=point.load in self.outcome.unknown,
            stretch=self.model.stretch,
            drawn=None
            if self.drawn is None
            else Drawn(self.drawn[number].surely_below_s, self.drawn[number].perhaps_below_s),
        )

    @staticmethod
    def _reason(judgement: Judgement, limits: Limits | None, highest: Instant) -> str:
        if limits is None or limits.maximum_v is None or highest.value <= limits.maximum_v:
            return judgement.reason
        return (
            f"{judgement.reason} It sees {highest.value:.1f} V, more than the {limits.maximum_v:.1f} V "
            "that it stands."
        )

    def _causes(self, number: int, at: Instant | None, *, of_rise: bool) -> tuple[CauseShare, ...]:
        flow = self.flows[:, number]
        if at is None or np.isnan(flow).any():
            return ()
        return self.accounts.shares(flow, self._moment(number, at), of_rise=of_rise)

    def _assumptions(self) -> tuple[AssumedValue, ...]:
        both = (*self.solved.net.figures.used, *self.model.own.used)
        used = {(one.key, one.subject): one for one in both if one is not None}
        return tuple(used[key] for key in sorted(used, key=str))

"""The whole answer of an event in time: every load that is on and fed, the probes, phases and assumptions."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.engine.analysis import UnknownModeError
from server.engine.answer import AssumedValue, Trouble
from server.engine.solution import Solution
from server.engine.transient.answer import (
    EventFigures,
    EventRun,
    Instant,
    Phase,
    PhaseName,
    PointPair,
    Turning,
    Waveform,
)
from server.engine.transient.circuit import TransientError
from server.engine.transient.conditions import conditions_in_words, not_computed
from server.engine.transient.device_currents import device_currents
from server.engine.transient.event_causes import EventCauses
from server.engine.transient.event_in_time import EventInTime
from server.engine.transient.event_verdicts import EventVerdicts
from server.engine.transient.links import link_offsets
from server.engine.transient.motor_figures import RUN_UP
from server.engine.transient.pairs import assumed_for
from server.engine.transient.point_answers import PointAnswers
from server.engine.transient.spoken import spoken
from server.engine.transient.states_changed import states_changed
from server.engine.transient.states_left import states_left
from server.engine.transient.waves import Wave
from server.units import Second

__all__ = ["TransientError", "UnknownModeError", "event_figures", "event_run"]

HEAVY_CURRENT = "heavy-current"


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
    event = EventInTime(solution, solution.event(event_id), tuple(probes))
    return _Answer(event, EventVerdicts(event, bands), EventCauses(event)).whole()


def event_figures(boat: Boat, mode_id: str, event_id: str) -> EventFigures:
    """What an event in time is judged by, without its waveforms and without the causes of dips and kicks.

    Raises:
        UnknownModeError, TransientError: see ``event_run``.
    """
    solution = Solution.of(boat, mode_id)
    event = EventInTime(solution, solution.event(event_id))
    return _Answer(event, EventVerdicts(event), None).figures()


@dataclass(frozen=True, eq=False)
class _Answer:
    event: EventInTime
    verdicts: EventVerdicts
    causes: EventCauses | None

    def figures(self) -> EventFigures:
        """What the event is judged by."""
        return EventFigures(
            inrush_a=self._inrush,
            points=PointAnswers(self.event, self.verdicts, self.causes).all(),
            links=tuple(link_offsets(self.event.model, self.event.waves)),
            devices=tuple(device_currents(self.event)),
            happens=self._happens,
        )

    @cached_property
    def _happens(self) -> tuple[Trouble, ...]:
        return tuple(states_changed(self.event.model, self.event.waves))

    def whole(self) -> EventRun:
        """The whole answer."""
        stated = self.event.solved.event
        current = self._heavy_current
        return EventRun(
            event=stated.id,
            name=stated.name,
            mode=stated.mode,
            heavy_name=self.event.names.input(*self.event.solved.heavy),
            conditions=conditions_in_words(self.event.model.conditions),
            phases=tuple(self._phases()),
            inrush_a=self._inrush,
            settled_a=self.event.waves.motor_current_at(self._heavy_number, self._just_before_release),
            points=PointAnswers(self.event, self.verdicts, self.causes).all(),
            waveforms=(*self._waveforms(), current),
            derived=self.event.model.derived,
            assumptions=self._assumptions(),
            troubles=(
                *self._happens,
                *states_left(self.event.model, self.event.waves),
            ),
            not_assessed=(
                *(spoken(one, self.event.model) for one in self.event.waves.troubles),
                *not_computed(self.event.model),
                *self.verdicts.why_not_drawn,
            ),
            links=tuple(link_offsets(self.event.model, self.event.waves)),
            devices=tuple(device_currents(self.event)),
            happens=self._happens,
            turning=self._turning,
        )

    @property
    def _turning(self) -> Turning | None:
        press = self.event.model.schedule.presses[self._heavy_number]
        start = self._run_up_s(press.press_s, press.release_s)
        if start is None:
            return None
        solved, numbers = self.event.solved, self.event.model.numbers
        row, network = solved.net.inputs[solved.heavy], solved.net.network
        tail, head = (int(numbers[int(ends[row])]) for ends in (network.tail, network.head))
        volts, amperes = Wave(*self.event.waves.between(tail, head)), self._heavy_current
        return Turning(
            volts.mean(start, press.release_s),
            Wave(amperes.time_s, amperes.values).mean(start, press.release_s),
        )

    @cached_property
    def _heavy_number(self) -> int:
        presses = self.event.model.schedule.presses
        return next(n for n, press in enumerate(presses) if press.key == self.event.solved.heavy)

    @property
    def _just_before_release(self) -> Second:
        release = self.event.model.schedule.presses[self._heavy_number].release_s
        return float(np.nextafter(release, -np.inf))

    @cached_property
    def _heavy_current(self) -> Waveform:
        numbers = [
            n for n, one in enumerate(self.event.model.schedule.presses) if one.key == self.event.solved.heavy
        ]
        waves = [self.event.waves.motor_current(number) for number in numbers]
        times = waves[0][0] if len(waves) == 1 else np.unique(np.concatenate([time for time, _ in waves]))
        total = np.zeros(len(times))
        for time, amps in waves:
            total += amps if len(waves) == 1 else np.interp(times, time, amps)
        return Waveform(HEAVY_CURRENT, self.event.names.input(*self.event.solved.heavy), "A", times, total)

    @property
    def _inrush(self) -> Instant:
        wave = self._heavy_current
        top = int(np.argmax(wave.values))
        return Instant(float(wave.values[top]), float(wave.time_s[top]))

    def _phases(self) -> Iterator[Phase]:
        press = self.event.model.schedule.presses[self._heavy_number]
        arc_out = max(
            (
                out
                for n in range(len(self.event.model.schedule.presses))
                if (out := self.event.waves.arc_end(n)) is not None
            ),
            default=self.event.last_release_s,
        )
        run_up = self._run_up_s(press.press_s, press.release_s)
        marks: list[tuple[PhaseName, Second]] = [
            ("before", self.event.waves.start_s),
            ("start", 0.0),
            ("run", press.press_s if run_up is None else run_up),
            ("release", press.release_s),
            ("after", max(arc_out, press.release_s)),
        ]
        ends = [at for _, at in marks[1:]] + [self.event.waves.end_s]
        for (name, start), end in zip(marks, ends, strict=True):
            yield Phase(name, start, end)

    def _run_up_s(self, press_s: Second, release_s: Second) -> Second | None:
        """When the heavy load first turns at ``RUN_UP`` of its speed when released; None if it stands."""
        times, speed = self.event.waves.motor_speed(self._heavy_number)
        held = (times >= press_s) & (times <= release_s)
        if not held.any() or speed[held][-1] <= 0:
            return None
        fast = np.flatnonzero(speed[held] >= RUN_UP * speed[held][-1])
        return float(times[held][fast[0]])

    def _waveforms(self) -> Iterator[Waveform]:
        for point, curve in zip(self.event.points, self.event.curves, strict=True):
            yield Waveform(point.key, point.name, "V", curve.time_s, curve.values)

    def _assumptions(self) -> tuple[AssumedValue, ...]:
        model = self.event.model
        both = (*model.net.figures.used, *model.own.used, *assumed_for(model.net, model.extent.joined))
        used = {(one.key, one.subject): one for one in both if one is not None}
        return tuple(used[key] for key in sorted(used, key=str))

"""The whole answer of a boat fed by a starting profile: every load that is on, over the wave."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.boat.parts import Battery
from server.engine.answer import Trouble
from server.engine.solution import Solution
from server.engine.transient.answer import EventRun, Instant, Phase, PhaseName, Waveform
from server.engine.transient.event_in_time import EventInTime
from server.engine.transient.event_verdicts import EventVerdicts
from server.engine.transient.fed_model import FedModel, FedSolution
from server.engine.transient.links import link_offsets
from server.engine.transient.point_answers import PointAnswers
from server.engine.transient.spoken import spoken
from server.engine.transient.states_changed import states_changed
from server.engine.transient.states_left import states_left
from server.practice.supply import StartingLevel
from server.units import Second

CURRENT, WAVE = "heavy-current", "test-supply"
"""The waveforms beside those of the loads: what the supply gives, and its voltage."""
LEFT_OUT = (
    "the ripple of the standard's plateau: its swing is in no table that is shipped here",
    "coupling between cables that share a run",
)


def fed_run(boat: Boat, mode_id: str, level: StartingLevel) -> EventRun:
    """A mode of a boat fed by the starting profile of a level, in the place of its batteries.

    Its heavy current is what the supply of the first system voltage gives, its waveform ``test-supply`` the
    voltage of that. Bands are those of the steady network held at the profile's lowest voltage.

    Raises:
        UnknownModeError: the boat has no such mode.
        TransientError: a battery has no verified profile of this level, or a piece cannot be solved.
    """
    solution = Solution.of(boat, mode_id)
    return _Answer(FedInTime(solution, FedSolution.of(solution, level))).whole()


@dataclass(frozen=True, eq=False)
class FedInTime(EventInTime):
    """A boat fed by a starting profile, with its waveforms at the loads."""

    solved: FedSolution

    @cached_property
    def model(self) -> FedModel:
        """Its circuit."""
        return FedModel(self.solution, self.solved)

    @cached_property
    def first_release_s(self) -> Second:
        """Nothing is released: the end."""
        return self.waves.end_s

    @cached_property
    def last_release_s(self) -> Second:
        """Means are taken to the end."""
        return self.waves.end_s


@dataclass(frozen=True, eq=False)
class _Answer:
    event: FedInTime

    def whole(self) -> EventRun:
        """The whole answer."""
        event, model = self.event, self.event.model
        current = self._current()
        first = int(np.argmax(current.values))
        happens = tuple(_told(states_changed(model, event.waves)))
        return EventRun(
            event="test-supply",
            name=event.solved.event.name,
            mode=event.solved.event.mode,
            heavy_name="Test supply",
            conditions="",
            phases=tuple(self._phases()),
            inrush_a=Instant(float(current.values[first]), float(current.time_s[first])),
            settled_a=float(current.values[-1]),
            points=PointAnswers(event, EventVerdicts(event)).all(),
            waveforms=(*self._waveforms(), current),
            derived=(),
            assumptions=tuple(one for one in model.own.used if one is not None),
            troubles=(*happens, *_told(self._stops())),
            not_assessed=(*(spoken(one, model) for one in event.waves.troubles), *LEFT_OUT),
            links=tuple(link_offsets(model, event.waves)),
            happens=happens,
        )

    def _stops(self) -> Iterator[Trouble]:
        """What would not keep its state; a battery's own electronics are not there."""
        for one in states_left(self.event.model, self.event.waves):
            parts = [self.event.solution.parts.get(subject) for subject in one.subjects]
            if not any(isinstance(part, Battery) for part in parts):
                yield one

    def _phases(self) -> Iterator[Phase]:
        """Before, into the dip, on the plateau, back up."""
        post, waves = self.event.solved.posts[0], self.event.waves
        dip_s = post.profile.fall_s + post.profile.lowest_s + post.profile.rise_to_plateau_s
        rise_s = dip_s + post.profile.plateau_s
        marks: list[tuple[PhaseName, Second]] = [
            ("before", waves.start_s),
            ("dip", 0.0),
            ("plateau", dip_s),
            ("recovery", rise_s),
        ]
        ends = [at for _, at in marks[1:]] + [waves.end_s]
        for (name, start), end in zip(marks, ends, strict=True):
            yield Phase(name, start, end)

    def _waveforms(self) -> Iterator[Waveform]:
        event = self.event
        for point, curve in zip(event.points, event.curves, strict=True):
            yield Waveform(point.key, point.name, "V", curve.time_s, curve.values)
        wave = event.solved.posts[0].wave
        times = np.concatenate([[event.waves.start_s], wave.time_s, [event.waves.end_s]])
        yield Waveform(WAVE, "The test wave at the batteries", "V", times, wave.at(times))

    def _current(self) -> Waveform:
        """What the first supply gives: the current at each battery's place, by its share of the wave."""
        supply, waves = self.event.model.supplies[0], self.event.waves
        found = [waves.branch_current(row) for row in supply.rows.tolist()]
        times = np.unique(np.concatenate([time for time, _ in found]))
        total = np.zeros(len(times))
        for share, (time, amps) in zip(supply.share.tolist(), found, strict=True):
            total += share * np.interp(times, time, amps)
        return Waveform(CURRENT, "Test supply", "A", times, total)


def _told(troubles: Iterable[Trouble]) -> Iterator[Trouble]:
    """Troubles that count from the dip: nothing is pressed here."""
    for one in troubles:
        yield replace(one, message=one.message.replace("the press", "the dip begins"))

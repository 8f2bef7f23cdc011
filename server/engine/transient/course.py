"""The course of an event: marched from switching to switching, each found on the way."""

from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.circuit import TransientError
from server.engine.transient.draws import DrawLaws
from server.engine.transient.equations import System
from server.engine.transient.live import Kept, Live
from server.engine.transient.march import March
from server.engine.transient.motors import MotorState
from server.engine.transient.segment import PhaseKind, Rest, Segment
from server.engine.transient.stepper import Stepper
from server.engine.transient.switched import Change, Clock
from server.engine.transient.variants import Variants
from server.engine.transient.watching import Since, Watching
from server.units import Second, Volt

FIRST_LOOK_S = 0.01
"""How far a stretch goes on at first once a switched part has moved; then ever further."""
SHORTEST_LOOK_S = 1e-6
MOST_CHANGES = 12
"""A contact that moved more often in one event chatters."""
MANY_CHANGES = 200
"""Diodes and limited sources may follow what rings around them for so many changes."""
MOST_AT_ONCE = 20
"""More changes at one instant than this have no end."""


@dataclass
class Course:
    """Marches from switching to switching."""

    variants: Variants
    laws: DrawLaws
    step_v: Volt
    segments: list[Segment] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    steppers: dict[System, Stepper] = field(default_factory=dict)
    watchings: dict[System, Watching] = field(default_factory=dict)
    since: Since = field(default_factory=dict)
    look_s: Second = np.inf

    def __post_init__(self) -> None:
        self.circuit, self.live = self.variants.base.circuit, Live(self.variants)

    def rest(self, x: Floats) -> None:
        """The stretch before the first press."""
        live, system = self.live, self.live.system
        w = np.zeros(system.H.shape[1])
        w[0] = 1.0
        presses = [motor.drive.press_s for motor in live.motors.values()]
        supplied = [float(one.time_s[0]) for one in self.circuit.supplies]
        end = min([*presses, *supplied, self.circuit.end_s])
        self.segments.append(Rest(live.time, end, system, x, w))
        live.time, live.x, live.w = end, x, w

    def through_all_instants(self) -> None:
        """March from switching to switching until the end."""
        end = self.circuit.end_s
        drives = [motor.drive for motor in self.live.motors.values()]
        moments = [t for drive in drives for t in (drive.press_s, drive.release_s)]
        moments += [
            border.level
            for one in self.circuit.switched
            for state in one.states
            for border in state.borders
            if isinstance(border.reading, Clock)
        ]
        moments += [t for one in self.circuit.supplies for t in one.time_s.tolist()]
        instants = {t for t in moments if self.live.time <= t < end}
        for instant, after in pairwise([*sorted(instants), end]):
            self.live.time = instant
            self.live.switch()
            while self.live.time < after:
                self._march(after)

    def _march(self, end: Second) -> None:
        """One segment: to the end, until an arc goes out, or until a switched part leaves its state."""
        kept = self.live.kept()
        end = min(end, self.live.time + self.look_s)
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
            self.live.back_to(kept)
            march, out = self._marched(change.at_s)
            self.since = self._looked_through(march)[1]
        if change.at_s > kept.time:
            self._keep(march, out)
        else:
            self.live.back_to(kept)
            self.live.w = self._begun().now.U
        self._change(replace(change, at_s=self.live.time))

    def _foreseen(self, end: Second, kept: Kept) -> tuple[March, MotorState | None]:
        """A stretch to the end; to a nearer one where the present states lead to no solution."""
        while True:
            try:
                return self._marched(end)
            except TransientError:
                self.live.back_to(kept)
                if end - self.live.time <= SHORTEST_LOOK_S:
                    raise
                end = self.live.time + (end - self.live.time) / 8

    def _marched(self, end: Second) -> tuple[March, MotorState | None]:
        march = self._begun()
        return march, march.until(end)

    def _begun(self) -> March:
        """A stretch that begins now."""
        live, system = self.live, self.live.system
        if system not in self.steppers:
            scale = float(np.abs(self.circuit.branches.emf_v).max())
            laws = self.laws.with_conversions(system.wiring)
            self.steppers[system] = Stepper(system, laws, self.variants.lines, scale)
        return March(self.steppers[system], live.running, live.x, live.time, self.step_v)

    def _looked_through(self, march: March) -> tuple[Change | None, Since]:
        """Whether a switched part leaves its state in a stretch."""
        system = self.live.system
        if system not in self.watchings:
            states = self.live.setting.states
            self.watchings[system] = Watching(system, self.variants.lines, self.circuit.switched, states)
        watching = self.watchings[system]
        if not (watching.borders or watching.clocks) or not march.track.starts:
            return None, self.since
        return watching.looked_through(march.motion(_kind(march)), self.since)

    def _keep(self, march: March, went_out: MotorState | None) -> None:
        """Take a stretch into the answer; where an arc went out, its contact is open."""
        if march.track.starts:  # pragma: no branch - not where two arcs go out at one instant to the last bit
            self.segments.append(march.motion(_kind(march)))
        self.live.time, self.live.x, self.live.w = march.now.time, march.state, march.now.U
        if went_out is not None:
            self.live.arc_went_out(went_out)

    def _change(self, change: Change) -> None:
        """Put a switched part into another state."""
        self._count(change)
        self.changes.append(change)
        self.since = {key: at_s for key, at_s in self.since.items() if key[0] != change.number}
        self.live.change(change)

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


def _kind(march: March) -> PhaseKind:
    if any(motor.arc_sign for motor in march.motors):
        return "arc"
    return "closed" if march.motors else "open"

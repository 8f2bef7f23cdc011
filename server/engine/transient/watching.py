"""Looks through a solved stretch for the first instant at which a switched part leaves its state."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

from server.engine.arrays import Floats
from server.engine.transient.currents import branch_currents
from server.engine.transient.equations import Lines, Outputs, System
from server.engine.transient.segment import Segment
from server.engine.transient.switched import Amps, Border, Change, Clock, Switched, Volts
from server.engine.transient.waves import Wave
from server.units import Second, Volt

COARSE_V: tuple[Volt, ...] = (1.0, 0.1)
"""A stretch is looked at with straight lines true to these; only readings as close to a border go on."""
FINE_V: Volt = 1e-3
LEVEL_V: Volt = 12.0
"""A current is weighed as if its level were so many volts."""

BorderKey = tuple[int, int]
"""A switched part among the circuit's, and a border among those of its state."""
Since = Mapping[BorderKey, Second]
"""Since when readings have been past their borders."""


@dataclass(frozen=True, eq=False)
class Watching:
    """The borders of one setting, read in one system."""

    system: System
    lines: Lines
    switched: Sequence[Switched]
    states: tuple[int, ...]

    @cached_property
    def _every(self) -> tuple[tuple[BorderKey, Border], ...]:
        return tuple(
            ((number, k), border)
            for number, (one, state) in enumerate(zip(self.switched, self.states, strict=True))
            for k, border in enumerate(one.states[state].borders)
        )

    @cached_property
    def borders(self) -> tuple[tuple[BorderKey, Border], ...]:
        """The borders of all states that something is read for."""
        return tuple(one for one in self._every if not isinstance(one[1].reading, Clock))

    @cached_property
    def clocks(self) -> tuple[tuple[BorderKey, Border], ...]:
        """Those that the event's own time passes."""
        return tuple(one for one in self._every if isinstance(one[1].reading, Clock))

    @cached_property
    def _readings(self) -> tuple[Outputs, ...]:
        return tuple(self._reading(border) for _, border in self.borders)

    def _reading(self, border: Border) -> Outputs:
        """A border's reading: one row for each pair of nodes, or an amperage, in volts of ``LEVEL_V``."""
        if not isinstance(border.reading, Amps):
            return self._volts(border.reading.pairs if isinstance(border.reading, Volts) else ())
        amps = branch_currents(self.system, self.lines, np.array([border.reading.row]))
        scale = self._scale(border)
        return self.system.outputs(np.nan_to_num(amps.state) * scale, np.nan_to_num(amps.direct) * scale)

    def _volts(self, pairs: tuple[tuple[int, int], ...]) -> Outputs:
        """Voltages; a measuring part that hangs in the air measures none."""
        ends, wiring = np.array(pairs, np.intp), self.system.wiring
        joined = wiring.joined(ends[:, 0], ends[:, 1])
        found = self.system.voltages(wiring.paths(ends[joined, 0], ends[joined, 1]))
        state = np.zeros((len(pairs), found.state.shape[1]))
        direct = np.zeros((len(pairs), found.direct.shape[1]))
        state[joined], direct[joined] = found.state, found.direct
        return self.system.outputs(state, direct)

    @staticmethod
    def _scale(border: Border) -> float:
        return LEVEL_V / border.level if isinstance(border.reading, Amps) else 1.0

    def _holds(self, at: Sequence[int], values: Floats) -> Floats:
        """How far each of some borders is from being passed (rows), from the stacked readings."""
        rows, first = [], 0
        for k in at:
            border = self.borders[k][1]
            last = first + len(self._readings[k].state)
            reading, level = values[first:last].max(axis=0), border.level * self._scale(border)
            rows.append(level - reading if border.is_upper else reading - level)
            first = last
        return np.array(rows).reshape(len(at), values.shape[1])

    def _stacked(self, at: Sequence[int]) -> Outputs:
        chosen = [self._readings[k] for k in at]
        return Outputs(
            np.vstack([one.state for one in chosen]),
            np.vstack([one.modal for one in chosen]),
            np.vstack([one.direct for one in chosen]),
        )

    def looked_through(self, segment: Segment, since: Since) -> tuple[Change | None, Since]:
        """The first change within a stretch, and since when borders are passed at its end."""
        change, going_on = self._read(segment, since) if self.borders else (None, {})
        for (number, _), border in self.clocks:
            at_s = max(border.level, segment.start_s)
            if at_s <= segment.end_s and (change is None or at_s < change.at_s):
                change = Change(number, at_s, self.states[number], border, at_s)
        return change, going_on

    def _read(self, segment: Segment, since: Since) -> tuple[Change | None, Since]:
        near: Sequence[int] = tuple(range(len(self.borders)))
        for chord_v in COARSE_V:
            outputs = self._stacked(near)
            grid = segment.grid(outputs, chord_v)
            low = self._holds(near, segment.values(outputs, grid)).min(axis=1).tolist()
            held = zip(near, low, strict=True)
            near = [k for k, least in held if least < chord_v or self.borders[k][0] in since]
            if not near:
                return None, {}
        return self._among(near, segment, since)

    def _among(self, near: Sequence[int], segment: Segment, since: Since) -> tuple[Change | None, Since]:
        outputs = self._stacked(near)
        grid = segment.grid(outputs, FINE_V)
        holds = self._holds(near, segment.values(outputs, grid))
        first: Change | None = None
        going_on: dict[BorderKey, Second] = {}
        for row, k in enumerate(near):
            key, border = self.borders[k]
            for start, end in Wave(grid, holds[row]).stretches_below(0.0).tolist():
                begins = self._begins(k, segment, grid, start)
                if start == grid[0]:
                    begins = since.get(key, begins)
                at_s = max(begins + border.lasting_s, segment.start_s)
                if at_s <= end and (first is None or at_s < first.at_s):
                    first = Change(key[0], at_s, self.states[key[0]], border, begins)
                if end == grid[-1]:
                    going_on[key] = begins
        return first, going_on

    def _begins(self, k: int, segment: Segment, grid: Floats, start: Second) -> Second:
        """The exact instant at which a border is passed, from where straight lines pass it."""
        after = int(np.searchsorted(grid, start, side="left"))
        if after == 0:
            return start
        outputs = self._stacked([k])

        def holds(time: float) -> float:
            return float(self._holds([k], segment.values(outputs, np.array([time])))[0, 0])

        low, high = float(grid[after - 1]), float(grid[after])
        return start if holds(high) > 0 or holds(low) < 0 else float(brentq(holds, low, high, xtol=1e-13))

"""A stretch between two switchings as exact pieces: known at every instant, not only on a grid.

In a piece the inputs are sextics of time, w = Σ Qₖ σᵏ with σ = τ/span; of a mode and of every reading one
part fades with the mode's own rate, and the rest is a polynomial of σ too (see ``halves``).
"""

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, Protocol

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.equations import Outputs, System
from server.engine.transient.halves import Half, Instants
from server.engine.transient.modes import Numbers
from server.engine.transient.points import bending
from server.engine.transient.readings import Moving, Pieces, Readings, Still
from server.units import Second, Volt

PhaseKind = Literal["before", "closed", "arc", "open"]
GRID_FACTOR = 1.2
"""How fine the scale is on which the density of a grid is summed: 13 marks a decade."""
FIRST_MARK = 1e-12
"""The scale begins at this share of a segment."""


class Segment(Protocol):
    """What all stretches answer."""

    @property
    def kind(self) -> PhaseKind: ...  # noqa: D102
    @property
    def start_s(self) -> Second: ...  # noqa: D102
    @property
    def end_s(self) -> Second: ...  # noqa: D102
    @property
    def system(self) -> System: ...  # noqa: D102

    def values(self, outputs: Outputs, times: Floats) -> Floats:
        """Readings (rows) at instants of the stretch."""

    def readings(self, outputs: Outputs) -> Readings:
        """What is read at any of its instants, also with its rate of change."""

    def integral(self, outputs: Outputs, start: Second, end: Second) -> Floats:
        """Each reading summed over time between two instants of the stretch."""

    def grid(self, outputs: Outputs, chord_v: Volt) -> Floats:
        """Instants between which straight lines stay within ``chord_v`` of every reading."""


@dataclass(frozen=True, eq=False)
class Rest:
    """The stretch before the first press: nothing changes."""

    start_s: Second
    end_s: Second
    system: System
    x: Floats
    w: Floats
    kind: PhaseKind = field(default="before", init=False)

    def readings(self, outputs: Outputs) -> Still:
        """What is read at any of its instants."""
        return Still(np.asarray(outputs.state @ self.x + outputs.direct @ self.w))

    def values(self, outputs: Outputs, times: Floats) -> Floats:
        """Readings (rows) at instants."""
        return self.readings(outputs).values(times)

    def integral(self, outputs: Outputs, start: Second, end: Second) -> Floats:
        """Each reading summed over time."""
        return self.readings(outputs).value * (end - start)

    def grid(self, outputs: Outputs, chord_v: Volt) -> Floats:
        """Its two ends."""
        return np.array([self.start_s, self.end_s])


@dataclass(frozen=True, eq=False)
class Motion:
    """A stretch in motion: ``starts`` and ``spans`` of its pieces, modes at each start, inputs in each.

    At ``edges`` an input jumps, and waveforms have a corner: where a motor starts to turn or stops.
    """

    kind: PhaseKind
    start_s: Second
    end_s: Second
    system: System
    starts: Floats
    spans: Floats
    m0: Floats
    Q: Floats
    edges: Floats

    @cached_property
    def _pieces(self) -> Pieces:
        """Its modes, and its inputs up to the highest power that any has."""
        used = np.flatnonzero(np.abs(self.Q).max(axis=(0, 1)) > 0)
        Q = self.Q[:, :, : int(used[-1]) + 1 if used.size else 1]
        count, inputs, powers = Q.shape
        flat = Q.transpose(1, 2, 0).reshape(inputs, powers * count)
        forcing = self.system.modal_inputs @ flat
        halves = (
            Half(kind, kind.picked(self.m0), _by_power(kind.picked(forcing), powers), self.spans)
            for kind in self.system.modes.kinds
        )
        return Pieces(self.starts, self.spans, Q, tuple(halves))

    def readings(self, outputs: Outputs) -> Moving:
        """What is read at any of its instants."""
        return Moving(self._pieces, outputs)

    def values(self, outputs: Outputs, times: Floats) -> Floats:
        """Readings (rows) at instants of the stretch."""
        return self.readings(outputs).values(times)

    def integral(self, outputs: Outputs, start: Second, end: Second) -> Floats:
        """Each reading summed over time between two instants of the stretch, exactly."""
        readings = self.readings(outputs)
        until_end = readings.integral(self._until(end))
        return until_end if start == self.start_s else until_end - readings.integral(self._until(start))

    def _until(self, end: Second) -> Instants:
        """The last instant of every piece before an end."""
        ends = np.minimum(np.append(self.starts[1:], self.end_s), end)
        at = np.flatnonzero(self.starts <= end)
        tau = np.maximum(ends[at] - self.starts[at], 0.0)
        return Instants(at, tau, tau / self.spans[at])

    def grid(self, outputs: Outputs, chord_v: Volt) -> Floats:
        r"""Instants between which straight lines stay within ``chord_v`` of every reading.

        A chord over δ errs by at most δ² max|y''|/8. The second derivative of a reading is bounded by the
        sum over its modes of \|c w\| e^{Re λ τ}; with the largest c of all readings one grid serves them all.
        """
        marks = self._marks()
        density = np.sqrt(self._bend(outputs, marks) / (8 * chord_v))
        steps = np.diff(marks) * np.maximum(density[1:], density[:-1])
        count = np.concatenate([[0.0], np.cumsum(steps)])
        points = max(int(np.ceil(count[-1])), 1)
        grid = np.interp(np.linspace(0.0, count[-1], points + 1), count, marks)
        grid[0], grid[-1] = self.start_s, self.end_s
        return np.union1d(grid, self.edges) if self.edges.size else grid

    def _marks(self) -> Floats:
        """A scale that is fine after the switching and holds every piece's start."""
        length = self.end_s - self.start_s
        scale = FIRST_MARK * GRID_FACTOR ** np.arange(0, math.log(1 / FIRST_MARK) / math.log(GRID_FACTOR))
        inside = self.starts[self.starts < self.end_s]
        return np.unique(np.concatenate([self.start_s + length * scale, inside, [self.end_s]]))

    def _bend(self, outputs: Outputs, times: Floats) -> Floats:
        """A bound of the second derivative of all readings at instants."""
        here = self._pieces.instants(times)
        bends = np.abs(outputs.direct) @ bending(self.Q.swapaxes(0, 1), self.spans)
        total = bends.take(here.at, axis=1)
        for half in self._pieces.halves:
            total += half.bend(outputs.modal, here)
        most: Floats = total.max(axis=0, initial=0.0)
        return most


def _by_power(flat: Numbers, powers: int) -> Numbers:
    """Forcings of modes (rows) by powers, modes and pieces."""
    by_mode = flat.reshape(len(flat), powers, flat.shape[1] // powers)
    return np.ascontiguousarray(by_mode.transpose(1, 0, 2))

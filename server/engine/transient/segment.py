"""A stretch between two switchings as exact pieces: known at every instant, not only on a grid.

In a piece the inputs are sextics of time, w = Σ Qₖ σᵏ with σ = τ/span, and every mode is
m(τ) = e^{λτ} m₀ + Σₖ Fₖ k! τ σᵏ φₖ₊₁(λτ) with F = (H in modes)·Q.
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
from server.engine.transient.points import POWERS, bending
from server.units import Second, Volt

PhaseKind = Literal["before", "closed", "arc", "open"]
CHUNK = 128
"""Instants worked out at once: what they take stays in the processor's own memory."""
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

    def sloped(self, outputs: Outputs, times: Floats) -> tuple[Floats, Floats]:
        """Readings (rows) at instants, and their rates of change."""

    def paired(self, outputs: Outputs, times: Floats) -> tuple[Floats, Floats]:
        """Reading k at instant k, and its rate of change."""

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

    def _still(self, outputs: Outputs) -> Floats:
        return np.asarray(outputs.state @ self.x + outputs.direct @ self.w)

    def values(self, outputs: Outputs, times: Floats) -> Floats:
        """Readings (rows) at instants."""
        return np.repeat(self._still(outputs)[:, None], len(times), axis=1)

    def sloped(self, outputs: Outputs, times: Floats) -> tuple[Floats, Floats]:
        """Readings at instants, and their rates of change: none."""
        return self.values(outputs, times), np.zeros((len(outputs.state), len(times)))

    def paired(self, outputs: Outputs, times: Floats) -> tuple[Floats, Floats]:
        """Reading k at instant k, and its rate of change: none."""
        return self._still(outputs), np.zeros(len(times))

    def integral(self, outputs: Outputs, start: Second, end: Second) -> Floats:
        """Each reading summed over time."""
        return self._still(outputs) * (end - start)

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
    def powers(self) -> int:
        """How many powers of σ any input has."""
        used = np.flatnonzero(np.abs(self.Q).max(axis=(0, 1)) > 0)
        return int(used[-1]) + 1 if used.size else 1

    @cached_property
    def halves(self) -> tuple[Half, ...]:
        """The real modes in real numbers, and the turning ones."""
        flat = self._by_power.transpose(1, 0, 2).reshape(self.Q.shape[1], -1)
        forcing = self.system.modal_inputs @ flat
        return tuple(
            Half(kind, kind.picked(self.m0), self._forcing(kind.picked(forcing)))
            for kind in self.system.modes.kinds
        )

    def _forcing(self, flat: Numbers) -> Numbers:
        by_mode = flat.reshape(len(flat), self.powers, len(self.starts))
        return np.ascontiguousarray(by_mode.transpose(1, 0, 2))

    @cached_property
    def _by_power(self) -> Floats:
        """The inputs: powers of σ, inputs, pieces."""
        return np.ascontiguousarray(self.Q[:, :, : self.powers].transpose(2, 1, 0))

    def _instants(self, times: Floats) -> Instants:
        at = np.clip(np.searchsorted(self.starts, times, side="right") - 1, 0, None)
        tau = np.maximum(times - self.starts[at], 0.0)
        return Instants(at, tau, tau / self.spans[at])

    def _inputs(self, here: Instants) -> Floats:
        parts = self._by_power.take(here.at, axis=2)
        parts *= here.sigma ** POWERS[: self.powers, None, None]
        w: Floats = parts.sum(axis=0)
        return w

    def _inputs_sloped(self, here: Instants) -> tuple[Floats, Floats]:
        """Inputs and their rates of change."""
        powers = POWERS[1 : self.powers, None, None]
        parts = self._by_power.take(here.at, axis=2)
        parts[1:] *= here.sigma ** (powers - 1)
        rising: Floats = (parts[1:] * powers).sum(axis=0)
        rising /= self.spans[here.at]
        parts[1:] *= here.sigma
        return parts.sum(axis=0), rising

    def values(self, outputs: Outputs, times: Floats) -> Floats:
        """Readings (rows) at instants of the stretch."""
        found = np.empty((len(outputs.state), len(times)))
        for first in range(0, len(times), CHUNK):
            part = slice(first, first + CHUNK)
            here = self._instants(times[part])
            found[:, part] = outputs.direct @ self._inputs(here)
            for half in self.halves:
                found[:, part] += half.read(outputs.modal, half.modes(here))
        return found

    def sloped(self, outputs: Outputs, times: Floats) -> tuple[Floats, Floats]:
        """Readings (rows) at instants of the stretch, and their rates of change."""
        value, slope = np.empty((2, len(outputs.state), len(times)))
        for first in range(0, len(times), CHUNK):
            part = slice(first, first + CHUNK)
            here = self._instants(times[part])
            inputs, rising = self._inputs_sloped(here)
            value[:, part], slope[:, part] = outputs.direct @ inputs, outputs.direct @ rising
            for half in self.halves:
                modes, rises = half.sloped(here)
                value[:, part] += half.read(outputs.modal, modes)
                slope[:, part] += half.read(outputs.modal, rises)
        return value, slope

    def paired(self, outputs: Outputs, times: Floats) -> tuple[Floats, Floats]:
        """Reading k at instant k, and its rate of change."""
        here, direct = self._instants(times), outputs.direct.T
        inputs, rising = self._inputs_sloped(here)
        value: Floats = (direct * inputs).sum(axis=0)
        slope: Floats = (direct * rising).sum(axis=0)
        for half in self.halves:
            modes, rising = half.sloped(here)
            value += half.read_paired(outputs.modal, modes)
            slope += half.read_paired(outputs.modal, rising)
        return value, slope

    def integral(self, outputs: Outputs, start: Second, end: Second) -> Floats:
        """Each reading summed over time between two instants of the stretch, exactly."""
        until_end = self._integral_until(outputs, end)
        return until_end if start == self.start_s else until_end - self._integral_until(outputs, start)

    def _integral_until(self, outputs: Outputs, end: Second) -> Floats:
        ends = np.minimum(np.append(self.starts[1:], self.end_s), end)
        at = np.flatnonzero(self.starts <= end)
        tau = np.maximum(ends[at] - self.starts[at], 0.0)
        here = Instants(at, tau, tau / self.spans[at])
        w = np.zeros(self.Q.shape[1])
        for k, power in enumerate(self._by_power):
            w += power[:, at] @ (tau * here.sigma**k / (k + 1))
        total: Floats = outputs.direct @ w
        for half in self.halves:
            total += half.read(outputs.modal, half.modes(here, order=1).sum(axis=1))
        return total

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
        here = self._instants(times)
        bends = np.abs(outputs.direct) @ bending(self.Q.swapaxes(0, 1), self.spans)
        total = bends.take(here.at, axis=1)
        for half in self.halves:
            total += half.bend(outputs.modal, here, self.spans)
        most: Floats = total.max(axis=0, initial=0.0)
        return most

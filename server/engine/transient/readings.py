"""Readings of a stretch: a part of each fades with every mode, the rest is a polynomial of a piece."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Protocol

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.transient.equations import Outputs
from server.engine.transient.halves import TERMS, Half, Instants
from server.engine.transient.modes import stacked

CHUNK = 512
"""Instants worked out at once: what they take stays in the processor's own memory."""
ORDERS = np.arange(1.0, TERMS)


class Readings(Protocol):
    """Some readings of a stretch."""

    def values(self, times: Floats) -> Floats:
        """Readings (rows) at instants."""

    def sloped(self, times: Floats) -> tuple[Floats, Floats]:
        """Readings (rows) at instants, and their rates of change."""

    def paired(self, rows: Indices, times: Floats) -> tuple[Floats, Floats]:
        """Reading ``rows[k]`` at instant k, and its rate of change."""


@dataclass(frozen=True, eq=False)
class Still:
    """Readings that do not change."""

    value: Floats

    def values(self, times: Floats) -> Floats:
        """The same at all instants."""
        return np.repeat(self.value[:, None], len(times), axis=1)

    def sloped(self, times: Floats) -> tuple[Floats, Floats]:
        """The same at all instants, without any rate of change."""
        return self.values(times), np.zeros((len(self.value), len(times)))

    def paired(self, rows: Indices, times: Floats) -> tuple[Floats, Floats]:
        """Some of them, without any rate of change."""
        return self.value[rows], np.zeros(len(times))


@dataclass(frozen=True, eq=False)
class Pieces:
    """The pieces of a stretch in motion: when they start, the spans of σ, inputs by powers of σ, modes."""

    starts: Floats
    spans: Floats
    Q: Floats
    halves: tuple[Half, ...]

    def instants(self, times: Floats) -> Instants:
        """Where instants stand."""
        at = np.clip(np.searchsorted(self.starts, times, side="right") - 1, 0, None)
        tau = np.maximum(times - self.starts[at], 0.0)
        return Instants(at, tau, tau / self.spans[at])

    @cached_property
    def smooth(self) -> Floats:
        """What does not fade of the modes: by modes, pieces and powers."""
        return np.concatenate([stacked(half.smooth) for half in self.halves])

    def fading(self, here: Instants) -> Floats:
        """What fades of the modes, at instants (columns)."""
        return np.concatenate([stacked(half.fading(here)) for half in self.halves])

    def fading_sloped(self, here: Instants) -> tuple[Floats, Floats]:
        """What fades of the modes, at instants (columns), and its rate of change."""
        each = [(half.kind.rate[:, None], half.fading(here)) for half in self.halves]
        value = np.concatenate([stacked(fading) for _, fading in each])
        return value, np.concatenate([stacked(rate * fading) for rate, fading in each])

    def faded(self, here: Instants) -> Floats:
        """What fades of the modes, summed over time from each piece's start to an instant in it."""
        return np.concatenate([stacked(half.faded(here)) for half in self.halves])


@dataclass(frozen=True, eq=False)
class Moving:
    """Readings of a stretch in motion."""

    pieces: Pieces
    outputs: Outputs

    @cached_property
    def _smooth(self) -> Floats:
        """What does not fade of them: by pieces, readings and powers."""
        pieces, modal, direct = self.pieces, self.outputs.modal, self.outputs.direct
        count, _, powers = pieces.Q.shape
        found = modal @ pieces.smooth.reshape(modal.shape[1], count * TERMS)
        at_once = direct @ pieces.Q.transpose(1, 0, 2).reshape(direct.shape[1], count * powers)
        found = found.reshape(len(modal), count, TERMS)
        found[:, :, :powers] += at_once.reshape(len(modal), count, powers)
        return np.ascontiguousarray(found.transpose(1, 0, 2))

    @cached_property
    def _smooth_sloped(self) -> Floats:
        """The same, and below it its rate of change."""
        rising = np.zeros_like(self._smooth)
        rising[:, :, :-1] = self._smooth[:, :, 1:] * (ORDERS / self.pieces.spans[:, None, None])
        return np.concatenate([self._smooth, rising], axis=1)

    def values(self, times: Floats) -> Floats:
        """Readings (rows) at instants."""
        found = np.empty((len(self.outputs.modal), len(times)))
        for part in _parts(len(times)):
            here = self.pieces.instants(times[part])
            own = self.outputs.modal @ self.pieces.fading(here)
            found[:, part] = _with_smooth(own, self._smooth, here)
        return found

    def sloped(self, times: Floats) -> tuple[Floats, Floats]:
        """Readings (rows) at instants, and their rates of change."""
        rows, modal = len(self.outputs.modal), self.outputs.modal
        found = np.empty((2 * rows, len(times)))
        for part in _parts(len(times)):
            here = self.pieces.instants(times[part])
            own = np.concatenate([modal @ fading for fading in self.pieces.fading_sloped(here)])
            found[:, part] = _with_smooth(own, self._smooth_sloped, here)
        return found[:rows], found[rows:]

    def paired(self, rows: Indices, times: Floats) -> tuple[Floats, Floats]:
        """Reading ``rows[k]`` at instant k, and its rate of change."""
        here, modal, count = self.pieces.instants(times), self.outputs.modal[rows], len(self.outputs.modal)
        powers = here.powers
        value, slope = (
            (modal * fading.T).sum(axis=1) + (self._smooth_sloped[here.at, rows + below] * powers).sum(axis=1)
            for fading, below in zip(self.pieces.fading_sloped(here), (0, count), strict=True)
        )
        return value, slope

    def integral(self, here: Instants) -> Floats:
        """Each reading summed over time from each piece's start to an instant in it, and that over all."""
        shares = here.powers * (here.tau[:, None] / np.arange(1.0, TERMS + 1))
        smooth = np.tensordot(self._smooth[here.at], shares, axes=((0, 2), (0, 1)))
        total: Floats = self.outputs.modal @ self.pieces.faded(here).sum(axis=1) + smooth
        return total


def _parts(count: int) -> Iterator[slice]:
    return (slice(first, first + CHUNK) for first in range(0, count, CHUNK))


def _with_smooth(found: Floats, smooth: Floats, here: Instants) -> Floats:
    """Add to readings at instants the polynomials of their pieces."""
    powers = here.powers.T
    edges = [0, *(np.flatnonzero(np.diff(here.at)) + 1).tolist(), len(here.at)]
    for first, last in pairwise(edges):
        found[:, first:last] += smooth[here.at[first]] @ powers[:, first:last]
    return found

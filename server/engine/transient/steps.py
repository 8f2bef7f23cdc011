"""A step of a stretch: where it begins, what its length does to the modes, and what came of it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Flags, Floats
from server.engine.transient.halves import Half, Instants
from server.engine.transient.modes import stacked
from server.engine.transient.points import COUNT, POINTS, POWERS, TO_POWERS
from server.engine.transient.replies import Replies
from server.units import Second


@dataclass(frozen=True, eq=False)
class Table:
    """What a step of one length does.

    ``own`` tells for each motor how its current and speed at the points follow its own two inputs there;
    ``swing_v`` bounds by how many watched volts one unit of each input moves anything.
    """

    span: Second
    kinds: tuple[Replies, ...]
    own: tuple[Floats, ...]
    swing_v: Floats

    def free(self, parts: Floats) -> Floats:
        """The modes' parts at the points where nothing drives them."""
        return np.concatenate([kind.free(parts) for kind in self.kinds])

    def driven(self, forcing: Floats) -> Floats:
        """The modes' parts at the points that a forcing brings about, by its values at all points."""
        return np.concatenate([kind.driven(forcing) for kind in self.kinds])

    def missed(self, highest: Floats) -> Floats:
        """What of the modes' parts is missing at the points without the highest power of a forcing."""
        return np.concatenate([kind.missed(highest) for kind in self.kinds])


@dataclass(frozen=True, eq=False)
class Now:
    """Where a step begins: instant, modes, watched readings, inputs, and their polynomials from before.

    In a step a draw keeps to one side of its cut-out: ``is_below`` tells which do to the lower one.
    """

    time: Second
    m: Floats
    z: Floats
    U: Floats
    before: Floats | None
    """Those of the last step, of which ``used`` of ``span`` were used; None after an edge."""
    used: float
    span: Second
    is_below: Flags

    def foreseen(self, span: Second) -> Floats:
        """Inputs at the points of a step: the last step's polynomials carried on, or constants."""
        U = np.repeat(self.U[:, None], COUNT, axis=1)
        if self.before is not None:
            sigma = self.used + POINTS * (span / self.span)
            carried = self.before @ sigma ** POWERS[:, None]
            U += carried - carried[:, :1]
        return U

    @property
    def rising(self) -> Floats:
        """The slopes of the inputs."""
        if self.before is None:
            return np.zeros(len(self.U))
        slopes: Floats = self.before[:, 1:] @ (self.used ** POWERS[:-1] * POWERS[1:]) / self.span
        return slopes


@dataclass(frozen=True, eq=False)
class Step:
    """A step that agrees: inputs at its points, watched readings at the later points."""

    table: Table
    begins: Floats
    """The modes' parts at its beginning."""
    U: Floats
    F: Floats
    """How the inputs drive the modes' parts, at all points."""
    z: Floats
    angles: Floats
    ends: Floats
    """The modes' parts at its end."""

    @cached_property
    def by_power(self) -> Floats:
        """The inputs as powers of σ."""
        return self.U @ TO_POWERS

    @cached_property
    def _halves(self) -> tuple[Half, ...]:
        span, forcing = np.array([self.table.span]), self.F @ TO_POWERS
        return tuple(
            Half(
                one.kind, one.kind.picked(self.begins)[:, None], one.kind.picked(forcing).T[:, :, None], span
            )
            for one in self.table.kinds
        )

    def parts_at(self, sigma: Floats) -> Floats:
        """The modes' parts at shares of the step (columns)."""
        here = Instants(np.zeros(len(sigma), np.intp), sigma * self.table.span, sigma)
        powers = here.powers.T
        parts = [half.fading(here) + half.smooth[:, 0] @ powers for half in self._halves]
        return np.concatenate([stacked(part) for part in parts])

"""A step of a stretch: where it begins, what its length does to the modes, and what came of it."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from server.engine.arrays import Flags, Floats
from server.engine.transient.modes import Kind, Numbers, phis, stacked
from server.engine.transient.points import COUNT, FACTORIALS, POINTS, POWERS
from server.units import Second


class Replies(NamedTuple):
    """What a step of one length does to the modes of a kind until its later points.

    ``forced`` is by modes, points, and powers of the inputs, ``dropped`` what the highest power would have
    done had it been fitted by the lower ones.
    """

    kind: Kind
    decay: Numbers
    forced: Numbers
    dropped: Numbers

    def free(self, parts: Floats) -> Floats:
        """Their parts at the points where nothing drives them."""
        return stacked(self.decay * self.kind.picked(parts)[:, None])

    def driven(self, forcing: Floats) -> Floats:
        """Their parts at the points that a forcing brings about."""
        return stacked((self.forced @ self.kind.picked(forcing)[:, :, None])[:, :, 0])

    def missed(self, highest: Floats) -> Floats:
        """What of them is missing at the points without the highest power of a forcing."""
        return stacked(self.dropped * self.kind.picked(highest)[:, None])


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
        """The modes' parts at the points that a forcing brings about."""
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
    """A step that agrees: inputs at its points and as powers, watched readings at the later points."""

    table: Table
    U: Floats
    Q: Floats
    F: Floats
    z: Floats
    angles: Floats
    ends: Floats
    """The modes' parts at its end."""

    def parts_at(self, m: Floats, sigma: Floats) -> Floats:
        """The modes' parts at shares of the step (columns), given those at its beginning."""
        tau = sigma * self.table.span
        shares = FACTORIALS[:, None] * tau * sigma ** POWERS[:, None]
        return np.concatenate([self._of_kind(one.kind, m, tau, shares) for one in self.table.kinds])

    def _of_kind(self, kind: Kind, m: Floats, tau: Floats, shares: Floats) -> Floats:
        found = phis(kind.rate[:, None] * tau, COUNT)
        forced = found[1:] * kind.picked(self.F).T[:, :, None]
        forced *= shares[:, None]
        return stacked(found[0] * kind.picked(m)[:, None] + forced.sum(axis=0))

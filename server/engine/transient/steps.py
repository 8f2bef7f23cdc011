"""A step of a stretch: where it begins, what its length does to the modes, and what came of it."""

from dataclasses import dataclass

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.modes import Complexes
from server.engine.transient.points import COUNT, POINTS, POWERS
from server.units import Second


@dataclass(frozen=True, eq=False)
class Table:
    """What a step of one length does to the modes until its later points.

    ``forced`` is by modes, points, and powers of the inputs, ``dropped`` what the highest power would have
    done had it been fitted by the lower ones; ``replies`` tell for each motor how its current
    and speed at the points follow its own two inputs there; ``swing_v`` bounds by how many watched volts one
    unit of each input moves anything.
    """

    span: Second
    decay: Complexes
    forced: Complexes
    dropped: Complexes
    replies: tuple[Floats, ...]
    swing_v: Floats

    def driven(self, F: Complexes) -> Complexes:
        """The modes at the points that a forcing brings about."""
        found: Complexes = (self.forced @ F[:, :, None])[:, :, 0]
        return found


@dataclass(frozen=True, eq=False)
class Now:
    """Where a step begins: instant, modes, watched readings, inputs, and their polynomials from before."""

    time: Second
    m: Complexes
    z: Floats
    U: Floats
    before: Floats | None
    """Those of the last step, of which ``used`` of ``span`` were used; None after an edge."""
    used: float
    span: Second

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
    F: Complexes
    z: Floats
    angles: Floats
    ends: Complexes
    """The modes at its end."""

"""What electronics draw at a voltage: constant power or current above the cut-out, a resistance below it."""

from dataclasses import dataclass

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.network import Loads
from server.engine.transient.circuit import TransientError
from server.engine.transient.equations import Equations, Lines
from server.engine.transient.graph import rows_named
from server.engine.transient.wiring import Wiring

LEAST_V = 1e-3
"""A constant power without a cut-out is drawn as if no voltage were lower, as in the steady network."""
SETTLED_V = 1e-10
MOST_STEPS = 200
STIFFEST = 0.5
"""A draw is measured from its tangent only where series resistance times slope is below this share."""


@dataclass(frozen=True, eq=False)
class DrawLaws:
    """The laws j(v) of the live draws; ``knee_v`` is where each turns into a resistance, 0 for never."""

    amount: Floats
    is_power: Flags
    knee_v: Floats
    below_ohm_inverse: Floats

    @classmethod
    def of(cls, loads: Loads, rows: Indices) -> "DrawLaws":
        """The laws of some rows."""
        amount, is_power, knee = loads.amount[rows], loads.is_power[rows] > 0, loads.cut_out_v[rows]
        knee = np.maximum(knee, 0.0)
        safe = np.where(knee > 0, knee, 1.0)
        below = np.where(knee > 0, amount / np.where(is_power, safe**2, safe), 0.0)
        return cls(amount, is_power, knee, below)

    def current(self, v: Floats) -> Floats:
        """Currents at voltages (one row a draw, any number of columns)."""
        amount, is_power, knee, below = (self._column(figure, v) for figure in self._figures)
        running = amount / np.where(is_power > 0, np.maximum(v, LEAST_V), 1.0)
        return np.where((v < knee) & (knee > 0), below * v, running)

    def slope(self, v: Floats) -> Floats:
        """dj/dv at voltages, one a draw."""
        falling = np.where(self.is_power & (v > LEAST_V), -self.amount / np.maximum(v, LEAST_V) ** 2, 0.0)
        return np.where((v < self.knee_v) & (self.knee_v > 0), self.below_ohm_inverse, falling)

    @property
    def bends(self) -> Flags:
        """Which draws are no plain constant current."""
        bent: Flags = (self.amount != 0) & (self.is_power | (self.knee_v > 0))
        return bent

    @property
    def _figures(self) -> tuple[Floats, Floats, Floats, Floats]:
        return self.amount, self.is_power.astype(np.float64), self.knee_v, self.below_ohm_inverse

    @staticmethod
    def _column(figure: Floats, v: Floats) -> Floats:
        return figure if v.ndim == 1 else figure[:, None]


@dataclass(frozen=True, eq=False)
class AtRest:
    """The network before anything is pressed: its state, and the tangent of every draw there."""

    z: Floats
    lines: Lines


def at_rest(wiring: Wiring, laws: DrawLaws) -> AtRest:
    """The steady state, every draw settled, coming down from the highest voltages.

    With capacitors charged and nothing changing, draw voltages are v = v₀ - Z j(v): Newton's method.

    Raises:
        TransientError: the draws do not settle.
    """
    zero = np.zeros(len(wiring.draw))
    equations = Equations(wiring, Lines(zero, zero))
    _, G, H, _ = equations.full(())
    answers = np.linalg.solve(G, H)
    caps = len(equations.links) + wiring.draw_at
    across = answers[caps] * wiring.draw_sign[:, None]
    v0, Z = across[:, 0], -across[:, 1:]
    v = v0.copy()
    for _ in range(MOST_STEPS):
        slope = laws.slope(v)
        new = np.linalg.solve(np.eye(len(v)) + Z * slope, v0 - Z @ (laws.current(v) - slope * v))
        step, v = float(np.abs(new - v).max(initial=0.0)), new.astype(np.float64)
        if step < SETTLED_V:
            break
    else:
        raise TransientError(f"{rows_named('draw', wiring.draw.tolist())} do not settle before the event")
    j = laws.current(v)
    esr = wiring.ohm[len(wiring.branch) :][wiring.draw_at]
    slope = np.where(esr * np.abs(laws.slope(v)) < STIFFEST, laws.slope(v), 0.0)
    return AtRest(answers[:, 0] + answers[:, 1:] @ j, Lines(slope, j - slope * v))

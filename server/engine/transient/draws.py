"""What electronics draw at a voltage: constant power or current above the cut-out, a resistance below it."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.network import Loads
from server.engine.transient.circuit import TransientError
from server.engine.transient.conversions import Conversions
from server.engine.transient.equations import Equations, Lines
from server.engine.transient.graph import rows_named
from server.engine.transient.wiring import Wiring

LEAST_V = 1e-3
"""A constant power without a cut-out is drawn as if no voltage were lower, as in the steady network."""
SETTLED_V = 1e-10
MOST_STEPS = 200
LEAST_BLEED = 1e-3
"""A draw that no branch joins yet has at least this many siemens."""
STIFFEST = 0.5
"""A draw is measured from its tangent only where series resistance times slope is below this share."""


@dataclass(frozen=True, eq=False)
class DrawLaws:
    """The laws j(v) of the live draws, one a row.

    Below ``knee_v`` each is a resistance of conductance ``below``; one that never is has -inf. What the
    inputs of ``conversions`` draw follows the voltages of their outputs.
    """

    amount: Floats
    is_power: Flags
    knee_v: Floats
    below: Floats
    conversions: Conversions | None = None

    @classmethod
    def of(cls, loads: Loads, rows: Indices) -> "DrawLaws":
        """The laws of some rows."""
        amount, is_power, cut_out = loads.amount[rows], loads.is_power[rows] > 0, loads.cut_out_v[rows]
        knee = np.where(cut_out > 0, cut_out, -np.inf)
        below = amount / np.where(is_power, knee**2, knee)
        return cls(amount[:, None], is_power[:, None], knee[:, None], below[:, None])

    def with_conversions(self, wiring: Wiring) -> "DrawLaws":
        """The same laws, and those of the converters that are at work in a wiring."""
        found = Conversions.of(wiring)
        return self if found is None else replace(self, conversions=found)

    def current(self, v: Floats, is_below: Flags | None = None) -> Floats:
        """Currents at voltages, a row for each draw.

        With ``is_below`` (a column) a draw keeps to the law below its cut-out, or to that above it, on either
        side: both run on smoothly.
        """
        if self.conversions is not None:
            return self._at(v, self.conversions).current(v, is_below)
        running = self.amount / np.where(self.is_power, np.maximum(v, LEAST_V), 1.0)
        return np.where(v < self.knee_v if is_below is None else is_below, self.below * v, running)

    def is_below(self, v: Floats) -> Flags:
        """Which draws are below their cut-out, a column."""
        below: Flags = v[:, None] < self.knee_v
        return below

    def to_the_knee(self, v: Floats, is_below: Flags) -> Floats:
        """How far voltages are from the cut-out on whose one side each draw is; negative beyond it."""
        margin: Floats = np.where(is_below, self.knee_v - v, v - self.knee_v)
        return margin

    def _at(self, v: Floats, conversions: Conversions) -> "DrawLaws":
        """The laws with what converters draw at voltages."""
        amount = np.broadcast_to(self.amount, v.shape).copy()
        amount[conversions.draw] = conversions.power_w(v)
        below = amount / np.where(self.is_power, self.knee_v**2, self.knee_v)
        return replace(self, amount=amount, below=below, conversions=None)

    def slope(self, v: Floats) -> Floats:
        """dj/dv at voltages, a row for each draw; what a converter's own output moves left out."""
        if self.conversions is not None:
            return self._at(v, self.conversions).slope(v)
        falling = -self.amount / np.maximum(v, LEAST_V) ** 2
        running = np.where(self.is_power & (v > LEAST_V), falling, 0.0)
        return np.where(v < self.knee_v, self.below, running)

    def collapsed(self, v: Floats) -> Indices:
        """Which draws of constant power without a cut-out have no voltage left to live on."""
        endless = self.is_power & (self.amount > 0) & np.isneginf(self.knee_v)
        return np.flatnonzero((endless & (v < LEAST_V)).any(axis=1))

    @cached_property
    def bends(self) -> Flags:
        """Which draws are no plain constant current."""
        bent: Flags = ((self.amount != 0) & (self.is_power | (self.knee_v > 0)))[:, 0]
        if self.conversions is not None:
            bent[self.conversions.draw] = True
        return bent


@dataclass(frozen=True, eq=False)
class AtRest:
    """The network before anything is pressed: its state, and the tangent of every draw there."""

    z: Floats
    lines: Lines


def at_rest(wiring: Wiring, laws: DrawLaws) -> AtRest:
    """The steady state, every draw settled, coming down from the highest voltages.

    With capacitors charged and nothing changing, draw voltages are v = v₀ - Z j(v): Newton's method. Draws
    that no branch joins yet are resistances here, or nothing would say that their capacitors are empty.

    Raises:
        TransientError: the draws do not settle.
    """
    bleed = np.where(wiring.dead[:, None], np.maximum(laws.below, LEAST_BLEED), 0.0)
    equations = Equations(wiring, Lines(bleed, np.zeros_like(bleed)))
    _, G, H, _ = equations.full(())
    answers = np.linalg.solve(G, H[:, : 1 + len(wiring.draw)])
    caps = len(wiring.links) + wiring.draw_at
    across = answers[caps] * wiring.draw_sign[:, None]
    v0, Z = across[:, :1], -across[:, 1:]
    v = v0
    for _ in range(MOST_STEPS):
        slope = np.where(bleed > 0, bleed, laws.slope(v))
        beyond = np.where(bleed > 0, 0.0, laws.current(v) - slope * v)
        new = np.linalg.solve(np.eye(len(v)) + Z * (slope - bleed)[:, 0], v0 - Z @ beyond).astype(np.float64)
        step, v = float(np.abs(new - v).max(initial=0.0)), new
        if step < SETTLED_V:
            break
    else:  # pragma: no cover - no circuit is known that gets here
        raise TransientError(f"{rows_named('draw', wiring.draw.tolist())} do not settle before the event")
    if (dead := laws.collapsed(v)).size:
        raise TransientError(
            f"{rows_named('draw', wiring.draw[dead].tolist())}: no voltage is left to run on"
        )
    j, slope = laws.current(v), laws.slope(v)
    esr = wiring.ohm[len(wiring.branch) :][wiring.draw_at][:, None]
    slope = np.where(esr * np.abs(slope) < STIFFEST, slope, 0.0)
    return AtRest(
        answers[:, 0] + answers[:, 1:] @ np.where(bleed > 0, 0.0, j)[:, 0], Lines(slope, j - slope * v)
    )

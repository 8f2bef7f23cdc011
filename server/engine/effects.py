"""What a move does to everybody else: who is better off, who worse, who restarts."""

from dataclasses import dataclass

import numpy as np

from server.engine.answer import OthersEffect
from server.engine.arrays import Flags, Floats, Indices
from server.engine.naming import Names
from server.engine.needs import VERDICT_ORDER
from server.engine.netlist_rows import Terminal
from server.engine.outcome import Outcome, is_heavy
from server.engine.solution import EventSolution, Solution
from server.units import Volt

BETTER_V: Volt = 0.05
"""A change smaller than half of the 0.1 V to which sag is shown is no change."""


@dataclass(frozen=True, eq=False)
class Effects:
    """The other loads of an event as arrays: voltages and bands before, needs; nan for no known need."""

    keys: tuple[Terminal, ...]
    elements: Indices
    before_v: Floats
    below_v: Floats
    above_v: Floats
    need_low_v: Floats
    need_v: Floats
    need_high_v: Floats
    can_restart: Flags
    at_best: Flags
    """Whether a wire of unknown resistance lies on the load's way."""

    @classmethod
    def of(cls, solution: Solution, solved: EventSolution, outcome: Outcome, but: str) -> "Effects":
        """The loads of an event but those of one part and the heavy ones."""
        rows = [
            (key, band, outcome.needs[key])
            for key, band in zip(solved.inputs, solved.lowest, strict=True)
            if key[0] != but and not is_heavy(solution.parts[key[0]])
        ]

        def column(values: list[float | None]) -> Floats:
            return np.array([np.nan if value is None else value for value in values], np.float64)

        return cls(
            keys=tuple(key for key, _, _ in rows),
            elements=np.array([solved.net.inputs[key] for key, _, _ in rows], np.intp),
            before_v=column([band.value for _, band, _ in rows]),
            below_v=column([band.value - band.low for _, band, _ in rows]),
            above_v=column([band.high - band.value for _, band, _ in rows]),
            need_low_v=column([need.low_v for _, _, need in rows]),
            need_v=column([need.value_v for _, _, need in rows]),
            need_high_v=column([need.high_v for _, _, need in rows]),
            can_restart=np.array([need.can_restart for _, _, need in rows], bool),
            at_best=np.array([key in outcome.unknown for key, _, _ in rows], bool),
        )

    def orders(self, volts: Floats) -> Indices:
        """The verdict of every load at some voltages, as its place in ``VERDICT_ORDER``; bands as before.

        ``volts`` may have a row for each of several moves.
        """
        order = np.full(volts.shape, VERDICT_ORDER["too-close-to-call"], np.intp)
        surely = (volts - self.below_v >= self.need_high_v) & ~self.at_best
        order[surely] = VERDICT_ORDER["keeps-running"]
        order[volts + self.above_v < self.need_low_v] = VERDICT_ORDER["restarts"]
        order[..., np.isnan(self.need_low_v)] = VERDICT_ORDER["limit-not-known"]
        return order

    def after(self, volts: Floats, names: Names) -> list[OthersEffect]:
        """The effect of moves that leave the loads at these voltages, a row for each move."""
        old, new, change = self.orders(self.before_v), self.orders(volts), volts - self.before_v
        worse = np.isnan(volts) | (new > old) | ((new == old) & (change <= -BETTER_V))
        better = ~worse & ((new < old) | (change >= BETTER_V))
        restarts, before = VERDICT_ORDER["restarts"], int((old == VERDICT_ORDER["restarts"]).sum())
        after = (new == restarts).sum(axis=1).tolist()
        up, down = better.sum(axis=1).tolist(), worse.sum(axis=1).tolist()
        return [
            OthersEffect(
                *worst, before, after[move], up[move], down[move], len(self.keys) - up[move] - down[move]
            )
            for move, worst in enumerate(self._worst(volts, names))
        ]

    def _worst(self, volts: Floats, names: Names) -> list[tuple[str | None, Volt | None, Volt | None]]:
        """The load with the least to spare after each move: its name, its voltage before and after."""
        if not self.can_restart.any():
            return [(None, None, None)] * len(volts)
        margin = np.where(self.can_restart, volts - np.nan_to_num(self.need_v), np.inf)
        worst = margin.argmin(axis=1)
        after = volts[np.arange(len(volts)), worst]
        return [
            (names.input(*self.keys[at]), float(self.before_v[at]), None if np.isnan(v) else v)
            for at, v in zip(worst.tolist(), after.tolist(), strict=True)
        ]

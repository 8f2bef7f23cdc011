"""What a move does to everybody else: who is better off, who worse, who restarts."""

from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np

from server.engine.answer import OthersEffect
from server.engine.arrays import Flags, Floats, Indices
from server.engine.naming import Names
from server.engine.needs import VERDICT_ORDER
from server.engine.netlist_rows import Terminal
from server.engine.outcome import Outcome, is_heavy
from server.engine.solution import EventSolution, Solution
from server.engine.tap_numbers import EventNumbers
from server.units import Volt

BETTER_V: Volt = 0.05
"""A change smaller than half of the 0.1 V to which sag is shown is no change."""


MOST_BAND_PER_VOLT = 10.0
"""How far a band's end may move for each volt that the voltage moves: a joint may be ten times worse."""
ROUGH_BAND = 0.05
"""And by which share of itself, since all loads come to stand on other slopes."""


@dataclass(frozen=True, eq=False)
class Seen:
    """The other loads after some moves (rows): voltages, and how far below and above them each may lie."""

    volts: Floats
    below_v: Floats
    above_v: Floats


@dataclass(frozen=True, eq=False)
class Effects:
    """The other loads of an event as arrays: voltages and bands before, needs; nan for no known need."""

    keys: tuple[Terminal, ...]
    elements: Indices
    now: Seen
    """A single row."""
    need_low_v: Floats
    need_v: Floats
    need_high_v: Floats
    can_restart: Flags
    at_best: Flags
    """Whether a wire of unknown resistance lies on the load's way."""

    @classmethod
    def of(cls, solution: Solution, solved: EventSolution, outcome: Outcome) -> "Effects":
        """The loads of an event but the heavy ones; the same again while its solution is in use."""
        found = _KNOWN.get(solved)
        if found is None:
            found = _KNOWN[solved] = cls._made(solution, solved, outcome)
        return found

    @classmethod
    def _made(cls, solution: Solution, solved: EventSolution, outcome: Outcome) -> "Effects":
        rows = [
            (key, band, outcome.needs[key])
            for key, band in zip(solved.inputs, solved.lowest, strict=True)
            if not is_heavy(solution.parts[key[0]])
        ]

        def column(values: list[float | None]) -> Floats:
            return np.array([np.nan if value is None else value for value in values], np.float64)

        now = Seen(
            volts=column([band.value for _, band, _ in rows])[None],
            below_v=column([band.value - band.low for _, band, _ in rows])[None],
            above_v=column([band.high - band.value for _, band, _ in rows])[None],
        )

        return cls(
            keys=tuple(key for key, _, _ in rows),
            elements=np.array([solved.net.inputs[key] for key, _, _ in rows], np.intp),
            now=now,
            need_low_v=column([need.low_v for _, _, need in rows]),
            need_v=column([need.value_v for _, _, need in rows]),
            need_high_v=column([need.high_v for _, _, need in rows]),
            can_restart=np.array([need.can_restart for _, _, need in rows], bool),
            at_best=np.array([key in outcome.unknown for key, _, _ in rows], bool),
        )

    def but(self, part: str) -> "Effects":
        """The same without the loads of one part."""
        at = np.array([number for number, key in enumerate(self.keys) if key[0] != part], np.intp)
        now = Seen(self.now.volts[:, at], self.now.below_v[:, at], self.now.above_v[:, at])
        return Effects(
            keys=tuple(self.keys[number] for number in at.tolist()),
            elements=self.elements[at],
            now=now,
            need_low_v=self.need_low_v[at],
            need_v=self.need_v[at],
            need_high_v=self.need_high_v[at],
            can_restart=self.can_restart[at],
            at_best=self.at_best[at],
        )

    def orders(self, seen: Seen) -> Indices:
        """The verdict of every load after each move, as its place in ``VERDICT_ORDER``."""
        order = np.full(seen.volts.shape, VERDICT_ORDER["too-close-to-call"], np.intp)
        surely = (seen.volts - seen.below_v >= self.need_high_v) & ~self.at_best
        order[surely] = VERDICT_ORDER["keeps-running"]
        order[seen.volts + seen.above_v < self.need_low_v] = VERDICT_ORDER["restarts"]
        order[..., np.isnan(self.need_low_v)] = VERDICT_ORDER["limit-not-known"]
        return order

    def doubtful(self, volts: Floats) -> Flags:
        """Whose verdict after which move hangs on how the move changes its band."""
        doubtful: Flags = self.orders(self._roughly(volts, 1)) != self.orders(self._roughly(volts, -1))
        return doubtful

    def might_restart(self, volts: Floats) -> Flags:
        """Which loads might restart after each move that do not now, their bands as narrow as may be."""
        restarts = VERDICT_ORDER["restarts"]
        might: Flags = (self.orders(self._roughly(volts, -1)) == restarts) & (
            self.orders(self.now) != restarts
        )
        return might

    def _roughly(self, volts: Floats, sign: int) -> Seen:
        """The loads at other voltages with bands as wide (+1) or as narrow (-1) as a move may make them."""
        room = MOST_BAND_PER_VOLT * np.abs(volts - self.now.volts)
        below, above = (
            np.maximum(width * (1 + sign * ROUGH_BAND) + sign * room, 0.0)
            for width in (self.now.below_v, self.now.above_v)
        )
        return Seen(volts, below, above)

    def after(self, seen: Seen, names: Names) -> list[OthersEffect]:
        """The effect of moves that leave the loads at these voltages, a row for each move."""
        volts = seen.volts
        old, new, change = self.orders(self.now), self.orders(seen), volts - self.now.volts
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
            (names.input(*self.keys[at]), float(self.now.volts[0, at]), None if np.isnan(v) else v)
            for at, v in zip(worst.tolist(), after.tolist(), strict=True)
        ]


_KNOWN: WeakKeyDictionary[EventSolution, Effects] = WeakKeyDictionary()
"""Of solutions still held by someone: a solution has only one, so this changes no answer."""


def others_after(effects: Effects, event: EventNumbers) -> Seen:
    """The other loads after every move; bands are worked out anew where a verdict hangs on them."""
    volts = event.voltage_v[:, effects.elements - event.first]
    below, above = (np.repeat(one, len(volts), axis=0) for one in (effects.now.below_v, effects.now.above_v))
    doubtful = effects.doubtful(volts) & ~event.in_full[:, None]
    loads, moves = np.flatnonzero(doubtful.any(axis=0)), np.flatnonzero(doubtful.any(axis=1))
    anew = np.zeros(len(volts), bool)
    if len(loads) <= len(moves):
        for load in loads.tolist():
            below[:, load], above[:, load] = event.quick_widths(int(effects.elements[load]))
    else:
        anew[moves] = True
    anew[[one.base for one in event.alike]] = True
    for move in np.flatnonzero(anew).tolist():
        below[move], above[move] = event.widths_after(move, effects.elements)
    for one in event.alike:
        if len(one.moves):
            here = Seen(*(column[None, one.base] for column in (volts, below, above)))
            seen = others_after(replace(effects, now=here), one.event)
            below[one.moves], above[one.moves] = seen.below_v, seen.above_v
    return Seen(volts, below, above)

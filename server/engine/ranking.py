"""Targets of a held lead: those that come to the same are one, and the best comes first."""

from dataclasses import replace
from itertools import count

import numpy as np

from server.engine.answer import BankAnswer, Mark, TapAnswer, Verdict
from server.engine.effects import BETTER_V
from server.engine.needs import VERDICT_ORDER
from server.units import Ampere, Ratio, Volt

SAME_V: Volt = 0.010
"""Places on one part whose lowest voltages differ by less are one target (pages review)."""
RANKED_IN_STEPS_OF_V: Volt = 0.1


def merged(answers: list[TapAnswer]) -> list[TapAnswer]:
    """One target for the places of one part whose consequences are the same within 10 mV."""
    found: list[TapAnswer] = []
    for one in answers:
        twin = next((at for at, other in enumerate(found) if _same(other, one)), None)
        if twin is None:
            found.append(one)
            continue
        kept, gone = (one, found[twin]) if one.present else (found[twin], one)
        found[twin] = replace(kept, same_as=(*kept.same_as, gone.terminal, *gone.same_as))
    return found


def _same(one: TapAnswer, other: TapAnswer) -> bool:
    if one.terminal.part != other.terminal.part or one.place != other.place or one.verdict != other.verdict:
        return False
    if set(one.breaks) != set(other.breaks) and not (one.present or other.present):
        return False
    lows = [None if tap.lowest is None else tap.lowest.value for tap in (one, other)]
    alike = all(
        _close(a.after_v, b.after_v) and a.counted == b.counted
        for a, b in zip(one.banks, other.banks, strict=True)
    )
    return alike and _close(*lows) and _close(one.steady_v, other.steady_v)


def _close(a: Volt | None, b: Volt | None) -> bool:
    return a == b if a is None or b is None else abs(a - b) < SAME_V


def ranked(answers: list[TapAnswer], bars: frozenset[str]) -> list[TapAnswer]:
    """The best first.

    By: breaks nothing, verdict, others spared, for a source's lead how many banks are left out, how many are
    charged and with how many amperes, bars before other terminals, lowest voltage in steps of 0.1 V, least
    cable. The present place stands among them without a rank; the inadmissible come last.
    ``bars`` are the parts made for landing leads: bars, posts, panels, blocks.
    """
    ordered = sorted(answers, key=lambda one: _order(one, bars))
    return list(reranked(tuple(ordered)))


def reranked(ordered: tuple[TapAnswer, ...]) -> tuple[TapAnswer, ...]:
    """The same order with ranks for those that break nothing and are not the present place."""
    ranks = count(1)
    return tuple(replace(one, rank=None if one.breaks or one.present else next(ranks)) for one in ordered)


def _order(one: TapAnswer, bars: frozenset[str]) -> tuple[object, ...]:
    volts = one.steady_v if one.lowest is None else one.lowest.value
    step = 0.0 if volts is None else -round(volts / RANKED_IN_STEPS_OF_V)
    length = np.inf if one.length_m is None else one.length_m
    spared = one.others.restarts_after
    charged, charging_a = charge(one.banks)
    ends = one.terminal.part, one.terminal.terminal
    return (
        bool(one.breaks),
        VERDICT_ORDER[one.verdict],
        spared,
        _left_out(one.banks),
        -charged,
        -round(charging_a),
        one.terminal.part not in bars,
        step,
        length,
        *ends,
    )


def sign(
    before: tuple[Volt | None, Verdict], after: tuple[Volt | None, Verdict], restarts: tuple[int, int]
) -> Mark:
    """The one sign for a move: by who else comes to restart, then by the verdict, then by the volts.

    ``restarts`` are those of the others before and after it.
    """
    if restarts[1] > restarts[0]:
        return "worse"
    old, new = VERDICT_ORDER[before[1]], VERDICT_ORDER[after[1]]
    if new != old:
        return "worse" if new > old else "clears" if new == 0 else "better"
    gain = 0.0 if before[0] is None or after[0] is None else after[0] - before[0]
    if abs(gain) < BETTER_V:
        return "same"
    return "better" if gain > 0 else "worse"


CHARGED_A: Ampere = 0.05
"""Half of the 0.1 A to which currents are shown: less charges nothing."""
NOTICED: Ratio = 0.02
"""A smaller change of the whole charging current is none (our own threshold)."""


def charge(banks: tuple[BankAnswer, ...]) -> tuple[int, Ampere]:
    """How many banks are charged, and the sum of what they take."""
    taken = [bank.current_after_a for bank in banks if bank.current_after_a >= CHARGED_A]
    return len(taken), sum(taken)


def _left_out(banks: tuple[BankAnswer, ...]) -> int:
    """How many banks are charged now and would be no longer."""
    return sum(bank.current_after_a < CHARGED_A <= bank.current_before_a for bank in banks)


def charge_sign(banks: tuple[BankAnswer, ...]) -> Mark:
    """The sign for moving a source's lead: by the banks left out and won, then by how much it charges."""
    now = tuple(replace(bank, current_after_a=bank.current_before_a) for bank in banks)
    (old_banks, old_a), (new_banks, new_a) = charge(now), charge(banks)
    if _left_out(banks):
        return "worse"
    if new_banks > old_banks:
        return "better"
    if abs(new_a - old_a) <= NOTICED * max(old_a, new_a):
        return "same"
    return "better" if new_a > old_a else "worse"

"""Mends: edits that clear a finding and are no hazard themselves.

Only moves to admissible taps are offered; never a battery post or an engine block, never a larger fuse,
never a move that makes another device restart, and none that another event of the mode would undo.
"""

import math
from collections.abc import Callable, Iterable

from server.boat.edits import MoveLead
from server.boat.finding import Mend
from server.engine.answer import PickUp, TapAnswer
from server.units import Ampere, Metre, Volt

MOST_TRIED = 3
LONGER_BY_FACTOR = 2.0
LONGER_BY_M: Metre = 3.0
"""A mend reaches at most so much farther than the lead does now: our own bound of a reasonable job."""
EQUAL_V: Volt = 0.1
"""Places that read the same in these steps are equal; then the shorter lead is the better mend."""

Elsewhere = Callable[[PickUp], Iterable[PickUp]]
"""The same lead picked up in the other events of the mode."""


def move_mends(
    held: Iterable[PickUp], elsewhere: Elsewhere, is_harmless: Callable[[MoveLead], bool]
) -> tuple[Mend, ...]:
    """The best clearing move of each lead that was asked about, the higher voltage first.

    ``is_harmless`` says whether a move brings no finding of another kind and lands on nothing it should not.
    """
    best = [(one, tap) for one in held if (tap := _clearing(one, elsewhere, is_harmless)) is not None]
    best.sort(key=lambda pair: (-round(_volts(pair[1]) / EQUAL_V), _length(pair[1])))
    return tuple(_mend(one, tap) for one, tap in best)


def fits(tap: TapAnswer, present_a: Ampere | None) -> bool:
    """Whether the device before the lead is known to fit it and takes no smaller one of its own from it."""
    if tap.loses:
        return False
    if tap.device_judged:
        return True
    return present_a is not None and tap.device_a is not None and tap.device_a <= present_a


def _clearing(
    held: PickUp, elsewhere: Elsewhere, is_harmless: Callable[[MoveLead], bool]
) -> TapAnswer | None:
    """The first that clears it in the order of the list, so that both name the same place."""
    clearing = [tap for tap in held.taps if _is_clearing(held, tap)]
    if not clearing:
        return None
    others = [_by_terminal(one) for one in elsewhere(held)]
    lasting = (tap for tap in clearing if all(_holds(one, tap) for one in others))
    tried = (tap for tap, _ in zip(lasting, range(MOST_TRIED), strict=False))
    return next((tap for tap in tried if is_harmless(_move(held, tap))), None)


def _is_clearing(held: PickUp, tap: TapAnswer) -> bool:
    present = held.present
    return (
        tap.mark == "clears"
        and not (tap.breaks or tap.loses)
        and tap.protected
        and tap.others.restarts_after <= tap.others.restarts_before
        and (present is None or (_is_no_larger(tap, present) and _is_near(tap, present)))
    )


def _is_no_larger(tap: TapAnswer, present: TapAnswer) -> bool:
    """Whether the device before the lead would be no larger than now; if none is known now, it must fit."""
    if present.device_a is None:
        return tap.device_judged
    return tap.device_a is not None and tap.device_a <= present.device_a


def _is_near(tap: TapAnswer, present: TapAnswer) -> bool:
    """Whether the lead need not become much longer than it is; an unknown length tells nothing."""
    if tap.length_m is None or present.length_m is None:
        return True
    return tap.length_m <= LONGER_BY_FACTOR * present.length_m + LONGER_BY_M


def _by_terminal(held: PickUp) -> dict[tuple[str, str], TapAnswer]:
    return {(one.part, one.terminal): tap for tap in held.taps for one in (tap.terminal, *tap.same_as)}


def _holds(event: dict[tuple[str, str], TapAnswer], tap: TapAnswer) -> bool:
    """Whether the place is as good in another event: the load keeps running, and nothing else restarts."""
    there = event.get((tap.terminal.part, tap.terminal.terminal))
    return (
        there is not None
        and not there.breaks
        and there.verdict == "keeps-running"
        and there.others.restarts_after <= there.others.restarts_before
    )


def _move(held: PickUp, tap: TapAnswer) -> MoveLead:
    return MoveLead(part=held.part, terminal=held.terminal, to=tap.terminal)


def _volts(tap: TapAnswer) -> Volt:
    return 0.0 if tap.lowest is None else tap.lowest.value


def _length(tap: TapAnswer) -> Metre:
    return math.inf if tap.length_m is None else tap.length_m


def _mend(held: PickUp, tap: TapAnswer) -> Mend:
    volts = "" if tap.lowest is None else f": {tap.lowest.value:.1f} V"
    label = f"Move its {held.polarity} to {tap.place}{volts}"
    return Mend(label=label, edits=(_move(held, tap),))

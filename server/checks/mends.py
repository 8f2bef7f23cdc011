"""Mends: edits that clear a finding and are no hazard themselves.

Only moves to admissible taps are offered; never a battery post or an engine block, never a larger fuse,
and never a move that makes another device restart.
"""

from collections.abc import Callable, Iterable

from server.boat.edits import MoveLead
from server.boat.finding import Mend
from server.engine.answer import PickUp, TapAnswer

MOST_TRIED = 3


def move_mends(held: Iterable[PickUp], is_harmless: Callable[[MoveLead], bool]) -> tuple[Mend, ...]:
    """The best clearing move of each lead that was asked about, the higher voltage first.

    ``is_harmless`` says whether a move brings no finding of another kind and lands on nothing it should not.
    """
    best = [(one, tap) for one in held if (tap := _clearing(one, is_harmless)) is not None]
    best.sort(key=lambda pair: -_volts(pair[1]))
    return tuple(_mend(one, tap) for one, tap in best)


def _clearing(held: PickUp, is_harmless: Callable[[MoveLead], bool]) -> TapAnswer | None:
    clearing = [
        tap
        for tap in held.taps
        if tap.mark == "clears"
        and not tap.breaks
        and tap.protected
        and tap.others.restarts_after <= tap.others.restarts_before
    ]
    return next((tap for tap in clearing[:MOST_TRIED] if is_harmless(_move(held, tap))), None)


def _move(held: PickUp, tap: TapAnswer) -> MoveLead:
    return MoveLead(part=held.part, terminal=held.terminal, to=tap.terminal)


def _volts(tap: TapAnswer) -> float:
    return 0.0 if tap.lowest is None else tap.lowest.value


def _mend(held: PickUp, tap: TapAnswer) -> Mend:
    volts = "" if tap.lowest is None else f": {tap.lowest.value:.1f} V"
    label = f"Move its {held.polarity} to {tap.place}{volts}"
    return Mend(label=label, edits=(_move(held, tap),))

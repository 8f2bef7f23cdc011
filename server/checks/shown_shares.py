"""Shares of a dip or a kick in the digits that are shown: rounded alike everywhere, adding up as shown."""

from collections.abc import Sequence
from math import floor
from typing import TYPE_CHECKING

from server.units import Volt

if TYPE_CHECKING:
    from server.engine.transient.answer import CauseShare, PointAnswer

DIGITS = 2
_HUNDREDTHS = 10**DIGITS


def between(first_v: Volt, second_v: Volt) -> Volt:
    """The difference of two voltages as they are shown, so that a calculator agrees."""
    return round(round(first_v, DIGITS) - round(second_v, DIGITS), DIGITS)


def rounded_to_sum(parts: Sequence[Volt], total: Volt) -> tuple[Volt, ...]:
    """Parts rounded so that they add up to a rounded total, by largest remainder.

    >>> rounded_to_sum([0.333, 0.333, 0.334], 1.0)
    (0.33, 0.33, 0.34)
    """
    if not parts:
        return ()
    down = [floor(part * _HUNDREDTHS) for part in parts]
    each, left = divmod(round(total * _HUNDREDTHS) - sum(down), len(parts))
    by_remainder = sorted(range(len(parts)), key=lambda n: down[n] - parts[n] * _HUNDREDTHS)
    more = set(by_remainder[:left])
    return tuple((whole + each + (n in more)) / _HUNDREDTHS for n, whole in enumerate(down))


def dip_shares(point: "PointAnswer") -> "tuple[tuple[CauseShare, Volt], ...]":
    """What each element takes at the lowest instant, as shown, the largest first."""
    return _shown(point.dip_causes, between(point.before_v, point.lowest.value))


def kick_shares(point: "PointAnswer", highest_v: Volt) -> "tuple[tuple[CauseShare, Volt], ...]":
    """What each element adds at the highest instant after the release, as shown, the largest first."""
    return _shown(point.kick_causes, between(highest_v, point.before_v))


def _shown(causes: "Sequence[CauseShare]", total: Volt) -> "tuple[tuple[CauseShare, Volt], ...]":
    ordered = sorted(causes, key=lambda one: -abs(one.share_v))
    return tuple(zip(ordered, rounded_to_sum([one.share_v for one in ordered], total), strict=True))

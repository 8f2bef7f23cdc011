"""Whether a load rides through: below its need for longer than its hold-up, judged inside all bands."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from server.boat.parts import AnyPart, Inverter, Load
from server.boat.value import Known, Span, nominal
from server.engine.answer import Band, Verdict
from server.engine.figures import Figures, Level
from server.engine.needs import Need
from server.units import Ratio, Second, Volt

LongestBelow = Callable[[Volt], Second]
"""The longest stretch of an event in which a load's voltage is below some voltage."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a load needs, for how long it rides through less, and what it stands at most."""

    need: Need
    hold_up: Level | None
    hold_up_assumed: bool
    maximum_v: Volt | None
    maximum_source: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict with its reason in a sentence; ``below_need_s`` is 0 where no need is known.

    ``perhaps_below_s`` is the same at the worst end of every band, ``surely_below_s`` at the best.
    """

    verdict: Verdict
    reason: str
    below_need_s: Second
    perhaps_below_s: Second = 0.0
    surely_below_s: Second = 0.0


def limits_of(part: AnyPart, terminal: str, need: Need, own: Figures) -> Limits:
    """The limits of one input: as entered; a hold-up that nobody states is assumed for electronics."""
    hold_up, maximum, source = _stated(part, terminal)
    if hold_up is not None:
        level, assumed = own.given(hold_up, part.id, "hold-up"), False
    elif need.can_restart:
        level, assumed = own.level("electronics_hold_up", part.id), True
    else:
        return Limits(need, None, False, _lowest(maximum), source)
    return Limits(need, level, assumed, _lowest(maximum), source)


def _stated(part: AnyPart, terminal: str) -> tuple[Known | None, Known | None, str]:
    match part:
        case Load():
            one = next(one for one in part.inputs if one.id == terminal)
            source = one.limit_source or "as entered for this load"
            return one.hold_up_s, one.maximum_voltage_v, "" if one.maximum_voltage_v is None else source
        case Inverter():
            return part.hold_up_s, None, ""
        case _:
            return None, None, ""


def _lowest(known: Known | None) -> Volt | None:
    """Of a maximum that is known as a range, its low end: the one that surely holds."""
    if known is None:
        return None
    return known.low if isinstance(known, Span) else nominal(known)


@dataclass(frozen=True, slots=True)
class Drawn:
    """The longest times below a need that the assumptions allow: surely its low end, perhaps its high."""

    surely_s: Second
    perhaps_s: Second


def judged(  # noqa: PLR0913 - each names one thing of the judgement
    longest_below: LongestBelow,
    before_v: Volt,
    lowest: Band,
    limits: Limits,
    *,
    at_best: bool,
    drawn: Drawn | None = None,
    stretch: tuple[Ratio, Ratio] = (1.0, 1.0),
) -> Judgement:
    """Keeps running only where that holds at the worst end of every band, restarts only at the best.

    The band of the lowest voltage is taken over the whole waveform in proportion to the dip: at its low end
    the voltage is below a need while the computed one is below what ``_scaled`` says. ``drawn``, where the
    assumptions were drawn, may only make that less certain. ``stretch`` says how much shorter or longer the
    whole start may last.
    ``at_best`` says that a wire of unknown resistance lies on the way: the voltage may be lower still.
    """
    need, hold_up = limits.need, limits.hold_up
    if need.low_v is None or need.value_v is None or need.high_v is None or hold_up is None:
        reason = (
            "Its lowest voltage is not known."
            if need.can_restart
            else "It has no electronics that could restart."
        )
        return Judgement("limit-not-known", reason, 0.0)
    dip = before_v - lowest.value
    worst_s = longest_below(_scaled(need.high_v, before_v, dip, before_v - lowest.low))
    best_s = longest_below(_scaled(need.low_v, before_v, dip, before_v - lowest.high))
    best_s, worst_s = best_s * stretch[0], worst_s * stretch[1]
    if drawn is not None:
        worst_s, best_s = max(worst_s, drawn.perhaps_s), min(best_s, drawn.surely_s)
    below_s = longest_below(need.value_v)
    if best_s > hold_up.high:
        verdict: Verdict = "restarts"
    elif worst_s <= hold_up.low and not at_best:
        verdict = "keeps-running"
    else:
        verdict = "too-close-to-call"
    between = within_bands(best_s, worst_s) if verdict == "too-close-to-call" else ""
    ridden = _ridden(hold_up, assumed=limits.hold_up_assumed)
    reason = _reason((below_s, worst_s), between, lowest, need, ridden)
    if at_best:
        reason += " A wire of unknown resistance lies on its way: it may be lower still."
    return Judgement(verdict, reason, below_s, worst_s, best_s)


def _scaled(need_v: Volt, before_v: Volt, dip_v: Volt, other_dip_v: Volt) -> Volt:
    """Below this the computed voltage is while one with another depth of dip is below the need.

    v' = before - k (before - v) with k = other dip / dip; v' < need where v < before - (before - need) / k.
    """
    if dip_v <= 0:
        return need_v + other_dip_v - dip_v
    if need_v >= before_v:
        return need_v
    if other_dip_v <= 0:
        return -math.inf
    return before_v - (before_v - need_v) * dip_v / other_dip_v


def within_bands(least_s: Second, most_s: Second) -> str:
    """How short and long a load may be below its need by all bands; empty where they say the same."""
    least, most = duration(least_s), duration(most_s)
    if least == most:
        return ""
    return f" ({least} to {most} by its bands)" if least_s > 0 else f" ({most} at most by its bands)"


def _reason(lasts: tuple[Second, Second], within: str, lowest: Band, need: Need, ridden: str) -> str:
    below_s, worst_s = lasts
    between = "" if need.band is None else f", {need.band.low:.1f} to {need.band.high:.1f} V"
    needs = f"its {need.value_v:.1f} V{f' (assumed{between})' if need.assumed else ''}"
    if below_s > 0:
        lasting = f"for {duration(below_s)}{within} at a stretch"
        return f"Below {needs} {lasting}, at lowest {lowest.value:.1f} V. {ridden}"
    if worst_s > 0:
        return (
            f"At lowest {lowest.value:.1f} V, but {lowest.low:.1f} V is possible: it may be below {needs} "
            f"for up to {duration(worst_s)}. {ridden}"
        )
    return f"Never below {needs}: at lowest {lowest.value:.1f} V, {lowest.low:.1f} V at the worst."


def _ridden(hold_up: Level, *, assumed: bool) -> str:
    rides = f"It rides through {duration(hold_up.value)}"
    if hold_up.low == hold_up.high:
        return f"{rides}."
    span = f"{duration(hold_up.low)} to {duration(hold_up.high)}"
    return f"{rides} ({'assumed, ' if assumed else ''}{span})."


def duration(seconds: Second) -> str:
    """A time in words, to two figures or so.

    >>> duration(0.0123)
    '12 ms'
    """
    if seconds < MILLISECOND:
        return f"{seconds * 1e6:.2g} µs" if seconds < 1e-4 else f"{seconds * 1e6:.0f} µs"  # noqa: PLR2004
    if seconds < SECOND:
        return f"{seconds * 1e3:.1f} ms" if seconds < CENTISECOND else f"{seconds * 1e3:.0f} ms"
    return f"{seconds:.1f} s"


def after_the_press(at_s: Second) -> str:
    """An instant of an event in words.

    >>> after_the_press(0.0123)
    '12 ms after the press'
    """
    return "before the press" if at_s < 0 else f"{duration(at_s)} after the press"


MILLISECOND: Second = 1e-3
CENTISECOND: Second = 1e-2
SECOND: Second = 1.0

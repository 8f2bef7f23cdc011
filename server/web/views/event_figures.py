"""Figures of an event in time as people read them: dips to 0.1 V, spikes to whole volts."""

import math
from typing import TYPE_CHECKING

from server.drawing.chart_axis import duration
from server.web.views.figures import NONE, sag_volts

if TYPE_CHECKING:
    from server.engine.answer import Band
    from server.engine.transient.answer import PointAnswer

A_KICK_V = 0.5
"""What rises less above the steady voltage is no kick worth the word (our own threshold)."""

VERDICT_MARKS = {
    "restarts": "restarts",
    "too-close-to-call": "close",
    "limit-not-known": "unknown",
    "keeps-running": "runs",
}
"""The class of each verdict's mark."""


def kick_volts(value: float, band: "Band | None", steady_v: float) -> str:
    """The highest volts: in whole volts and “about” where they are a spike, whose height nobody knows better.

    >>> kick_volts(12.64, None, 12.6), kick_volts(17.6, None, 12.6)
    ('12.6 V', 'about 18 V')
    >>> from types import SimpleNamespace
    >>> kick_volts(13.9, SimpleNamespace(low=13.2, high=14.7), 12.6)
    'about 13–15 V'
    """
    if value - steady_v < A_KICK_V:
        return sag_volts(value)
    low, high = (value, value) if band is None else (math.floor(band.low), math.ceil(band.high))
    return f"about {low:.0f} V" if round(low) == round(high) else f"about {low:.0f}–{high:.0f} V"


def below_words(point: "PointAnswer") -> str:
    """For how long a load stands below what it needs, against what it rides through."""
    if point.need_v is None:
        return NONE
    if point.below_need_s <= 0:
        return "never"
    if point.hold_up_s is None:
        return duration(point.below_need_s)
    assumed = ", assumed" if point.hold_up_assumed else ""
    return f"{duration(point.below_need_s)} (rides through {duration(point.hold_up_s)}{assumed})"


def falls_words(point: "PointAnswer") -> str:
    """How a load's voltage goes in the event, as a verb; it stays where no tenth of a volt is lost."""
    before, lowest = sag_volts(point.before_v), sag_volts(point.lowest.value)
    return f"stays at {lowest}" if before == lowest else f"falls from {before} to {lowest}"


def margin_words(point: "PointAnswer") -> str:
    """How much of the lowest voltage is to spare, or missing, against the need; empty where it has none."""
    if point.need_v is None:
        return ""
    assumed = " (assumed)" if point.need_assumed else ""
    spare = spare_words(point.lowest.value, point.need_v, "above", "short of")
    return f"{spare} the {sag_volts(point.need_v)} it needs{assumed}"


def spare_words(lowest_v: float, need_v: float, above: str, below: str) -> str:
    """What lies between the figures as they are shown, so that the three agree.

    >>> spare_words(7.28, 9.0, "to spare", "short"), spare_words(9.04, 9.0, "to spare", "short")
    ('1.7 V short', '0.0 V to spare')
    """
    spare_v = round(lowest_v, 1) - round(need_v, 1)
    return f"{sag_volts(abs(spare_v))} {above if lowest_v >= need_v else below}"


def shown_volts(low: float, high: float) -> str:
    """What stands in one column of the chart, to 0.1 V; two figures where it moves within it.

    >>> shown_volts(12.61, 12.63), shown_volts(7.1, 12.6)
    ('12.6', '7.1…12.6')
    """
    one, other = _plain(low, 1), _plain(high, 1)
    return one if one == other else f"{one}…{other}"


def shown_amperes(low: float, high: float) -> str:
    """The same for the heavy current, in whole amperes."""
    one, other = _plain(low, 0), _plain(high, 0)
    return one if one == other else f"{one}…{other}"


def _plain(value: float, digits: int) -> str:
    return f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "−")

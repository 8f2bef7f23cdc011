"""The event strip: an event in time as a chart, a table of extremes, and what lies behind them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions.words import VERDICTS
from server.drawing.chart_axis import duration
from server.web.views.bench import Drawn
from server.web.views.controls import HeadView
from server.web.views.event_chart import PROBE, CursorView, worst_first
from server.web.views.event_demands import DemandView, LinkView
from server.web.views.event_figures import (
    VERDICT_MARKS,
    below_words,
    falls_words,
    kick_volts,
    margin_words,
)
from server.web.views.event_meters import MeterRowView
from server.web.views.event_probes import ProbesView
from server.web.views.event_why import SplitView
from server.web.views.figures import NONE, amperes, band_volts, exact, exact_range, sag_volts
from server.web.views.selected import ExactView
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.engine.answer import AssumedValue
    from server.engine.transient.answer import EventRun, PointAnswer

CAUTION = (
    "A planning aid: measure before a boat is trusted to it. A starter stands about 10 s of cranking, then"
    " needs a minute to cool; cranking without firing can flood a wet exhaust (common practice, no source)."
    " Keep clear of belts, propeller and windlass while somebody presses for a reading."
)


LEFT_OUT = (
    "One draw in 200 at each end is left out: on the peak after a release such a one was seen to lie 0.6 V"
    " further."
)
"""What the bands of an event do not hold (the largest seen on the demo boats; decision 21)."""


@dataclass(frozen=True)
class ExtremesView:
    """One load, or the probes, through the event."""

    id: str
    link_id: str
    url: str
    name: str
    shown: bool
    before: str
    lowest: str
    band: str
    was: str
    when: str
    below: str
    highest: str
    average: str
    verdict: str
    verdict_mark: str
    margin: str


@dataclass(frozen=True)
class StripView:
    """``events/_strip.html``: empty where no event is chosen; ``trouble`` says why there is no chart."""

    on_bench: bool = False
    title: str = ""
    caption: str = ""
    trouble: str = ""
    drawing: Drawn | None = None
    cursor: CursorView | None = None
    probes: ProbesView | None = None
    point: str = ""
    verdict: str = ""
    verdict_mark: str = ""
    told: str = ""
    reason: str = ""
    change: str = ""
    has_earlier: bool = False
    rows: tuple[ExtremesView, ...] = ()
    meters: tuple[MeterRowView, ...] = ()
    meters_words: str = ""
    bands_words: str = ""
    bands_note: str = ""
    bands_url: str = ""
    demands: tuple[DemandView, ...] = ()
    fed_url: str = ""
    links: tuple[LinkView, ...] = ()
    links_words: str = ""
    splits: tuple[SplitView, ...] = ()
    exact: tuple[ExactView, ...] = ()
    assumed: tuple[ExactView, ...] = ()
    happens: tuple[str, ...] = ()
    troubles: tuple[str, ...] = ()
    not_assessed: tuple[str, ...] = ()
    heavies_url: str = ""
    deck_url: str = ""
    picture_action: str = ""
    whole_action: str = ""
    caution: str = CAUTION


@dataclass(frozen=True)
class EventPageView:
    """``events/page.html``: the event in time on a page of its own, for readers without script."""

    title: str
    head: HeadView
    strip: StripView
    back_url: str


def caption(run: "EventRun") -> str:
    """What the heavy load draws and in which conditions, in one sentence."""
    first = amperes(run.inrush_a.value)
    if run.turning is None:
        then = f"{amperes(run.settled_a)} before the release"
    else:
        then = f"{amperes(run.turning.current_a)} on average while it turns"
    told = f"{run.heavy_name} draws up to {first} and {then}"
    return f"{told}; {run.conditions}." if run.conditions else f"{told}."


def extremes(
    run: "EventRun", earlier: "EventRun | None", shown: "PointAnswer", state: ViewState, below: str
) -> tuple[ExtremesView, ...]:
    """Every point through the event, the worst off first; ``below`` is the page that its links lead to."""
    before = {} if earlier is None else {point.key: point for point in earlier.points}
    return tuple(
        _row(point, before.get(point.key), point.key == shown.key, state.selecting(point.key).url(below))
        for point in sorted(run.points, key=worst_first)
    )


def _row(point: "PointAnswer", was: "PointAnswer | None", shown: bool, url: str) -> ExtremesView:
    name = point.key.replace(".", "-")
    return ExtremesView(
        id=f"event-row-{name}",
        link_id=f"event-select-{name}",
        url="" if "." not in point.key else url,
        name=point.name,
        shown=shown,
        before=sag_volts(point.before_v),
        lowest=sag_volts(point.lowest.value),
        band="" if point.lowest_band is None else band_volts(point.lowest_band),
        was=NONE if was is None else sag_volts(was.lowest.value),
        when=_when(point.lowest.at_s),
        below=below_words(point),
        highest=kick_volts(point.highest.value, point.highest_band, point.before_v),
        average=sag_volts(point.average_v),
        verdict="" if point.key == PROBE else VERDICTS[point.verdict],
        verdict_mark=VERDICT_MARKS[point.verdict],
        margin=margin_words(point),
    )


def _when(at_s: float) -> str:
    """When a value stood, counted from the first press."""
    if at_s < 0:
        return "before the press"
    return "at the press" if at_s < 1e-6 else f"{duration(at_s)} after the press"  # noqa: PLR2004 - the shortest time shown


def point_words(point: "PointAnswer") -> str:
    """How low the shown point falls, against what it needs, in words."""
    lowest, highest = sag_volts(point.lowest.value), sag_volts(point.highest.value)
    if point.key == PROBE:
        return f"reads {sag_volts(point.before_v)} before the press, then {lowest} to {highest}."
    margin = margin_words(point)
    return f"{falls_words(point)}{': ' if margin else ''}{margin}."


def change_words(shown: "PointAnswer", earlier: "EventRun | None") -> str:
    """What the last change did to the shown point, in one sentence."""
    was = None if earlier is None else next((one for one in earlier.points if one.key == shown.key), None)
    if was is None:
        return ""
    return (
        f"{shown.name} before the change: lowest {sag_volts(was.lowest.value)}, {VERDICTS[was.verdict]};"
        f" now: lowest {sag_volts(shown.lowest.value)}, {VERDICTS[shown.verdict]}."
    )


def bands_words(point: "PointAnswer", others: "Sequence[PointAnswer]" = ()) -> str:
    """Where the bands come from, and which assumption widens the shown one most.

    A shown point may have none while others have theirs: what is read between two probes.
    """
    if point.band_basis == "none":
        banded = next((one for one in others if one.band_basis != "none"), None)
        if banded is None:
            return "No bands: what the assumptions may change is not worked out here."
        has = "the probes have" if point.key == PROBE else f"{point.name} has"
        return f"{bands_words(replace(banded, matters_most=None))} They are the loads': {has} none."
    if point.band_basis == "first-instant":
        return "The bands are those of the first instant of the steady network, taken over."
    most = f"; for {point.name} “{point.matters_most}” matters most" if point.matters_most else ""
    return f"The bands were drawn over all assumptions{most}."


def exact_figures(point: "PointAnswer") -> tuple[ExactView, ...]:
    """Every figure of a point with its digits, for “how got”."""
    figures = [
        ("Before the press", point.before_v, "V"),
        ("Lowest", point.lowest.value, "V"),
        ("at", point.lowest.at_s, "s"),
        ("Highest", point.highest.value, "V"),
        ("at", point.highest.at_s, "s"),
        ("Average over the event", point.average_v, "V"),
        ("Longest below its need", point.below_need_s, "s"),
    ]
    got = [ExactView(name, exact(value, unit)) for name, value, unit in figures]
    got += [ExactView(name, value) for name, value in _stated(point)]
    return tuple(got)


def _stated(point: "PointAnswer") -> Iterator[tuple[str, str]]:
    """What the verdict is judged against, with where it comes from."""
    if point.need_v is not None:
        assumed = ", assumed" if point.need_assumed else ""
        yield "Needs at least", f"{exact(point.need_v, 'V')}{assumed} ({point.need_source})"
    if point.hold_up_s is not None:
        assumed = ", assumed" if point.hold_up_assumed else ""
        yield "Rides through", f"{exact(point.hold_up_s, 's')}{assumed}"
    if point.maximum_v is not None:
        yield "Bears at most", f"{exact(point.maximum_v, 'V')} ({point.maximum_source})"


def assumed_figures(assumed: "Sequence[AssumedValue]") -> tuple[ExactView, ...]:
    """What the event was worked out with: value, range, source."""
    return tuple(
        ExactView(
            one.title,
            f"{exact_range(one.value, one.low, one.high, one.unit)}, {one.source}",
        )
        for one in assumed
    )

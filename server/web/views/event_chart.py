"""The chart of an event: which loads are drawn in it, and their values at the cursor."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.drawing.chart import (
    COLUMNS,
    LEFT,
    RIGHT,
    Chart,
    Curve,
    DrawnChart,
    Limit,
    Point,
    Role,
    event_chart,
)
from server.drawing.chart_axis import TimeAxis, time_axis
from server.drawing.chart_columns import value_at
from server.web.views.event_figures import A_KICK_V, falls_words, kick_volts, shown_amperes, shown_volts
from server.web.views.figures import amperes, sag_volts

if TYPE_CHECKING:
    from server.engine.transient.answer import EventRun, PointAnswer

HEAVY_CURRENT = "heavy-current"
PROBE = "probe"
DRAWN_AS: tuple[Role, ...] = ("chosen", "second", "third")
BADNESS = {"restarts": 0, "too-close-to-call": 1, "limit-not-known": 2, "keeps-running": 3}


@dataclass(frozen=True)
class ReadoutView:
    """One curve's value at the cursor; ``values`` has one for each column, for the script."""

    id: str
    role: str
    name: str
    value: str
    values: str
    unit: str


@dataclass(frozen=True)
class CursorView:
    """The cursor: where it stands, and what it reads there; ``times`` has one text for each column."""

    at: int
    last: int
    left: str
    time: str
    times: str
    readouts: tuple[ReadoutView, ...]


def worst_first(point: "PointAnswer") -> tuple[int, float, str]:
    """An order that puts the worst-off point first; what has nothing that could restart comes last."""
    spare = point.lowest.value - (point.need_v or 0.0)
    return (len(BADNESS) if point.need_v is None else BADNESS[point.verdict], spare, point.name)


def shown_point(run: "EventRun", heavy: str, selected: str | None) -> "PointAnswer | None":
    """The point that the page speaks of: the probes, else the selected load, else the worst-hit one.

    ``heavy`` is the key of the heavy load, which counts only where it is selected itself.
    """
    keys = {point.key: point for point in run.points}
    if PROBE in keys:
        return keys[PROBE]
    chosen = [point for point in run.points if selected in {point.key, point.key.partition(".")[0]}]
    others = [point for point in run.points if point.key != heavy]
    return min(chosen or others, key=worst_first, default=None)


def drawn_points(run: "EventRun", heavy: str, shown: "PointAnswer") -> "tuple[PointAnswer, ...]":
    """The shown point, then those that are worst hit; probes stand alone, for theirs is another scale."""
    if shown.key == PROBE:
        return (shown,)
    others = [point for point in run.points if point.key not in {heavy, shown.key}]
    return (shown, *sorted(others, key=worst_first)[: len(DRAWN_AS) - 1])


def chart_of(
    run: "EventRun",
    points: "Sequence[PointAnswer]",
    earlier: "EventRun | None",
    metered: Sequence[Limit] = (),
    overlaid: Curve | None = None,
) -> Chart:
    """The chart of these points, the first of them also as it was before the change.

    ``metered`` are levels that an instrument would show, ``overlaid`` is a test wave beside the curves.
    """
    waves = {wave.key: wave for wave in run.waveforms}
    curves = [
        Curve(role, point.name, f"lowest {sag_volts(point.lowest.value)}", waves[point.key])
        for role, point in zip(DRAWN_AS, points, strict=False)
    ]
    before = None if earlier is None else _before(earlier, points[0].key)
    current = waves[HEAVY_CURRENT]
    told = f"peak {amperes(run.inrush_a.value)}"
    return Chart(
        title=_title(run, points),
        phases=run.phases,
        volts=(*curves, *(one for one in (before, overlaid) if one is not None)),
        current=Curve("current", run.heavy_name, told, current),
        limits=(*limits_drawn(points), *metered),
        points=named_places(points[0]),
    )


def draw(chart: Chart, at: int | None, at_s: float | None) -> tuple[DrawnChart, CursorView]:
    """The chart with its cursor: at an instant, else in a column, else when the first curve is lowest."""
    if at is None or at_s is not None:
        at_s = chart.points[0].at.at_s if at_s is None else at_s
        at = int(time_axis(chart.phases, LEFT, RIGHT).x(at_s) - LEFT)
    column = min(at, COLUMNS - 1)
    drawn = event_chart(chart, column)
    return drawn, _cursor(chart, drawn, column, at_s)


def column_axis(run: "EventRun") -> TimeAxis:
    """The time axis of an event's chart."""
    return time_axis(run.phases, LEFT, RIGHT)


def column_time(axis: TimeAxis, column: int) -> float:
    """The instant at the middle of a column of the chart, in seconds from the first press."""
    return axis.time_s(LEFT + min(column, COLUMNS - 1) + 0.5)


def _cursor(chart: Chart, drawn: DrawnChart, at: int, at_s: float | None) -> CursorView:
    times = [drawn.axis.told(column_time(drawn.axis, number)) for number in range(COLUMNS)]
    curves = (*chart.volts, chart.current)
    time = times[at] if at_s is None else drawn.axis.told(at_s)
    readouts = []
    for curve, found in zip(curves, drawn.columns, strict=True):
        show = shown_amperes if curve.role == "current" else shown_volts
        values = [
            show(low, high) for low, high in zip(found.lowest.tolist(), found.highest.tolist(), strict=True)
        ]
        value = values[at]
        if at_s is not None:
            exact = value_at(curve.waveform, at_s)
            value = show(exact, exact)
        unit = "A" if curve.role == "current" else "V"
        name = f"{curve.name}, current" if curve.role == "current" else curve.name
        readouts.append(
            ReadoutView(f"event-read-{curve.role}", curve.role, name, value, " ".join(values), unit)
        )
    return CursorView(at, COLUMNS - 1, f"{LEFT:g}", time, "|".join(times), tuple(readouts))


def _before(earlier: "EventRun", key: str) -> Curve | None:
    wave = next((wave for wave in earlier.waveforms if wave.key == key), None)
    point = next((point for point in earlier.points if point.key == key), None)
    if wave is None or point is None:
        return None
    return Curve("earlier", "before the change", f"lowest {sag_volts(point.lowest.value)}", wave)


def _title(run: "EventRun", points: "Sequence[PointAnswer]") -> str:
    falls = [f"{one.name} {falls_words(one)}" for one in points]
    return f"{run.name} in time: {'; '.join(falls)}. The table of extremes below has every load."


def limits_drawn(points: "Sequence[PointAnswer]") -> tuple[Limit, ...]:
    """What the drawn loads need and bear, loads with the same limit together."""
    needs: dict[str, tuple[float, list[str]]] = {}
    most: dict[str, tuple[float, list[str]]] = {}
    for point in points:
        if point.need_v is not None:
            assumed = " (assumed)" if point.need_assumed else ""
            words = f"{sag_volts(point.need_v)}{assumed}"
            needs.setdefault(words, (point.need_v, []))[1].append(point.name)
        if point.maximum_v is not None:
            most.setdefault(sag_volts(point.maximum_v), (point.maximum_v, []))[1].append(point.name)
    return (
        *(
            Limit(volts, f"{_names(names)} need{'s' * (len(names) == 1)} {words}", "need")
            for words, (volts, names) in needs.items()
        ),
        *(
            Limit(volts, f"{_names(names)}: {words} at most", "maximum")
            for words, (volts, names) in most.items()
        ),
    )


def _names(names: "Sequence[str]") -> str:
    return names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more"


def named_places(point: "PointAnswer") -> tuple[Point, ...]:
    """The lowest place of the shown curve, and its spike where there is one."""
    lowest = Point(point.lowest, sag_volts(point.lowest.value))
    high = point.release_highest
    if high is None or high.value - point.before_v < A_KICK_V:
        return (lowest,)
    return (lowest, Point(high, kick_volts(high.value, None, point.before_v)))

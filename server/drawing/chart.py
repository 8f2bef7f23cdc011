"""The chart of an event: volts of some loads over the heavy current, from the press to after the release."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal
from xml.etree.ElementTree import Element

from server.drawing.chart_axis import TimeAxis, time_axis
from server.drawing.chart_columns import Columns, columns, path_data
from server.drawing.chart_crossed import Crossed
from server.drawing.chart_labels import SIZE, Words, first_free, spread
from server.drawing.chart_scale import Scale, scale
from server.drawing.labels import Occupied
from server.drawing.measures import Box, clipped, wrapped
from server.drawing.svg import Svg, add, finished, root

if TYPE_CHECKING:
    from server.engine.transient.answer import Instant, Phase, Waveform

WIDTH = 780.0
LEFT, RIGHT = 66.0, 570.0
COLUMNS = int(RIGHT - LEFT)
"""One column for each pixel at the nominal scale."""

_TOP, _BOTTOM = 34.0, 304.0
_AMPERE_TOP, _AMPERE_BOTTOM = 338.0, 420.0
HEIGHT = 470.0
_LINE = 18.0
_NAME_ROOM = WIDTH - RIGHT - 58.0

Role = Literal["chosen", "second", "third", "fourth", "earlier", "current"]
_DASHES: dict[Role, str] = {
    "chosen": "",
    "second": "9 4",
    "third": "2 4",
    "fourth": "12 4 2 4",
    "earlier": "6 6",
    "current": "",
}


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A waveform with its name, a second line of words, and how it is drawn."""

    role: Role
    name: str
    words: str
    waveform: "Waveform"


@dataclass(frozen=True, slots=True)
class Limit:
    """A level that matters, in words: volts, or amperes of the heavy current where the unit says so."""

    level: float
    words: str
    kind: Literal["need", "maximum", "meter"]
    unit: Literal["V", "A"] = "V"


@dataclass(frozen=True, slots=True)
class Point:
    """A place on a curve that is named."""

    at: "Instant"
    words: str


@dataclass(frozen=True, slots=True)
class Chart:
    """What the chart shows, before it is drawn."""

    title: str
    phases: "tuple[Phase, ...]"
    volts: tuple[Curve, ...]
    current: Curve
    limits: tuple[Limit, ...]
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True, eq=False)
class DrawnChart:
    """The drawing, its time axis, and each curve's extremes column by column."""

    svg: Svg
    axis: TimeAxis
    columns: tuple[Columns, ...]


def event_chart(chart: Chart, cursor: int) -> DrawnChart:
    """Draw a chart with its cursor in one of the columns."""
    axis = time_axis(chart.phases, LEFT, RIGHT)
    borders_s = axis.column_times_s(COLUMNS)
    of_volts = [columns(curve.waveform, borders_s) for curve in chart.volts]
    of_current = columns(chart.current.waveform, borders_s)
    svg = root(WIDTH, HEIGHT, id="event-chart", class_="event-chart", role="img", aria_label=chart.title)
    occupied = Occupied()
    volts = _volt_scale(chart, of_volts)
    amperes = scale((0.0, *_ends(of_current)), _AMPERE_TOP, _AMPERE_BOTTOM, 2)
    _zones(svg, axis, occupied)
    _value_marks(svg, volts, "V", occupied)
    _value_marks(svg, amperes, "A", occupied)
    _time_marks(svg, axis, occupied)
    add(svg, "line", x1=LEFT, x2=RIGHT, y1=_BOTTOM, y2=_BOTTOM, class_="chart-edge")
    shown = [
        (limit, values)
        for limit in sorted(chart.limits, key=lambda one: -one.level)
        if (values := amperes if limit.unit == "A" else volts).low <= limit.level <= values.high
    ]
    for limit, values in shown:
        _limit_line(svg, values, limit, occupied)
    _curves(svg, volts, chart.volts, of_volts)
    _curves(svg, amperes, (chart.current,), [of_current])
    crossed = Crossed(LEFT, [(amperes, of_current), *((volts, one) for one in of_volts)])
    _point_words(svg, chart.points, axis, volts, occupied, crossed)
    for limit, values in shown:
        _limit_words(svg, values, limit, occupied, crossed)
    x = LEFT + cursor + 0.5
    add(svg, "line", x1=x, x2=x, y1=_TOP, y2=_AMPERE_BOTTOM, class_="chart-cursor", stroke_width=2.0)
    return DrawnChart(finished(svg, WIDTH, HEIGHT), axis, (*of_volts, of_current))


def _ends(found: Columns) -> tuple[float, float]:
    return float(found.lowest.min()), float(found.highest.max())


def _volt_scale(chart: Chart, found: Sequence[Columns]) -> Scale:
    """Room for every curve, and for limits that are no farther away than half of what the curves span."""
    ends = [value for one in found for value in _ends(one)]
    room = max((max(ends) - min(ends)) / 2, 1.0)
    levels = [limit.level for limit in chart.limits if limit.unit == "V"]
    near = [level for level in levels if min(ends) - room <= level <= max(ends) + room]
    return scale((*ends, *near), _TOP, _BOTTOM, 6)


def _zones(svg: Element, axis: TimeAxis, occupied: Occupied) -> None:
    """The phases, named along the top, with a line at each border."""
    for zone in axis.zones:
        add(svg, "line", x1=zone.left, x2=zone.left, y1=_TOP - 26, y2=_AMPERE_BOTTOM, class_="chart-edge")
        room = Box(zone.left, 0, zone.right - zone.left + (0 if zone is not axis.zones[-1] else 170), _TOP)
        words = Words(zone.left + 4, _TOP - 13, clipped(zone.name, room.width - 4))
        if words.box.right <= room.right:
            _text(svg, words, "phase")
            occupied.add(words.box)
    add(svg, "line", x1=RIGHT, x2=RIGHT, y1=_TOP, y2=_AMPERE_BOTTOM, class_="chart-edge")


def _time_marks(svg: Element, axis: TimeAxis, occupied: Occupied) -> None:
    """Marks of time; words only where there is room, and under them what they count from."""
    bottom = _AMPERE_BOTTOM
    within = Box(0, bottom, WIDTH, HEIGHT - bottom)
    for tick in axis.ticks():
        add(svg, "line", x1=tick.x, x2=tick.x, y1=_TOP, y2=bottom, class_="chart-grid")
    for tick in sorted(axis.ticks(), key=lambda one: len(one.text)):
        add(svg, "line", x1=tick.x, x2=tick.x, y1=bottom, y2=bottom + 5, class_="chart-edge")
        found = first_free(occupied, within, (Words(tick.x, bottom + 20, tick.text, "middle"),))
        if found is not None:
            _text(svg, found, "tick")
    for zone in axis.zones:
        if zone.after:
            found = first_free(occupied, within, (Words(zone.left, bottom + 40, zone.after),))
            if found is not None:
                _text(svg, found, "tick")


def _value_marks(svg: Element, values: Scale, unit: str, occupied: Occupied) -> None:
    ticks = values.ticks()
    for value in ticks:
        y = values.y(value)
        add(svg, "line", x1=LEFT, x2=RIGHT, y1=y, y2=y, class_="chart-grid")
    every = 1 if (values.bottom - values.top) / max(len(ticks) - 1, 1) >= SIZE * 1.3 else 2
    for value in ticks[::every]:
        words = Words(LEFT - 6, values.y(value) + 5, f"{values.shown(value)} {unit}", "end")
        _text(svg, words, "tick")
        occupied.add(words.box)


def _limit_line(svg: Element, values: Scale, limit: Limit, occupied: Occupied) -> None:
    y = values.y(limit.level)
    occupied.add(Box(LEFT, y - 1.5, RIGHT - LEFT, 3))
    dashes = "3 3" if limit.kind == "meter" else "16 4"
    kind = f"chart-limit {limit.kind}"
    add(svg, "line", x1=LEFT, x2=RIGHT, y1=y, y2=y, class_=kind, stroke_dasharray=dashes)


def _curves(svg: Element, values: Scale, curves: Sequence[Curve], found: Sequence[Columns]) -> None:
    """The curves with their names to the right, each led to its own; the first lies on top."""
    names = [wrapped(curve.name, _NAME_ROOM, 2) for curve in curves]
    gap = (max(len(lines) for lines in names) + 1.3) * _LINE
    ends = [values.y(float(one.last[-1])) for one in found]
    places = spread(ends, gap, values.top + 8, values.bottom + 26 - gap)
    for curve, one, lines, end, y in reversed(list(zip(curves, found, names, ends, places, strict=True))):
        style = {"class_": f"chart-curve {curve.role}", "fill": "none"}
        if _DASHES[curve.role]:
            style["stroke_dasharray"] = _DASHES[curve.role]
        width = 3.0 if curve.role == "chosen" else 2.0
        group = add(svg, "g", data_key=curve.waveform.key, data_role=curve.role)
        add(group, "path", d=path_data(one, values, LEFT), stroke_width=width, **style)
        leader = f"M{RIGHT:g} {end:.1f}L{RIGHT + 10:g} {y:.1f}H{RIGHT + 38:g}"
        add(group, "path", d=leader, stroke_width=width, **style)
        for number, line in enumerate(lines):
            _text(group, Words(RIGHT + 44, y + 5 + number * _LINE, line), "curve-name", curve.name)
        told = Words(RIGHT + 44, y + 5 + len(lines) * _LINE, clipped(curve.words, _NAME_ROOM))
        _text(group, told, "curve-words")


def _point_words(  # noqa: PLR0913, PLR0917 - what is drawn, and where there is room
    svg: Element,
    points: Sequence[Point],
    axis: TimeAxis,
    volts: Scale,
    occupied: Occupied,
    crossed: Crossed,
) -> None:
    """The named places, ringed, with their words where there is room."""
    for point in points:
        x, y = axis.x(point.at.at_s), volts.y(point.at.value)
        add(svg, "circle", cx=x, cy=y, r=6.0, class_="chart-point", fill="none", stroke_width=2.0)
        beside = [
            (Words(x + 12, y + dy, point.words), Words(x - 12, y + dy, point.words, "end"))
            for dy in (24.0, -12.0, 5.0, 42.0, -30.0)
        ]
        places = [words for pair in beside for words in pair]
        found = first_free(occupied, _inside(volts), sorted(places, key=crossed.times))
        if found is not None:
            _text(svg, found, "point-words")


def _limit_words(svg: Element, values: Scale, limit: Limit, occupied: Occupied, crossed: Crossed) -> None:
    """A limit's words above or below its line, where there is room."""
    y = values.y(limit.level)
    ends = [
        words
        for at in (y - 7, y + 18)
        for words in (Words(RIGHT - 6, at, limit.words, "end"), Words(LEFT + 6, at, limit.words))
    ]
    between = [
        Words(LEFT + 6 + 24 * step, at, limit.words)
        for step in range(1, int((RIGHT - LEFT) / 24))
        for at in (y - 7, y + 18)
    ]
    found = first_free(occupied, _inside(values), sorted((*ends, *between), key=crossed.times))
    if found is not None:
        _text(svg, found, f"limit-words {limit.kind}")


def _inside(values: Scale) -> Box:
    return Box(LEFT, values.top, RIGHT - LEFT, values.bottom - values.top)


def _text(parent: Element, words: Words, kind: str, title: str = "") -> None:
    text = add(
        parent,
        "text",
        words.text,
        x=words.x,
        y=words.y,
        class_=f"chart-{kind}",
        text_anchor=words.anchor,
        font_size=SIZE,
    )
    if title and title != words.text:
        text.text = None
        add(text, "title", title).tail = words.text

"""The chart of an event: what a person must be able to see in it."""

import re
from dataclasses import replace
from itertools import combinations, pairwise
from xml.etree.ElementTree import Element

import numpy as np
import pytest

from server.drawing.chart import COLUMNS, LEFT, RIGHT, Chart, Curve, Limit, Point, event_chart
from server.drawing.chart_axis import time_axis
from server.drawing.chart_columns import columns, path_data
from server.drawing.chart_labels import spread
from server.drawing.chart_scale import Scale, scale
from server.engine.transient.answer import Phase, Waveform
from tests.drawing.event_runs import PHASES, amperes, run, volts
from tests.drawing.pictures import parsed, texts

LIMITS = (
    Limit(9.0, "Autopilot, Plotter need 9.0 V", "need"),
    Limit(9.2, "Radio needs 9.2 V (assumed)", "need"),
    Limit(16.0, "Autopilot: 16 V at most", "maximum"),
    Limit(210.0, "clamp shows 210 A", "meter", "A"),
)
ROLES = ("chosen", "second", "third", "fourth")
CURRENT = Curve("current", "Starter motor", "peak 400 A", amperes())
NAMES = ("Autopilot", "Plotter with a very long name indeed", "Lamp", "</text><script>")


def chart(
    ohms: tuple[float, ...] = (0.01, 0.005, 0.002, 0.0021), limits: tuple[Limit, ...] = LIMITS
) -> Chart:
    curves = tuple(
        Curve(role, name, "lowest 8.6 V", volts(f"{name}.supply", name, ohm))  # type: ignore[arg-type]
        for role, name, ohm in zip(ROLES, NAMES, ohms, strict=False)
    )
    first = run().points[0]
    points = (
        Point(first.lowest, "lowest 8.6 V"),
        *(Point(at, "about 18 V") for at in (first.release_highest,) if at),
    )
    earlier = Curve("earlier", "before the change", "lowest 7.8 V", volts("earlier", "", 0.012))
    return Chart("Engine start in time", PHASES, (*curves, earlier), CURRENT, limits, points)


def test_a_dip_of_one_sample_is_drawn_to_its_depth() -> None:
    """A microsecond at 4 V within an event of three seconds."""
    at = np.array([-0.05, 0.5, 0.5000005, 0.500001, 3.0])
    dip = Waveform("dip", "Dip", "V", at, np.array([12.6, 12.6, 4.0, 12.6, 12.6]))
    drawn = event_chart(Chart("", PHASES, (Curve("chosen", "Dip", "", dip),), CURRENT, (), ()), 0)

    assert drawn.columns[0].lowest.min() == 4.0
    assert int((drawn.columns[0].lowest < 12).sum()) == 1
    path = _paths(drawn.svg, "dip")[0]
    lowest = max(_heights(path))
    assert lowest == pytest.approx(_tick_height(parsed(drawn.svg), "4 V"), abs=0.6)


def test_columns_take_the_extremes_of_straight_lines_and_of_every_sample() -> None:
    at = np.array([0.0, 1.0, 1.0, 2.0, 2.25, 3.0])
    found = columns(
        Waveform("w", "", "V", at, np.array([0.0, 4.0, 10.0, 10.0, -1.0, 10.0])), [0, 0.5, 1, 2, 3]
    )

    assert found.lowest.tolist() == [0.0, 2.0, 10.0, -1.0]
    assert found.highest.tolist() == [2.0, 4.0, 10.0, 10.0]


def test_a_spike_of_one_sample_at_a_border_belongs_to_the_column_it_begins() -> None:
    at = np.array([0.0, 1.0, 1.0, 1.0, 2.0])
    found = columns(Waveform("w", "", "V", at, np.array([1.0, 1.0, 9.0, 2.0, 2.0])), [0, 1, 2])

    assert found.highest.tolist() == [1.0, 9.0]
    assert found.lowest.tolist() == [1.0, 2.0]


def test_a_path_goes_by_way_of_the_extremes_of_each_column_and_skips_level_ones() -> None:
    at = np.array([0.0, 2.0, 2.25, 2.5, 3.0, 4.0, 4.0, 5.0])
    wave = Waveform("w", "", "V", at, np.array([10.0, 10.0, 5.0, 20.0, 10.0, 12.0, 15.0, 15.0]))
    upright = Scale(0.0, 100.0, -100.0, 0.0, 10.0)

    path = path_data(columns(wave, [0, 1, 2, 3, 4, 5]), upright, 0)

    assert path == "M0 -10L2 -10L2.5 -20L2.5 -5L3 -10L4 -12L4 -15L5 -15"


def test_limits_lie_at_their_height_with_words() -> None:
    drawn = event_chart(chart(), 0).svg
    whole = parsed(drawn)
    lines = [float(line.attrib["y1"]) for line in whole.iter("line") if "chart-limit" in line.attrib["class"]]
    ten, sixteen, none, most = (_tick_height(whole, text) for text in ("10 V", "16 V", "0 A", "400 A"))
    per_volt = (ten - sixteen) / 6

    clamped = none - 210 / 400 * (none - most)
    assert lines == pytest.approx([clamped, sixteen, ten + 0.8 * per_volt, ten + per_volt], abs=0.2)
    said = {one.text for one in texts(drawn)}
    assert {limit.words for limit in LIMITS} <= said


def test_a_limit_far_away_does_not_flatten_the_curves() -> None:
    near, far = (
        event_chart(chart(limits=limits), 0).svg for limits in ((), (Limit(60.0, "far", "maximum"),))
    )

    assert _paths(near, "Autopilot.supply") == _paths(far, "Autopilot.supply")


@pytest.mark.parametrize("ohms", [(0.01, 0.005, 0.002, 0.0021), (0.01, 0.01, 0.01, 0.01), (0.001,)])
def test_no_text_overlaps_another_or_leaves_the_chart(ohms: tuple[float, ...]) -> None:
    drawn = event_chart(chart(ohms), 100).svg
    boxes = texts(drawn)

    for one, other in combinations(boxes, 2):
        assert not one.overlaps(other), (one, other)
    assert all(box.left >= 0 and box.right <= drawn.width and box.bottom <= drawn.height for box in boxes)


def test_words_of_limits_keep_off_the_curves_where_there_is_room() -> None:
    """A curve that passes the need at the right end, where the words stand otherwise."""
    at = np.array(time_axis(PHASES, LEFT, RIGHT).column_times_s(COLUMNS))
    steps = np.interp(np.arange(len(at)), [0, 440, 480, 504], [8.0, 8.0, 10.0, 10.0])
    rising = Waveform("rising", "Rising", "V", at, steps)
    need = Limit(9.0, "needs 9.0 V", "need")
    drawn = event_chart(Chart("", PHASES, (Curve("chosen", "Rising", "", rising),), CURRENT, (need,), ()), 0)

    said = next(one for one in texts(drawn.svg) if one.text == "needs 9.0 V")
    numbers = [float(one) for one in re.findall(r"[0-9.]+", _paths(drawn.svg, "rising")[0])]
    path = list(zip(numbers[::2], numbers[1::2], strict=True))
    assert not [(x, y) for x, y in path if said.left <= x <= said.right and said.top <= y <= said.bottom]


def test_every_phase_is_named_along_the_axis() -> None:
    said = [one.text for one in texts(event_chart(chart(), 0).svg)]

    assert {"before", "start", "run", "release and after", "after the press", "after the release"} <= set(
        said
    )


def test_an_event_of_many_steps_stays_readable() -> None:
    """Forty presses and releases within two seconds, then a thousand: names give way, nothing overlaps."""
    for count in (40, 1000):
        steps = np.linspace(0.0, 2.0, count + 1)
        phases = tuple(
            Phase("start" if number % 2 else "run", float(start), float(end))
            for number, (start, end) in enumerate(pairwise(steps))
        )
        drawn = event_chart(replace(chart(), phases=phases), 3).svg

        for one, other in combinations(texts(drawn), 2):
            assert not one.overlaps(other), (one, other)


def test_curves_differ_by_more_than_colour() -> None:
    """Each has its own dashes or thickness, and its name beside its end."""
    groups = [
        one for one in parsed(event_chart(chart(), 0).svg).iter("g") if one.get("data-role") != "current"
    ]
    looks = {(g[0].get("stroke-dasharray"), g[0].get("stroke-width")) for g in groups}

    assert len(looks) == len(groups) == 5
    assert all(any(child.tag == "text" for child in group) for group in groups)


def test_the_cursor_stands_in_its_column() -> None:
    whole = parsed(event_chart(chart(), 200).svg)
    line = next(one for one in whole.iter("line") if one.attrib["class"] == "chart-cursor")

    assert float(line.attrib["x1"]) == LEFT + 200.5
    assert COLUMNS > 400


def test_markup_carries_no_style_and_no_foreign_markup() -> None:
    markup = event_chart(chart(), 0).svg.markup

    assert "style=" not in markup
    assert "<script" not in markup


def test_a_flat_line_has_a_scale_too() -> None:
    flat = scale([12.0, 12.0], 0, 100, 4)

    assert flat.low < 12.0 < flat.high


def test_small_steps_show_their_digits_and_zero_is_plain() -> None:
    fine = scale([-0.4, 0.4], 0, 100, 4)

    assert [fine.shown(value) for value in fine.ticks()] == ["−0.4", "−0.2", "0", "0.2", "0.4"]


def test_names_are_spread_from_below_where_the_room_ends() -> None:
    assert spread([95, 96, 97], 20, 0, 100) == [60, 80, 100]
    assert spread([0, 0, 0], 60, 0, 100) == [0, 60, 120]


def _paths(svg: object, key: str) -> list[str]:
    whole = parsed(svg)  # type: ignore[arg-type]
    group = next(one for one in whole.iter("g") if one.get("data-key") == key)
    return [one.attrib["d"] for one in group.iter("path")]


def _heights(path: str) -> list[float]:
    return [float(found) for found in re.findall(r"[ML][\d.]+ ([\d.]+)", path)]


def _tick_height(whole: Element, words: str) -> float:
    """The height of a mark's own line: its text stands 5 below."""
    return next(float(one.attrib["y"]) for one in whole.iter("text") if one.text == words) - 5

"""Waveforms column by column: the lowest and the highest of each, so that a dip of one sample shows."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from server.drawing.chart_scale import Scale
from server.drawing.svg import number as number_text

if TYPE_CHECKING:
    from server.engine.arrays import Floats
    from server.engine.transient.answer import Waveform


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """A waveform's values at each column's left and right border, and the extremes within the column."""

    first: "Floats"
    last: "Floats"
    lowest: "Floats"
    highest: "Floats"


def columns(waveform: "Waveform", borders_s: Sequence[float]) -> Columns:
    """The extremes of a waveform in each column, straight lines between its values.

    A column reaches from its left border to just before its right one. At an edge, which is two values at
    one instant, the column before takes the value before. Outside of its times a waveform keeps its ends.
    """
    import numpy as np

    at, value = waveform.time_s, waveform.values
    borders = np.asarray(borders_s)
    first = np.interp(borders[:-1], at, value)
    last = np.interp(-borders[1:], -at[::-1], value[::-1])
    begin = np.searchsorted(at, borders[:-1], side="left")
    end = np.searchsorted(at, borders[1:], side="left")
    inside = begin + ((begin < end) & (at[np.minimum(begin, len(at) - 1)] == borders[:-1]))
    pairs = np.column_stack((inside, end)).ravel()
    low = np.minimum.reduceat(np.append(value, np.inf), pairs)[::2]
    high = np.maximum.reduceat(np.append(value, -np.inf), pairs)[::2]
    empty = inside >= end
    low[empty], high[empty] = np.inf, -np.inf
    return Columns(
        first=first,
        last=last,
        lowest=np.minimum(low, np.minimum(first, last)),
        highest=np.maximum(high, np.maximum(first, last)),
    )


def value_at(waveform: "Waveform", at_s: float) -> float:
    """The value at an instant; at an edge the later one."""
    import numpy as np

    return float(np.interp(at_s, waveform.time_s, waveform.values))


def path_data(found: Columns, scale: Scale, left: float) -> str:
    """An SVG path from border to border, one pixel a column, by way of each extreme that lies beyond both.

    Level stretches are left to one line.
    """
    points: list[tuple[float, float]] = []
    rows = zip(
        *(values.tolist() for values in (found.first, found.last, found.lowest, found.highest)), strict=True
    )
    for number, row in enumerate(rows):
        start, end, bottom, top = (round(scale.y(value), 1) for value in row)
        beyond = [y for y in (top, bottom) if not min(start, end) <= y <= max(start, end)]
        x = left + number
        points += [(x, start), *((x + 0.5, y) for y in beyond), (x + 1, end)]
    once = [point for point, _ in groupby(points)]
    kept = [
        point
        for point, before, after in zip(once, [None, *once], [*once[1:], None], strict=False)
        if not (before and after and before[1] == point[1] == after[1])
    ]
    return "M" + "L".join(f"{number_text(x)} {number_text(y)}" for x, y in kept)

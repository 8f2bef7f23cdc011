"""Waveforms column by column: the lowest and the highest of each, so that a dip of one sample shows."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from server.engine.arrays import Floats
    from server.engine.transient.answer import Waveform

_FLAT = 0.05
"""Heights that differ by less are the same on any screen."""


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """The lowest and the highest value that a waveform takes in each column."""

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
        lowest=np.minimum(low, np.minimum(first, last)), highest=np.maximum(high, np.maximum(first, last))
    )


def value_at(waveform: "Waveform", at_s: float) -> float:
    """The value at an instant; at an edge the later one."""
    import numpy as np

    return float(np.interp(at_s, waveform.time_s, waveform.values))


def path_data(tops: Sequence[float], bottoms: Sequence[float], left: float, width: float) -> str:
    """An SVG path through each column's highest and lowest place, the nearer end of each column first.

    Level stretches are left to one line.
    """
    out: list[str] = []
    pen: float | None = None
    level = False
    for number, (top, bottom) in enumerate(zip(tops, bottoms, strict=True)):
        x = left + (number + 0.5) * width
        if pen is not None and bottom - top < _FLAT and abs(top - pen) < _FLAT:
            level = True
            continue
        if level:
            out.append(f"H{x - width:.1f}")
            level = False
        near, far = (bottom, top) if pen is not None and abs(bottom - pen) < abs(top - pen) else (top, bottom)
        out.append(f"{'L' if out else 'M'}{x:.1f} {near:.1f}")
        if bottom - top >= _FLAT:
            out.append(f"V{far:.1f}")
        pen = far
    if level:
        out.append(f"H{left + (len(tops) - 0.5) * width:.1f}")
    return "".join(out)

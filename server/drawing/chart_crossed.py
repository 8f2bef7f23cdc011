"""Where a chart's curves run, so that words are put beside them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.drawing.chart_columns import Columns
from server.drawing.chart_labels import Words
from server.drawing.chart_scale import Scale

if TYPE_CHECKING:
    from server.engine.arrays import Floats

AIR = 2.0
"""Half of the thickest curve, and a little more."""


@dataclass(frozen=True, eq=False)
class Crossed:
    """Curves, each on its own scale; their first column stands at ``left``."""

    left: float
    curves: Sequence[tuple[Scale, Columns]]

    def times(self, words: Words) -> int:
        """How many columns of curves run through some words."""
        box = words.box
        first, last = (max(math.ceil(at - self.left), 0) for at in (box.x, box.right))
        count = 0
        for scale, found in self.curves:
            tops = _heights(scale, found.highest[first:last]) - AIR
            bottoms = _heights(scale, found.lowest[first:last]) + AIR
            count += int(((tops < box.bottom) & (bottoms > box.y)).sum())
        return count


def _heights(scale: Scale, values: "Floats") -> "Floats":
    """Where values stand on a scale: see ``Scale.y``."""
    return scale.bottom - (values - scale.low) * ((scale.bottom - scale.top) / (scale.high - scale.low))

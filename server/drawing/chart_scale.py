"""A scale of values with round marks."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from server.drawing.chart_axis import round_step


@dataclass(frozen=True, slots=True)
class Scale:
    """Values from ``low`` at the place ``bottom`` up to ``high`` at ``top``; places grow downwards."""

    low: float
    high: float
    top: float
    bottom: float
    step: float

    def y(self, value: float) -> float:
        """Where a value stands."""
        return self.bottom - (value - self.low) / (self.high - self.low) * (self.bottom - self.top)

    def ticks(self) -> list[float]:
        """The round values on the scale."""
        count = round((self.high - self.low) / self.step)
        return [self.low + number * self.step for number in range(count + 1)]

    def shown(self, value: float) -> str:
        """A mark's figure, with no more digits than its step needs."""
        digits = max(0, -math.floor(math.log10(self.step) + 1e-9))
        return f"{value:.{digits}f}".replace("-", "−") if abs(value) >= self.step / 2 else "0"


def scale(values: Iterable[float], top: float, bottom: float, marks: int) -> Scale:
    """A scale with about so many marks that holds all values."""
    known = list(values)
    low, high = min(known), max(known)
    if high - low < abs(high) * 1e-6 + 1e-9:
        low, high = low - 0.5, high + 0.5
    step = round_step((high - low) / marks)
    return Scale(
        math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step, top, bottom, step
    )

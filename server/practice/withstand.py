"""Whether a conductor survives a short circuit: the adiabatic limit."""

from __future__ import annotations

import math

from server.practice.materials import ADIABATIC_CONSTANT, ZERO_RESISTANCE_TEMPERATURE
from server.practice.sourced import Sourced
from server.practice.tables import figure, rows
from server.units import Celsius, SquareMillimetre

LONGEST_S = 5.0
"""Heat leaves the conductor in longer faults; the limit then errs on the safe side."""


def adiabatic_k(initial_c: Celsius, final_c: Celsius) -> float:
    """Copper's k in A·√s/mm², 226 √ln((θ_f + 234.5) / (θ_i + 234.5)) (IEC 60949).

    Raises:
        ValueError: the final temperature is not above the initial one.

    >>> round(adiabatic_k(70, 160), 1)
    115.0
    """
    if final_c <= initial_c:
        raise ValueError(f"a short circuit heats: {final_c} °C is not above {initial_c} °C")
    zero_c = ZERO_RESISTANCE_TEMPERATURE.value
    return ADIABATIC_CONSTANT.value * math.sqrt(math.log((final_c - zero_c) / (initial_c - zero_c)))


def published_k(insulation: str) -> Sourced | None:
    """The k published for an insulation ("pvc-70", "xlpe-90", "thermoplastic-105" …); None if unknown."""
    for row in rows("adiabatic_k"):
        if row["key"] == insulation:
            return figure(row, "k", "A·√s/mm²")
    return None


def let_through_limit(k: float, area_mm2: SquareMillimetre) -> float:
    """Largest I²t in A²s that a conductor survives, k²S², for faults up to 5 s (IEC 60364-4-43).

    >>> let_through_limit(115, 10)
    1322500
    """
    return (k * area_mm2) ** 2

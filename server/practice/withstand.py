"""Whether a conductor survives a short circuit: the adiabatic limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from server.practice.materials import ADIABATIC_CONSTANT, ZERO_RESISTANCE_TEMPERATURE
from server.practice.sourced import Sourced
from server.practice.tables import figure, rows
from server.units import Ampere, Celsius, Ratio, Second, SquareMillimetre

LONGEST_S: Second = 5.0
"""Heat leaves the conductor in longer faults; the limit then errs on the safe side."""
_INSULATIONS: tuple[tuple[Celsius, str, str], ...] = (
    (105.0, "thermoplastic-105", "cross-linked-105"),
    (90.01, "thermoplastic-105", "xlpe-90"),
    (70.01, "pvc-90", "xlpe-90"),
    (0.0, "pvc-70", "xlpe-90"),
)
"""From which temperature rating on: the least and the most that its insulation can stand."""


class UnknownInsulationError(LookupError):
    """No k is published for this insulation."""


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


def published_k(insulation: str) -> Sourced:
    """The k published for an insulation ("pvc-70", "xlpe-90", "thermoplastic-105" …).

    Raises:
        UnknownInsulationError: no k is shipped for it; none is guessed.
    """
    for row in rows("adiabatic_k"):
        if row["key"] == insulation:
            return figure(row, "k", "A·√s/mm²")
    raise UnknownInsulationError(f"no k is published for {insulation!r}")


@dataclass(frozen=True, slots=True)
class Withstand:
    """The k of a conductor whose insulation is known by its temperature rating at most."""

    least: Sourced
    most: Sourced

    def burns_after(self, current_a: Ampere, area_mm2: SquareMillimetre) -> tuple[Second, Second]:
        """The earliest and the latest time at which a steady current brings it to its limit, (k S / I)²."""
        if current_a <= 0:
            return math.inf, math.inf
        return (
            let_through_limit(self.least.value, area_mm2) / current_a**2,
            let_through_limit(self.most.value, area_mm2) / current_a**2,
        )


def withstand(insulation_c: Celsius | None) -> Withstand:
    """What insulation of a temperature rating can be: thermoplastic at least, cross-linked at most.

    Ratings between two rows take the more cautious one. Without any rating it may be the least of all.

    >>> withstand(105).least.value, withstand(105).most.value
    (87.6, 134.8)
    """
    if insulation_c is None:
        return Withstand(published_k("thermoplastic-105"), published_k("xlpe-90"))
    least, most = next((low, high) for rating, low, high in _INSULATIONS if insulation_c >= rating)
    return Withstand(published_k(least), published_k(most))


def time_to_rating(  # noqa: PLR0913, PLR0917 - each is a separate fact
    current_a: Ampere,
    area_mm2: SquareMillimetre,
    insulation_c: Celsius,
    ambient_c: Celsius,
    before_a: Ampere = 0.0,
    ampacity_a: Ampere = math.inf,
) -> Second:
    """How long a conductor carries a current before its insulation is at its rating, no heat lost.

    It starts from the steady temperature of what it carried before, θ_a + (θ_r - θ_a) (I / I_z)², the
    definition of ampacity; then t = (k S / I)² with k of IEC 60949 from there to the rating. Heat that is
    lost makes the true time longer, so this errs on the safe side.

    >>> round(time_to_rating(100, 13.3, 105, 30))
    226
    """
    loaded: Ratio = min(1.0, before_a / ampacity_a)
    initial_c = ambient_c + (insulation_c - ambient_c) * loaded**2
    if initial_c >= insulation_c:
        return 0.0
    return let_through_limit(adiabatic_k(initial_c, insulation_c), area_mm2) / current_a**2


def let_through_limit(k: float, area_mm2: SquareMillimetre) -> float:
    """Largest I²t in A²s that a conductor survives, k²S², for faults up to 5 s (IEC 60364-4-43).

    >>> let_through_limit(115, 10)
    1322500
    """
    return (k * area_mm2) ** 2

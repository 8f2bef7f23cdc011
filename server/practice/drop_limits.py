"""How much voltage a circuit may lose, and the handbook formulas for choosing a size."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from server.practice.materials import HANDBOOK_CONDUCTIVITY, HANDBOOK_K
from server.practice.profiles import RuleSet
from server.practice.sourced import Sourced
from server.practice.tables import figure, rows
from server.units import Ampere, Metre, SquareMillimetre, Volt, circular_mils, feet, square_millimetres

Circuit = Literal[
    "panel-feeder",
    "bilge-blower",
    "bilge-pump",
    "electronics",
    "navigation-lights",
    "critical",
    "thruster",
    "windlass",
    "winch",
    "lighting",
    "general",
]


@dataclass(frozen=True, slots=True)
class DropClass:
    """A kind of circuit with its limit, as a share of the nominal voltage in per cent."""

    circuit: str
    title: str
    limit: Sourced


@cache
def drop_classes(rule_set: RuleSet) -> tuple[DropClass, ...]:
    """The kinds of circuit a rule set tells apart; empty for one without a drop rule."""
    return tuple(
        DropClass(row["circuit"], row["title"], figure(row, "limit_percent", "%"))
        for row in rows("drop_classes")
        if row["rule_set"] == rule_set
    )


def drop_limit(circuit: Circuit, rule_set: RuleSet) -> Sourced | None:
    """Largest drop in per cent of nominal voltage; None where the rule set has no drop rule.

    >>> drop_limit("navigation-lights", "abyc-e11").value
    3.0
    """
    return next((c.limit for c in drop_classes(rule_set) if c.circuit == circuit), None)


def circular_mils_needed(current_a: Ampere, path_m: Metre, drop_v: Volt) -> float:
    """Circular mils for a wanted drop, K·I·L / E with K = 10.75 Ω·cmil/ft (ABYC E-11).

    The path is the whole way from the source to the device and back. Compare with the cable's real
    area: an SAE gauge has less copper than the same AWG. K is copper at about 29 °C.
    """
    return HANDBOOK_K.value * current_a * feet(path_m) / drop_v


def circular_mil_drop(current_a: Ampere, path_m: Metre, area_mm2: SquareMillimetre) -> Volt:
    """Drop of a given conductor by the circular-mil formula, K·I·L / CM."""
    return HANDBOOK_K.value * current_a * feet(path_m) / circular_mils(area_mm2)


def circular_mil_area_needed(current_a: Ampere, path_m: Metre, drop_v: Volt) -> SquareMillimetre:
    """The area that the circular-mil formula asks for, in square millimetres."""
    return square_millimetres(circular_mils_needed(current_a, path_m, drop_v))


def metric_area_needed(current_a: Ampere, path_m: Metre, drop_v: Volt) -> SquareMillimetre:
    """Area for a wanted drop, I·L / (56 ΔU), the metric handbook formula; path out and back.

    >>> round(metric_area_needed(12.0, 10.0, 0.36), 2)
    5.95
    """
    return current_a * path_m / (HANDBOOK_CONDUCTIVITY.value * drop_v)


def metric_drop(current_a: Ampere, path_m: Metre, area_mm2: SquareMillimetre) -> Volt:
    """Drop of a given conductor by the metric handbook formula, I·L / (56 A); path out and back."""
    return current_a * path_m / (HANDBOOK_CONDUCTIVITY.value * area_mm2)

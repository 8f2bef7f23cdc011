"""How much current a conductor may carry all day (33 CFR 183.425 Table 5)."""

from __future__ import annotations

from collections.abc import Sequence

from server.practice.profiles import RuleSet
from server.practice.rules import rule_figure
from server.practice.sizes import ConductorSize, sizes
from server.practice.sourced import NoFigure, Sourced
from server.practice.tables import figure, rows
from server.units import Ampere, Celsius, Metre, Volt

INSULATION_RATINGS_C: tuple[int, ...] = (60, 75, 80, 90, 105, 125, 200)
BUNDLING_THRESHOLD_V: Volt = 50.0
"""33 CFR 183.435 asks for a bundling factor from this voltage on."""

BUNDLED_BEYOND_M: Metre = 0.610
"""How long conductors lie together before they count as bundled: 24 in, of ABYC E-11 (2008) 11.14.3.7.1."""

_NO_BUNDLING_LIMIT = 3
_NO_METRIC_TABLE = (
    "not judged: table not shipped; the ISO 10133 ampacity table could not be confirmed: "
    "enter your own copy's on the page of rules"
)
_ENTER = "enter the cable maker's figure"


def ambient(*, engine_space: bool) -> Sourced:
    """The air temperature that ampacities are tabulated for, °C: Table 5, and its note 1 in engine spaces."""
    if engine_space:
        return Sourced(value=50.0, unit="°C", source="33 CFR 183.425 Table 5 note 1", status="verified")
    return Sourced(value=30.0, unit="°C", source="33 CFR 183.425 Table 5", status="verified")


def table5(gauge: str, insulation_c: Celsius) -> Sourced | NoFigure:
    """Table 5 at 30 °C ambient for an American gauge ("18" to "4/0").

    An insulation rating between two columns is read in the lower one.

    >>> table5("10", 105).value
    60.0
    """
    rating = _column(insulation_c)
    if rating is None:
        return NoFigure(reason=f"Table 5 starts at 60 °C insulation, not at {insulation_c:g} °C; {_ENTER}")
    for row in rows("table5_ampacity"):
        if row["gauge"] == gauge:
            return figure(row, f"a_{rating}c", "A")
    return NoFigure(reason=f"Table 5 has no {gauge} AWG; {_ENTER}")


def engine_space_factor(insulation_c: Celsius) -> Sourced | NoFigure:
    """Table 5 note 1: what an engine space at 50 °C leaves of the ampacity."""
    rating = _column(insulation_c)
    for row in rows("table5_engine_space"):
        if row["insulation_c"] == str(rating):
            return figure(row, "factor", "1")
    return NoFigure(reason=f"Table 5 note 1 has no factor for {insulation_c:g} °C insulation")


def bundling_factor(conductors: int, circuit_v: Volt, rule_set: RuleSet) -> Sourced | None:
    """What a bundle of current-carrying conductors leaves of the ampacity; None where no factor applies.

    From 50 V on Table 5 note 2; below that the federal rule has none and E-11 (2008) a flat one
    for bundles longer than 610 mm, which the caller must know.
    """
    if conductors < _NO_BUNDLING_LIMIT:
        return None
    if circuit_v >= BUNDLING_THRESHOLD_V:
        steps = rows("table5_bundling")
        step = next(row for row in steps if conductors <= float(row["to_conductors"] or conductors))
        return figure(step, "factor", "1")
    return rule_figure("e11-bundle-dc") if rule_set == "abyc-e11" else None


def ampacity(  # noqa: PLR0913 (each is a separate fact about the installation)
    size: ConductorSize,
    insulation_c: Celsius,
    rule_set: RuleSet,
    *,
    engine_space: bool = False,
    bundled_conductors: int = 1,
    circuit_v: Volt = 12.0,
) -> Sourced | NoFigure:
    """Continuous current of a conductor as installed, or why there is no published figure.

    Table 5 is for American gauges: an SAE gauge has less copper and a metric one its own table,
    so neither is looked up in it.
    """
    if rule_set == "iso-10133" or size.system == "metric":
        return NoFigure(reason=f"{_NO_METRIC_TABLE}, or {_ENTER}")
    if size.system == "sae":
        return NoFigure(reason=f"Table 5 is for AWG and {size.label} has less copper; {_ENTER}")
    base = table5(size.gauge, insulation_c)
    heat = engine_space_factor(insulation_c)
    if isinstance(base, NoFigure) or isinstance(heat, NoFigure):
        return base
    bundle = bundling_factor(bundled_conductors, circuit_v, rule_set)
    return _product(base, [*([heat] if engine_space else []), *([bundle] if bundle else [])])


def smallest_for_current(  # noqa: PLR0913 (the same facts as for `ampacity`)
    current_a: Ampere,
    insulation_c: Celsius,
    rule_set: RuleSet,
    *,
    engine_space: bool = False,
    bundled_conductors: int = 1,
    circuit_v: Volt = 12.0,
) -> ConductorSize | None:
    """The thinnest American gauge that may carry this current as installed, or None."""
    for candidate in sizes():
        allowed = ampacity(
            candidate,
            insulation_c,
            rule_set,
            engine_space=engine_space,
            bundled_conductors=bundled_conductors,
            circuit_v=circuit_v,
        )
        if isinstance(allowed, Sourced) and allowed.value >= current_a:
            return candidate
    return None


def _column(insulation_c: Celsius) -> int | None:
    return max((rating for rating in INSULATION_RATINGS_C if rating <= insulation_c), default=None)


def _product(base: Sourced, factors: Sequence[Sourced]) -> Sourced:
    for factor in factors:
        base = base.times(factor)
    return base

"""Conductor sizes one can buy: the printed label with its area and tabulated resistance."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from server.practice.materials import REFERENCE_TEMPERATURE_C, temperature_ratio
from server.practice.sourced import Sourced, Status, weakest
from server.practice.tables import Row, figure, rows
from server.units import METRES_PER_FOOT, OhmPerMetre, SquareMillimetre, square_millimetres

GaugeSystem = Literal["awg", "sae", "metric"]

_NEC_TEMPERATURE_C = 75.0
_FEET_PER_KFT = 1000.0
_METRES_PER_KM = 1000.0


class UnknownSizeError(LookupError):
    """No conductor size has this label."""


@dataclass(frozen=True, slots=True)
class ConductorSize:
    """One size as printed on the cable. Resistances are per metre of one conductor at 20 °C."""

    label: str
    system: GaugeSystem
    gauge: str
    area_mm2: SquareMillimetre
    area_source: str
    area_status: Status
    ohm_per_m: OhmPerMetre
    """Tinned copper, the marine cable."""
    plain_ohm_per_m: OhmPerMetre
    """Bare copper."""
    source: str
    """Where the two resistances come from."""
    status: Status


@cache
def sizes() -> tuple[ConductorSize, ...]:
    """All sizes: AWG, SAE, then metric, each from thin to thick."""
    awg = tuple(_awg_size(row) for row in rows("nec_table8"))
    by_gauge = {size.gauge: (size, row) for size, row in zip(awg, rows("nec_table8"), strict=True)}
    sae = tuple(_sae_size(row, *by_gauge[row["gauge"]]) for row in rows("sae_area"))
    return awg + sae + tuple(_metric_size(row) for row in rows("iec60228_class5"))


def size(label: str) -> ConductorSize:
    """The size with this label; "mm2" is read as "mm²".

    Raises:
        UnknownSizeError: no size has this label.

    >>> round(size("35 mm²").ohm_per_m * 1000, 3)
    0.565
    """
    found = _by_label().get(label.strip().replace("mm2", "mm²"))
    if found is None:
        raise UnknownSizeError(
            f"no conductor size is labelled {label!r}; for example 10 AWG, SAE 10 or 6 mm²"
        )
    return found


def next_size(current: ConductorSize) -> ConductorSize | None:
    """The next thicker size of the same system, or None above the thickest."""
    thicker = (candidate for candidate in sizes() if candidate.system == current.system)
    return next((candidate for candidate in thicker if candidate.area_mm2 > current.area_mm2), None)


def smallest_size(area_mm2: SquareMillimetre, system: GaugeSystem) -> ConductorSize | None:
    """The thinnest size of a system with at least this much copper, or None if none is thick enough."""
    same = (candidate for candidate in sizes() if candidate.system == system)
    return next((candidate for candidate in same if candidate.area_mm2 >= area_mm2), None)


def awg_area_mm2(gauge: str) -> SquareMillimetre:
    """Area of a solid wire of this American gauge, "18" to "4/0".

    Diameter 0.005 in × 92^((36 - n) / 39) with n = 0, -1, -2, -3 for 1/0 to 4/0 (ASTM B258).

    >>> round(awg_area_mm2("2/0"), 2)
    67.43
    """
    noughts = gauge.removesuffix("/0")
    n = int(gauge) if noughts == gauge else 1 - int(noughts)
    diameter_mil = 5 * 92 ** ((36 - n) / 39)
    return square_millimetres(diameter_mil**2)


def class2_ohm_per_m(area_mm2: SquareMillimetre, *, tinned: bool) -> Sourced | None:
    """Largest resistance at 20 °C of a coarsely stranded (class 2) conductor, IEC 60228.

    None where the standard has no such size.
    """
    column = "tinned_ohm_per_km" if tinned else "plain_ohm_per_km"
    for row in rows("iec60228_class2"):
        if float(row["area_mm2"]) == area_mm2:
            per_km = figure(row, column, "Ω/m")
            return per_km.model_copy(update={"value": per_km.value / _METRES_PER_KM})
    return None


@cache
def _by_label() -> dict[str, ConductorSize]:
    return {candidate.label: candidate for candidate in sizes()}


def _awg_size(row: Row) -> ConductorSize:
    per_metre_at_20 = 1 / (_FEET_PER_KFT * METRES_PER_FOOT * temperature_ratio(_NEC_TEMPERATURE_C))
    return ConductorSize(
        label=f"{row['gauge']} AWG",
        system="awg",
        gauge=row["gauge"],
        area_mm2=awg_area_mm2(row["gauge"]),
        area_source="ASTM B258 formula",
        area_status="derived",
        ohm_per_m=float(row["coated_ohm_per_kft"]) * per_metre_at_20,
        plain_ohm_per_m=float(row["uncoated_ohm_per_kft"]) * per_metre_at_20,
        source=f"{row['source']}, brought to {REFERENCE_TEMPERATURE_C:g} °C",
        status=weakest("derived", figure(row, "coated_ohm_per_kft", "Ω/kft").status),
    )


def _sae_size(row: Row, awg: ConductorSize, nec: Row) -> ConductorSize:
    """The table value of the same American gauge, raised in proportion to the missing copper."""
    thinner = float(nec["area_cmil"]) / float(row["area_cmil"])
    area = figure(row, "area_cmil", "cmil")
    return ConductorSize(
        label=f"SAE {row['gauge']}",
        system="sae",
        gauge=row["gauge"],
        area_mm2=square_millimetres(area.value),
        area_source=area.source,
        area_status=area.status,
        ohm_per_m=awg.ohm_per_m * thinner,
        plain_ohm_per_m=awg.plain_ohm_per_m * thinner,
        source=f"{awg.source}, times the ratio of areas",
        status=weakest(awg.status, area.status),
    )


def _metric_size(row: Row) -> ConductorSize:
    tinned = figure(row, "tinned_ohm_per_km", "Ω/km")
    return ConductorSize(
        label=f"{row['area_mm2']} mm²",
        system="metric",
        gauge=row["area_mm2"],
        area_mm2=float(row["area_mm2"]),
        area_source="IEC 60228 nominal area",
        area_status="verified",
        ohm_per_m=tinned.value / _METRES_PER_KM,
        plain_ohm_per_m=float(row["plain_ohm_per_km"]) / _METRES_PER_KM,
        source=tinned.source,
        status=tinned.status,
    )

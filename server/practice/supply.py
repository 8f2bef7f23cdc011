"""What equipment must stand on its supply: voltage ranges, the starting profile, the backbone rule."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from server.practice.sourced import Sourced, Status, status_of
from server.practice.tables import rows
from server.units import Ampere, Metre, OhmPerMetre, Second, Volt

StartingLevel = Literal["I", "II", "III", "IV"]

LOAD_EQUIVALENT_A: Ampere = 0.05
BACKBONE_DROP_LIMIT = Sourced(
    value=1.67,
    unit="V",
    source="NMEA 2000 power distribution guidance of an equipment maker",
    status="verified",
    note="from the power tee to the farthest device",
)
GROUND_OFFSET = Sourced(
    value=1.0,
    unit="V",
    source="ISO 16750-2 4.8, offset of ground or supply that road vehicle equipment is tried with",
    status="verified",
)

_MS: Second = 0.001


@dataclass(frozen=True, slots=True)
class SupplyRange:
    """Lowest and highest supply that a standard or maker asks equipment to work on."""

    key: str
    title: str
    system_v: Volt
    low_v: Volt
    high_v: Volt | None
    source: str
    status: Status
    note: str


@dataclass(frozen=True, slots=True)
class StartingProfile:
    """The dip of an engine start that test benches use (ISO 16750-2)."""

    lowest_v: Volt
    plateau_v: Volt
    fall_s: Second
    lowest_s: Second
    rise_to_plateau_s: Second
    plateau_s: Second
    recovery_s: Second
    source: str
    status: Status


@cache
def supply_ranges() -> tuple[SupplyRange, ...]:
    """All supply ranges, in the order of the table."""
    return tuple(
        SupplyRange(
            key=row["key"],
            title=row["title"],
            system_v=float(row["system_v"]),
            low_v=float(row["low_v"]),
            high_v=float(row["high_v"]) if row["high_v"] else None,
            source=row["source"],
            status=status_of(row["status"]),
            note=row["note"],
        )
        for row in rows("supply_range")
    )


def supply_range(key: str, system_v: Volt) -> SupplyRange | None:
    """The range of this key for a 12 V or 24 V system; None where it has none.

    >>> supply_range("nmea-2000", 12).low_v
    9.0
    """
    return next((r for r in supply_ranges() if r.key == key and r.system_v == system_v), None)


def starting_profile(system_v: Volt, level: StartingLevel) -> StartingProfile | None:
    """The starting profile of a severity level for 12 V or 24 V; None where there is none."""
    for row in rows("starting_profile"):
        if float(row["system_v"]) == system_v and row["level"] == level:
            return StartingProfile(
                lowest_v=float(row["lowest_v"]),
                plateau_v=float(row["plateau_v"]),
                fall_s=float(row["fall_ms"]) * _MS,
                lowest_s=float(row["lowest_ms"]) * _MS,
                rise_to_plateau_s=float(row["rise_to_plateau_ms"]) * _MS,
                plateau_s=float(row["plateau_s"]),
                recovery_s=float(row["recovery_ms"]) * _MS,
                source=row["source"],
                status=status_of(row["status"]),
            )
    return None


def backbone_drop(ohm_per_m: OhmPerMetre, distance_m: Metre, load_equivalents: float) -> Volt:
    """Drop of an instrument backbone with all its load at the far end, 2·R·L·LEN × 50 mA.

    `ohm_per_m` is one conductor; a load equivalent number (LEN) is 50 mA.
    """
    return 2 * ohm_per_m * distance_m * load_equivalents * LOAD_EQUIVALENT_A

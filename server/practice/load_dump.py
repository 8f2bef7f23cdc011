"""What an alternator does to its own wiring when it loses its battery: published magnitudes, never computed.

They are for road vehicles; a boat's depend on its alternator, its speed, and the current that was broken.
"""

from __future__ import annotations

from dataclasses import dataclass

from server.practice.sourced import Status, status_of
from server.practice.tables import rows
from server.units import Ohm, Second, Volt

_MS: Second = 0.001


@dataclass(frozen=True, slots=True)
class LoadDump:
    """Range of the pulse that test benches use: unsuppressed, and with suppression in the alternator."""

    system_v: Volt
    lowest_v: Volt
    highest_v: Volt
    low_ohm: Ohm
    high_ohm: Ohm
    shortest_s: Second
    longest_s: Second
    clamped_v: Volt
    source: str
    status: Status
    note: str


def load_dump(system_v: Volt) -> LoadDump | None:
    """The published range for a 12 V or 24 V system; None for any other.

    >>> load_dump(12).highest_v
    101.0
    """
    for row in rows("load_dump"):
        if float(row["system_v"]) == system_v:
            return LoadDump(
                system_v=system_v,
                lowest_v=float(row["lowest_v"]),
                highest_v=float(row["highest_v"]),
                low_ohm=float(row["low_ohm"]),
                high_ohm=float(row["high_ohm"]),
                shortest_s=float(row["shortest_ms"]) * _MS,
                longest_s=float(row["longest_ms"]) * _MS,
                clamped_v=float(row["clamped_v"]),
                source=row["source"],
                status=status_of(row["status"]),
                note=row["note"],
            )
    return None

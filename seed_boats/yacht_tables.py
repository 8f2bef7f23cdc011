"""The tables of the large yacht: areas, their loads, and heavy motors, read from files beside this one."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

HERE = Path(__file__).parent
Spot = tuple[float, float, float]
"""Metres from the bow, from the centreline and above the waterline."""


@dataclass(frozen=True, slots=True)
class Row:
    """One load of an area: what it is, what it takes, and in which modes it is on (initials of the modes)."""

    slug: str
    name: str
    role: str
    kind: str
    amount: float
    design_a: float
    minimum_v: float | None
    modes: str


@dataclass(frozen=True, slots=True)
class Area:
    """One area: its panel, its junction box, its loads."""

    slug: str
    name: str
    deck: str
    panel: Spot
    box: Spot
    voltage_v: float
    rows: tuple[Row, ...]

    def load_id(self, row: Row) -> str:
        """The id of one of its loads; those of a cabin carry the cabin's name already."""
        return row.slug if row.name.startswith(("Crew", "Guest", "Owner")) else f"{self.slug}-{row.slug}"


@dataclass(frozen=True, slots=True)
class Heavy:
    """A heavy motor, the bars it hangs on, and its mode."""

    slug: str
    name: str
    role: str
    spot: Spot
    zone: str | None
    plus: str
    minus: str
    running_a: float
    inrush_a: float
    fuse_a: float
    mode: str


def _lines(name: str) -> Iterator[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def _spot(line: dict[str, str], prefix: str = "") -> Spot:
    return float(line[f"{prefix}x_m"]), float(line[f"{prefix}y_m"]), float(line[f"{prefix}z_m"])


def _groups() -> dict[str, tuple[Row, ...]]:
    groups: dict[str, tuple[Row, ...]] = {}
    for line in _lines("large_yacht_loads.csv"):
        minimum_v = float(line["minimum_v"]) if line["minimum_v"] else None
        words = (line["slug"], line["name"], line["role"], line["kind"])
        row = Row(*words, float(line["amount"]), float(line["design_a"]), minimum_v, line["modes"])
        groups[line["group"]] = (*groups.get(line["group"], ()), row)
    return groups


def _rows(line: dict[str, str], groups: dict[str, tuple[Row, ...]]) -> tuple[Row, ...]:
    rows = groups[line["loads"]]
    if not line["cabins"]:
        return rows
    cabins = [cabin.split(":") for cabin in line["cabins"].split("/")]
    return tuple(
        replace(row, slug=f"{slug}-{row.slug}", name=f"{name}: {row.name}")
        for slug, name in cabins
        for row in rows
    )


def areas() -> tuple[Area, ...]:
    """All areas with their loads."""
    groups = _groups()
    return tuple(
        Area(
            *(line["slug"], line["name"], line["deck"]),
            *(_spot(line, "panel_"), _spot(line, "box_")),
            *(float(line["volts"]), _rows(line, groups)),
        )
        for line in _lines("large_yacht_areas.csv")
    )


def heavy_motors() -> tuple[Heavy, ...]:
    """All heavy motors but the starters."""
    return tuple(
        Heavy(
            *(line["slug"], line["name"], line["role"], _spot(line), line["zone"] or None),
            *(line["plus"], line["minus"], float(line["running_a"]), float(line["inrush_a"])),
            *(float(line["fuse_a"]), line["mode"]),
        )
        for line in _lines("large_yacht_motors.csv")
    )

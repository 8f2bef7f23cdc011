"""Reading the shipped tables: CSV files whose first lines state source and status."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

from server.practice.sourced import Sourced, status_of

Row = Mapping[str, str]


def table_names() -> tuple[str, ...]:
    """Names of all shipped tables."""
    files = resources.files("server.practice").joinpath("data").iterdir()
    return tuple(sorted(file.name.removesuffix(".csv") for file in files if file.name.endswith(".csv")))


@dataclass(frozen=True)
class Table:
    """A shipped table as it stands in its file: what holds for all rows, the columns, the cells."""

    name: str
    common: Mapping[str, str]
    columns: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


@cache
def table(name: str) -> Table:
    """A shipped table; lines `# key: value` at the head of the file hold for every row."""
    text = resources.files("server.practice").joinpath("data", f"{name}.csv").read_text("utf-8")
    lines = text.splitlines()
    common = dict(line.removeprefix("# ").split(": ", 1) for line in lines if line.startswith("#"))
    columns, *cells = csv.reader(line for line in lines if not line.startswith("#"))
    return Table(name, MappingProxyType(common), tuple(columns), tuple(map(tuple, cells)))


@cache
def rows(name: str) -> tuple[Row, ...]:
    """Rows of a shipped table; a column goes before what holds for every row."""
    found = table(name)
    return tuple(
        MappingProxyType({**found.common, **dict(zip(found.columns, row, strict=True))})
        for row in found.cells
    )


def figure(row: Row, column: str, unit: str) -> Sourced:
    """One cell of a row as a sourced number."""
    return Sourced(
        value=float(row[column]),
        unit=unit,
        source=row["source"],
        status=status_of(row["status"]),
        note=row.get("note", ""),
    )

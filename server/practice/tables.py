"""Reading the shipped tables: CSV files whose first lines state source and status."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType

from server.practice.sourced import Sourced, status_of

Row = Mapping[str, str]


def table_names() -> tuple[str, ...]:
    """Names of all shipped tables."""
    files = resources.files("server.practice").joinpath("data").iterdir()
    return tuple(sorted(file.name.removesuffix(".csv") for file in files if file.name.endswith(".csv")))


@cache
def rows(table: str) -> tuple[Row, ...]:
    """Rows of a shipped table.

    Lines `# key: value` at the head of the file hold for every row unless a column says otherwise.
    """
    text = resources.files("server.practice").joinpath("data", f"{table}.csv").read_text("utf-8")
    lines = text.splitlines()
    common = dict(line.removeprefix("# ").split(": ", 1) for line in lines if line.startswith("#"))
    body = csv.DictReader(line for line in lines if not line.startswith("#"))
    return tuple(MappingProxyType({**common, **row}) for row in body)


def figure(row: Row, column: str, unit: str) -> Sourced:
    """One cell of a row as a sourced number."""
    return Sourced(
        value=float(row[column]),
        unit=unit,
        source=row["source"],
        status=status_of(row["status"]),
        note=row.get("note", ""),
    )

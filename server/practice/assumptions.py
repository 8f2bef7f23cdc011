"""The built-in defaults: every value the engine takes when nobody gave one, in one table."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from server.practice.sourced import Assumption, status_of
from server.practice.tables import Row, rows


class UnknownAssumptionError(LookupError):
    """No built-in default has this key."""


@cache
def all_defaults() -> Mapping[str, Assumption]:
    """All built-in defaults by key, in the order of the table."""
    return MappingProxyType({row["key"]: _assumption(row) for row in rows("assumptions")})


def default(key: str) -> Assumption:
    """The built-in default of this key.

    Raises:
        UnknownAssumptionError: there is no such key.

    >>> default("measuring_shunt_resistance").value
    0.0001
    """
    try:
        return all_defaults()[key]
    except KeyError:
        raise UnknownAssumptionError(f"no built-in assumption is called {key!r}") from None


def _assumption(row: Row) -> Assumption:
    return Assumption(
        low=float(row["low"]),
        value=float(row["value"]),
        high=float(row["high"]),
        unit=row["unit"],
        source=row["source"],
        status=status_of(row["status"]),
        title=row["title"],
        note=row["note"],
    )

"""The load that a panelboard is chosen for: the load calculation of ABYC E-11, from memory, confirm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Literal

from server.practice.sourced import Sourced
from server.practice.tables import figure, rows
from server.units import Ampere, Ratio

Column = Literal["A", "B"]
INTERMITTENT_SHARE: Ratio = 0.1
"""A tenth of column B, as the calculation is remembered."""


@dataclass(frozen=True, slots=True)
class PanelItem:
    """One circuit: its design current and the column it belongs to."""

    current_a: Ampere
    column: Column


@cache
def column_of(role: str, *, continuous: bool) -> Column:
    """The column of a load's role; whatever draws all the time belongs to A.

    >>> column_of("lights", continuous=False), column_of("lights", continuous=True)
    ('B', 'A')
    """
    if continuous:
        return "A"
    return next(("A" for row in rows("panel_load") if row["role"] == role and row["column"] == "A"), "B")


def panel_load(items: Iterable[PanelItem]) -> Sourced:
    """A + the larger of a tenth of B and the largest single item of B.

    >>> panel_load([PanelItem(20.0, "A"), PanelItem(12.0, "B"), PanelItem(5.0, "B")]).value
    32.0
    """
    known = tuple(items)
    always = sum(item.current_a for item in known if item.column == "A")
    sometimes = [item.current_a for item in known if item.column == "B"]
    more = max(INTERMITTENT_SHARE * sum(sometimes), max(sometimes, default=0.0))
    spoken = figure({**rows("panel_load")[0], "value": "1"}, "value", "A")
    return spoken.model_copy(update={"value": always + more, "note": ""})

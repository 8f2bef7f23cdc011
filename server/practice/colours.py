"""Conductor colours by function (ABYC E-11)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from server.practice.sourced import Status, status_of
from server.practice.tables import rows


@dataclass(frozen=True, slots=True)
class ColourRule:
    """The colour published for a function, in words."""

    function: str
    title: str
    colour: str
    source: str
    status: Status


@cache
def colour_rules() -> tuple[ColourRule, ...]:
    """All functional colours, in the order of the table."""
    return tuple(
        ColourRule(row["function"], row["title"], row["colour"], row["source"], status_of(row["status"]))
        for row in rows("conductor_colours")
    )


def colour_rule(function: str) -> ColourRule | None:
    """The colour of a function such as "bilge-blower"; None where the code names none.

    >>> colour_rule("dc-negative").colour
    'black or yellow'
    """
    return next((rule for rule in colour_rules() if rule.function == function), None)

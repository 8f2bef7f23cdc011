"""Overcurrent and installation rules, paraphrased one a row; the standards' full text decides."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from server.practice.profiles import RULE_SET_TITLES, RuleSet
from server.practice.sourced import Sourced, Status, status_of
from server.practice.tables import Row, figure, rows
from server.units import METRES_PER_INCH, Metre

_METRES = {"in": METRES_PER_INCH, "mm": 0.001}


class UnknownRuleError(LookupError):
    """No rule has this id."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One published rule in our own words; `figure` is None where the rule has no number."""

    id: str
    rule_set: RuleSet
    meaning: str
    source: str
    status: Status
    note: str
    figure: Sourced | None


@cache
def all_rules() -> tuple[Rule, ...]:
    """All rules, in the order of the table."""
    return tuple(_rule(row) for row in rows("rules"))


def rule(rule_id: str) -> Rule:
    """The rule with this id.

    Raises:
        UnknownRuleError: there is no such rule.
    """
    for candidate in all_rules():
        if candidate.id == rule_id:
            return candidate
    raise UnknownRuleError(f"no rule is called {rule_id!r}")


def rule_figure(rule_id: str) -> Sourced:
    """The number of a rule, in the rule's own unit.

    Raises:
        UnknownRuleError: there is no such rule, or it has no number.
    """
    found = rule(rule_id).figure
    if found is None:
        raise UnknownRuleError(f"rule {rule_id!r} has no number")
    return found


def rule_distance(rule_id: str) -> Sourced:
    """The distance of a rule printed in inches or millimetres, in metres.

    Raises:
        UnknownRuleError: there is no such rule, or its number is not a distance.

    >>> round(rule_distance("e11-7in").value, 4)
    0.1778
    """
    printed = rule_figure(rule_id)
    if printed.unit not in _METRES:
        raise UnknownRuleError(f"the number of rule {rule_id!r} is not a distance but in {printed.unit!r}")
    length: Metre = printed.value * _METRES[printed.unit]
    return printed.model_copy(update={"value": length, "unit": "m"})


def _rule(row: Row) -> Rule:
    rule_set = next(known for known in RULE_SET_TITLES if known == row["rule_set"])
    return Rule(
        id=row["id"],
        rule_set=rule_set,
        meaning=row["meaning"],
        source=row["source"],
        status=status_of(row["status"]),
        note=row["note"],
        figure=figure(row, "value", row["unit"]) if row["value"] else None,
    )

"""Every published rule and table that Tapchart judges by, with its source and how that was verified."""

from dataclasses import dataclass

from server.practice.profiles import RULE_SET_TITLES
from server.practice.rules import Rule, all_rules
from server.practice.tables import Table, table, table_names


@dataclass(frozen=True)
class RuleSetFacts:
    """The rules of one law or standard."""

    key: str
    title: str
    rules: tuple[Rule, ...]


def rule_sets() -> tuple[RuleSetFacts, ...]:
    """All rules, by law or standard, in the order of the table."""
    return tuple(
        RuleSetFacts(key, title, tuple(rule for rule in all_rules() if rule.rule_set == key))
        for key, title in RULE_SET_TITLES.items()
    )


def tables() -> tuple[Table, ...]:
    """Every other shipped table, by name."""
    return tuple(table(name) for name in table_names() if name != "rules")

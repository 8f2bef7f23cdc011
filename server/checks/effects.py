"""What a mend does to all findings, and whether it may be offered."""

from collections.abc import Iterable
from dataclasses import dataclass

from server.boat.finding import Finding
from server.checks.worse import SEVERITIES, is_worse

NOTICEABLE = 0.005
"""A smaller relative change of a figure is none: our own threshold, less than a figure is shown with."""


@dataclass(frozen=True, slots=True)
class Effect:
    """Findings before and after an edit; ``changed`` pairs those whose severity or figure moves."""

    gone: tuple[Finding, ...]
    come: tuple[Finding, ...]
    changed: tuple[tuple[Finding, Finding], ...]


def effect(before: Iterable[Finding], after: Iterable[Finding]) -> Effect:
    """What an edit does to the findings; an accepted finding that opens again has come."""
    had = {one.id: one for one in before}
    has = {one.id: one for one in after}
    opened = {name for name in had if name in has and had[name].accepted and not has[name].accepted}
    return Effect(
        gone=tuple(one for name, one in had.items() if name not in has),
        come=tuple(one for name, one in has.items() if name not in had or name in opened),
        changed=tuple(
            (had[name], one)
            for name, one in has.items()
            if name in had and name not in opened and _differ(had[name], one)
        ),
    )


def _differ(one: Finding, other: Finding) -> bool:
    if one.severity != other.severity:
        return True
    if one.figure is None or other.figure is None:
        return one.figure != other.figure
    return abs(one.figure.value - other.figure.value) > NOTICEABLE * abs(one.figure.value)


def is_cure(finding: Finding, of: Effect) -> bool:
    """Whether an edit removes a finding and brings no harm."""
    return any(one.id == finding.id for one in of.gone) and not brings_harm(finding, of)


def brings_harm(finding: Finding, of: Effect) -> bool:
    """Whether an edit brings or worsens a finding as bad as the one it is to mend, or any danger or fault.

    The cure of one cable must not be the fire of another.
    """
    bar = max(SEVERITIES.index(finding.severity), SEVERITIES.index("fault"))
    worsened = (after for before, after in of.changed if is_worse(after, before))
    return any(SEVERITIES.index(one.severity) <= bar for one in (*of.come, *worsened))

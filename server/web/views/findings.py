"""Findings as rows with their mends as buttons; what was not seen stands beside every clean result."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.boat.leads import leads
from server.web.views.controls import HeadView
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from collections.abc import Sequence

    from server.boat.finding import Figure, Finding
    from server.web.views.finding_filter import FilterView
    from server.web.views.finding_opened import OpenedView

SEVERITY_TITLES = {
    "danger": "Danger: it can burn, or somebody depends on it",
    "fault": "Faults: something fails that ought to work",
    "advice": "Advice: it works, and could work better",
    "cannot-tell": "Cannot tell: something has to be looked up first",
}
SEVERITIES = {
    "danger": ("◆", "danger"),
    "fault": ("▲", "fault"),
    "advice": ("◇", "advice"),
    "cannot-tell": ("?", "cannot tell"),
}
STATUS_WORDS = {
    "verified": "verified",
    "derived": "derived from a published one",
    "office": "as the office entered it",
    "memory": "from memory, confirm",
    "common-practice": "",
    "document": "as entered",
}
RULE_WORDS = {"law": "Law", "standard": "Standard", "yardstick": "Yardstick"}
MEND_CAUTION = "Before anything is moved on the boat: stop the engine, take the negative off every battery."
BASES = {"computed": "computed", "assumed": "assumed", "measured": "measured", "rule": ""}


_OF_A_LOAD = frozenset(
    {
        "restarts",
        "too-close",
        "dips-low",
        "spike-high",
        "limit-not-known",
        "drop-over-limit",
        "unprotected-lead",
        "alive-when-off",
        "uncounted",
        "returned-to-block",
        "midpoint-fed",
        "fault-does-not-open",
        "fault-may-not-open",
    }
)
"""Findings whose subject is an input of a load, which the workbench can show."""
_OF_A_CONDUCTOR = frozenset({"device-above-conductor", "device-above-negative", "conductor-over-ampacity"})
"""Findings whose subject is a conductor: the workbench shows the load at its end."""


@dataclass(frozen=True)
class FindingView:
    """One finding; ``opened`` is all of it, where it is shown so, else it comes from ``open_url``.

    ``is_kept`` leaves it as open as it is when the list is swapped for a longer one of the same boat.
    """

    id: str
    mark: str
    severity: str
    severity_class: str
    message: str
    figure: str
    limit: str
    source: str
    show_url: str
    open_url: str
    accepted: str = ""
    opened: "OpenedView | None" = None
    is_kept: bool = False


@dataclass(frozen=True)
class FindingGroupView:
    """``findings/_group.html``: the findings of one severity, or those that are accepted."""

    id: str
    title: str
    rows: tuple[FindingView, ...]


@dataclass(frozen=True)
class FindingsView:
    """``workbench/_findings.html``; ``more_url`` is where the findings of the other modes come from."""

    title: str
    groups: tuple[FindingGroupView, ...]
    clean: str
    caution: str
    not_assessed: tuple[str, ...]
    not_seen: tuple[str, ...]
    more_url: str = ""
    page_url: str = ""
    accepted: FindingGroupView | None = None


@dataclass(frozen=True)
class AllFindingsView:
    """``findings/page.html``."""

    title: str
    head: HeadView
    as_of: str
    filter: "FilterView"
    findings: FindingsView


@dataclass(frozen=True)
class Listing:
    """How findings are listed: on which view of which boat, with which of them opened.

    ``in_place`` is for lists that stand on the workbench, which a mend swaps rather than loads; ``is_late``
    for those that follow a shorter one.
    """

    boat: Boat
    state: ViewState
    in_place: bool = False
    is_late: bool = False
    more: tuple[tuple[str, str], ...] = ()
    opened: "OpenedView | None" = None

    def groups(self, found: "Sequence[Finding]") -> tuple[FindingGroupView, ...]:
        """The open findings by severity, the worst first."""
        by_severity = [
            (severity, title, [one for one in found if one.severity == severity and one.accepted is None])
            for severity, title in SEVERITY_TITLES.items()
        ]
        return tuple(
            FindingGroupView(f"findings-{severity}", title, self._rows(those))
            for severity, title, those in by_severity
            if those
        )

    def accepted(self, found: "Sequence[Finding]") -> FindingGroupView | None:
        """The findings that somebody lets stand; None where there are none."""
        those = [one for one in found if one.accepted is not None]
        title = f"Accepted: {count_words(_counts(those))}"
        return FindingGroupView("findings-accepted", title, self._rows(those)) if those else None

    def _rows(self, found: "Sequence[Finding]") -> tuple[FindingView, ...]:
        return tuple(self._row(one) for one in found)

    def _row(self, finding: "Finding") -> FindingView:
        sign, word = SEVERITIES[finding.severity]
        selected = ".".join(finding.subjects[:2]) if finding.code in _OF_A_LOAD else None
        if finding.code in _OF_A_CONDUCTOR:
            selected = self._users.get(finding.subjects[0])
        event = finding.event if finding.mode else self.state.event
        there = ViewState(self.state.boat, finding.mode or self.state.mode, event, selected)
        by = finding.accepted
        is_opened = self.opened is not None and self.opened.id == f"opened-{finding.id}"
        more = dict((*self.more, *([("bench", "yes")] if self.in_place else [])))
        return FindingView(
            id=f"finding-{finding.id}",
            mark=sign,
            severity=word,
            severity_class=finding.severity,
            message=finding.message,
            figure=_figure(finding.figure, finding.limit),
            limit=_figure(finding.limit),
            source=f"{RULE_WORDS[finding.rule_kind]}: {finding.source}{_status(finding)}",
            show_url="" if selected is None else there.url(),
            open_url=self.state.url("/findings/one", finding=finding.id, **more),
            accepted="" if by is None else f"Accepted by {by.by}: {by.reason}",
            opened=self.opened if is_opened else None,
            is_kept=self.is_late,
        )

    @cached_property
    def _users(self) -> dict[str, str]:
        """The part whose lead each conductor is in."""
        return {name: one.part for one in leads(self.boat) for name in one.conductors}


def counted(found: "Sequence[Finding]") -> str:
    """How many open findings of each severity, in words, and how many are accepted.

    >>> counted(())
    'No finding'
    """
    accepted = sum(one.accepted is not None for one in found)
    return standing_words(_counts([one for one in found if one.accepted is None]), accepted)


def standing_words(counts: Mapping[str, int], accepted: int) -> str:
    """Open findings by severity and how many are accepted, in words.

    >>> standing_words({"fault": 2}, 1)
    '2 faults, 1 accepted'
    """
    return f"{count_words(counts)}, {accepted} accepted" if accepted else count_words(counts)


def _counts(found: "Sequence[Finding]") -> dict[str, int]:
    return {one: sum(finding.severity == one for finding in found) for one in SEVERITIES}


def count_words(counts: Mapping[str, int]) -> str:
    """Counts by severity, in words.

    >>> count_words({"fault": 2, "advice": 1})
    '2 faults, 1 advice'
    """
    words = []
    for severity, (_, word) in SEVERITIES.items():
        count = counts.get(severity, 0)
        plural = "" if count == 1 or word in {"advice", "cannot tell"} else "s"
        if count:
            words.append(f"{count} {word}{plural}")
    return ", ".join(words) or "No finding"


def _status(finding: "Finding") -> str:
    words = STATUS_WORDS[finding.source_status]
    return f" ({words})" if words else ""


_MOST_DIGITS = 3
_LEAST_DIGITS = {"V": 1, "%": 1, "A": 1, "m": 2}


def _figure(figure: "Figure | None", other: "Figure | None" = None) -> str:
    """A figure with as many digits as tell it from the other one, and how it came about.

    >>> from server.boat.finding import Figure
    >>> found, limit = (Figure(value=v, unit="%", basis="computed") for v in (3.04, 3.0))
    >>> _figure(found, limit)
    '3.04 % (computed)'
    >>> _figure(Figure(value=1.5, unit="m", basis="computed"))
    '1.50 m (computed)'
    """
    if figure is None:
        return ""
    least = _LEAST_DIGITS.get(figure.unit, 0)
    told = (
        digits
        for digits in range(least, _MOST_DIGITS)
        if other is None or round(figure.value, digits) != round(other.value, digits)
    )
    value = f"{figure.value:.{next(told, _MOST_DIGITS)}f}".replace("-", "−")
    basis = BASES[figure.basis]
    return f"{value} {figure.unit}" + (f" ({basis})" if basis else "")

"""Findings as rows with their mends as buttons; what was not seen stands beside every clean result."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.boat.leads import leads
from server.web.views.controls import HeadView
from server.web.views.forms import FormView, change_form
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from collections.abc import Sequence

    from server.boat.finding import Figure, Finding

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
    "office": "the office's own, from its copy of the standard",
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
_OF_A_CONDUCTOR = frozenset({"device-above-conductor", "conductor-over-ampacity"})
"""Findings whose subject is a conductor: the workbench shows the load at its end."""


@dataclass(frozen=True)
class MendView:
    """A mend as a form with one button."""

    form: FormView
    button_id: str
    label: str


@dataclass(frozen=True)
class FindingView:
    """One finding."""

    id: str
    mark: str
    severity: str
    severity_class: str
    message: str
    figure: str
    limit: str
    source: str
    show_url: str
    mends: tuple[MendView, ...]


@dataclass(frozen=True)
class FindingGroupView:
    """The findings of one severity."""

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


@dataclass(frozen=True)
class AllFindingsView:
    """``findings/page.html``."""

    title: str
    head: HeadView
    findings: FindingsView


def finding_groups(
    boat: Boat, found: "Sequence[Finding]", state: ViewState, revision: int
) -> tuple[FindingGroupView, ...]:
    """The findings by severity, the worst first."""
    users = {name: one.part for one in leads(boat) for name in one.conductors}
    by_severity = [
        (title, [finding for finding in found if finding.severity == severity])
        for severity, title in SEVERITY_TITLES.items()
    ]
    return tuple(
        FindingGroupView(title, tuple(_row(finding, state, revision, users) for finding in those))
        for title, those in by_severity
        if those
    )


def counted(found: "Sequence[Finding]") -> str:
    """How many findings of each severity, in words.

    >>> counted(())
    'No finding'
    """
    return count_words({one: sum(finding.severity == one for finding in found) for one in SEVERITIES})


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


def _row(finding: "Finding", state: ViewState, revision: int, users: Mapping[str, str]) -> FindingView:
    sign, word = SEVERITIES[finding.severity]
    selected = ".".join(finding.subjects[:2]) if finding.code in _OF_A_LOAD else None
    if finding.code in _OF_A_CONDUCTOR:
        selected = users.get(finding.subjects[0])
    there = ViewState(
        state.boat,
        finding.mode or state.mode,
        finding.event if finding.mode else state.event,
        selected,
    )
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
        mends=tuple(
            MendView(
                change_form(state, "/mend", revision, finding=finding.id, mend=str(number)),
                f"mend-{finding.id}-{number}",
                mend.label,
            )
            for number, mend in enumerate(finding.mends)
        ),
    )


def _status(finding: "Finding") -> str:
    words = STATUS_WORDS[finding.source_status]
    return f" ({words})" if words else ""


_MOST_DIGITS = 3


def _figure(figure: "Figure | None", other: "Figure | None" = None) -> str:
    """A figure with as many digits as tell it from the other one, and how it came about.

    >>> from server.boat.finding import Figure
    >>> found, limit = (Figure(value=v, unit="%", basis="computed") for v in (3.04, 3.0))
    >>> _figure(found, limit)
    '3.04 % (computed)'
    """
    if figure is None:
        return ""
    least = 1 if figure.unit in {"V", "%", "A"} else 0
    told = (
        digits
        for digits in range(least, _MOST_DIGITS)
        if other is None or round(figure.value, digits) != round(other.value, digits)
    )
    value = f"{figure.value:.{next(told, _MOST_DIGITS)}f}".replace("-", "−")
    basis = BASES[figure.basis]
    return f"{value} {figure.unit}" + (f" ({basis})" if basis else "")

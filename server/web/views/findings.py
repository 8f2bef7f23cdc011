"""Findings as rows with their mends as buttons; what was not seen stands beside every clean result."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.web.views.controls import HeadView
from server.web.views.forms import FormView, change_form
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from collections.abc import Sequence

    from server.boat.finding import Figure, Finding

SEVERITIES = {
    "danger": ("◆", "danger"),
    "fault": ("▲", "fault"),
    "advice": ("◇", "advice"),
    "cannot-tell": ("?", "cannot tell"),
}
STATUS_WORDS = {
    "verified": "",
    "derived": "derived",
    "memory": "from memory, confirm",
    "common-practice": "",
    "document": "",
}


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
    figures: str
    source: str
    show_url: str
    mends: tuple[MendView, ...]


@dataclass(frozen=True)
class FindingsView:
    """``workbench/_findings.html``; ``more_url`` is where the findings of the other modes come from."""

    title: str
    rows: tuple[FindingView, ...]
    clean: str
    not_seen: tuple[str, ...]
    more_url: str = ""
    page_url: str = ""


@dataclass(frozen=True)
class AllFindingsView:
    """``findings/page.html``."""

    title: str
    head: HeadView
    findings: FindingsView


def finding_rows(found: "Sequence[Finding]", state: ViewState, revision: int) -> tuple[FindingView, ...]:
    """The findings in their order."""
    return tuple(_row(finding, state, revision) for finding in found)


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


def _row(finding: "Finding", state: ViewState, revision: int) -> FindingView:
    sign, word = SEVERITIES[finding.severity]
    there = ViewState(
        state.boat,
        finding.mode or state.mode,
        finding.event if finding.mode else state.event,
        ".".join(finding.subjects[:2]),
    )
    load_codes = {
        "restarts",
        "too-close",
        "limit-not-known",
        "drop-over-limit",
        "unprotected-lead",
        "alive-when-off",
    }
    return FindingView(
        id=f"finding-{finding.id}",
        mark=sign,
        severity=word,
        severity_class=finding.severity,
        message=finding.message,
        figures=" ".join(part for part in (_pair(finding), f"[{finding.rule_kind}]") if part),
        source="; ".join(part for part in (finding.source, STATUS_WORDS[finding.source_status]) if part),
        show_url=there.url() if finding.code in load_codes else "",
        mends=tuple(
            MendView(
                change_form(state, "/mend", revision, finding=finding.id, mend=str(number)),
                f"mend-{finding.id}-{number}",
                mend.label,
            )
            for number, mend in enumerate(finding.mends)
        ),
    )


def _pair(finding: "Finding") -> str:
    if finding.figure is None:
        return ""
    figure = _figure(finding.figure)
    return (
        figure
        if finding.limit is None
        else f"{figure}, limit {_figure(finding.limit)} ({finding.limit.basis})"
    )


def _figure(figure: "Figure") -> str:
    digits = 0 if figure.unit not in {"V", "%", "A"} else 1
    return f"{figure.value:.{digits}f} {figure.unit}".replace("-", "−")

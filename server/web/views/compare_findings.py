"""What goes, comes and changes among the findings of two boats."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from server.boat.finding import Finding
    from server.checks.effects import Effect


@dataclass(frozen=True)
class FindingLineView:
    """A finding that went, came or changed."""

    severity: str
    message: str


@dataclass(frozen=True)
class FindingsBetweenView:
    """``compare/_findings.html``: ``more_url`` while not all of them are worked out."""

    gone: tuple[FindingLineView, ...] = ()
    come: tuple[FindingLineView, ...] = ()
    changed: tuple[FindingLineView, ...] = ()
    told: str = ""
    more_url: str = ""
    page_url: str = ""


def findings_between_view(of: "Effect | None", more_url: str = "", page_url: str = "") -> FindingsBetweenView:
    """What went, came and changed, in the words of the findings; with ``more_url`` as far as it is known."""
    if of is None:
        return FindingsBetweenView(more_url=more_url, page_url=page_url)
    told = "" if more_url or of.gone or of.come or of.changed else "The findings are the same on both."
    return FindingsBetweenView(
        more_url=more_url,
        page_url=page_url,
        gone=tuple(map(_line, of.gone)),
        come=tuple(map(_line, of.come)),
        changed=tuple(_changed(before, after) for before, after in of.changed),
        told=told,
    )


def _line(finding: "Finding") -> FindingLineView:
    return FindingLineView(finding.severity.replace("-", " "), finding.message)


def _changed(before: "Finding", after: "Finding") -> FindingLineView:
    graded = f"{before.severity} → {after.severity}" if before.severity != after.severity else after.severity
    return FindingLineView(graded.replace("-", " "), after.message)

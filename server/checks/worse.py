"""Which of two findings of the same thing is worse: by severity, then by how far past its limit."""

from typing import Protocol

from server.boat.figure import Figure, Severity

SEVERITIES: tuple[Severity, ...] = ("danger", "fault", "advice", "cannot-tell")
"""The worst first."""
FLOORS = frozenset(
    {
        "restarts",
        "too-close",
        "dips-low",
        "outputs-brown-out",
        "low-voltage",
        "limit-not-known",
        "fault-does-not-open",
        "fault-may-not-open",
        "negative-below-feeder",
        "interrupting-below-table",
        "switch-continuous",
        "voltage-rating-low",
        "no-earth-link",
        "stall-does-not-open",
        "few-spare-ways",
    }
)
"""Codes whose figure ought to be high: volts that a load needs, a current that opens a fuse, a rating."""
ROUNDING = 1e-6
"""Smaller differences are those of computing, not of the boat."""


class Judged(Protocol):
    """A finding as it is, or as it was when somebody accepted it."""

    @property
    def code(self) -> str: ...  # noqa: D102 - as in Finding
    @property
    def severity(self) -> Severity: ...  # noqa: D102 - as in Finding
    @property
    def figure(self) -> Figure | None: ...  # noqa: D102 - as in Finding
    @property
    def limit(self) -> Figure | None: ...  # noqa: D102 - as in Finding


def is_worse(one: Judged, other: Judged) -> bool:
    """Whether a finding is worse than another of the same code and subjects."""
    rank, other_rank = SEVERITIES.index(one.severity), SEVERITIES.index(other.severity)
    return rank < other_rank if rank != other_rank else excess(one) > excess(other) + ROUNDING


def excess(finding: Judged) -> float:
    """How far a figure is past its limit, as a share of the limit; without a limit the figure itself.

    Negative where the figure has not reached its limit; 0 where there is no figure.
    """
    if finding.figure is None:
        return 0.0
    sign = -1.0 if finding.code in FLOORS else 1.0
    if finding.limit is None or finding.limit.value == 0:
        return sign * finding.figure.value
    return sign * (finding.figure.value / finding.limit.value - 1)

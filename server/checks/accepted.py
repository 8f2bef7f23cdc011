"""Findings that a surveyor lets stand, as long as they are no worse than when they were accepted."""

from collections.abc import Iterable

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.checks.worse import is_worse


def with_acceptances(boat: Boat, found: Iterable[Finding]) -> tuple[Finding, ...]:
    """The same findings, those that are accepted marked with by whom and why.

    A finding that has become worse than it was then is open again.
    """
    known = {one.finding: one for one in boat.accepted}
    return tuple(
        one
        if (by := known.get(one.id)) is None or is_worse(one, by)
        else one.model_copy(update={"accepted": by})
        for one in found
    )


def open_ones(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that nobody accepted."""
    return tuple(one for one in found if one.accepted is None)


def come_back(boat: Boat, finding: Finding) -> str:
    """What to say of an open finding that somebody accepted while it was less bad; else empty."""
    if finding.accepted is not None:
        return ""
    by = next((one for one in boat.accepted if one.finding == finding.id), None)
    if by is None:
        return ""
    then = "" if by.figure is None else f" at {by.figure.value:.4g} {by.figure.unit}"
    return f"Accepted by {by.by}{then}; it is worse now, so it stands open again."

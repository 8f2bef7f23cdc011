"""Letting a finding stand: whatever a surveyor accepts is kept with its figure as it is now."""

from server.actions.mending import finding_of
from server.actions.yard import Yard, document, revision_of
from server.boat.acceptance import Acceptance
from server.boat.edits import AcceptFinding


def accept_edit(  # noqa: PLR0913, PLR0917 - each names one thing of the acceptance
    yard: Yard, boat_id: str, rev: int, finding_id: str, by: str, reason: str
) -> AcceptFinding:
    """The edit that accepts a finding of a revision.

    Raises:
        UnknownChoiceError: there is no such finding.
        UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
        ValidationError: name or reason is missing or too long.
    """
    revision = revision_of(yard, boat_id, rev)
    finding = finding_of(yard, revision.sha, document(yard, revision), finding_id)
    return AcceptFinding(
        acceptance=Acceptance(
            code=finding.code,
            subjects=finding.subjects,
            mode=finding.mode,
            event=finding.event,
            severity=finding.severity,
            figure=finding.figure,
            limit=finding.limit,
            by=by,
            reason=reason,
        )
    )

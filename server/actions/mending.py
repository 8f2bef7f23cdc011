"""The mends that can be offered for findings, and the edits they make."""

from typing import TYPE_CHECKING

from server.actions import findings
from server.actions.choices import UnknownChoiceError
from server.actions.put_downs import edit_steps
from server.actions.results import Results
from server.actions.trying import MOST_OFFERED, Offer, Trial, tried
from server.actions.yard import Yard, document, revision_of
from server.boat.boat import Boat
from server.boat.edits import AnyEdit, Several

if TYPE_CHECKING:
    from server.boat.finding import Finding

__all__ = ["Offer", "Trial", "all_mended", "finding_of", "mend_edit", "offers", "trial"]


def offers(results: Results, sha: str, boat: Boat, finding_id: str) -> tuple[Offer, ...]:
    """The mends that clear a finding and bring none as bad, the better job first; worked out once.

    Raises:
        UnknownChoiceError: there is no such finding.
    """
    return trial(results, sha, boat, finding_id).go_on()


def trial(results: Results, sha: str, boat: Boat, finding_id: str) -> Trial:
    """The trying of a finding's mends, as far as it has come.

    Raises:
        UnknownChoiceError: there is no such finding.
    """
    return results.trials.get(
        (sha, finding_id),
        lambda: Trial(tried(results, sha, boat, finding_of(results, sha, boat, finding_id))),
    )


def finding_of(results: Results, sha: str, boat: Boat, finding_id: str) -> "Finding":
    """A finding by its id, of all modes.

    Raises:
        UnknownChoiceError: there is no such finding.
    """
    found = (one for one in findings.all_findings(results, sha, boat) if one.id == finding_id)
    finding = next(found, None)
    if finding is None:
        raise UnknownChoiceError("That finding is not there any more. Load the page again.")
    return finding


def all_mended(results: Results, sha: str, boat: Boat) -> "tuple[Finding, ...]":
    """What is found on the boat, each open finding with the mends that can be offered."""
    return tuple(
        one
        if one.accepted
        else one.model_copy(
            update={"mends": tuple(offer.mend for offer in offers(results, sha, boat, one.id))}
        )
        for one in findings.all_findings(results, sha, boat)
    )


_NUMBERS = frozenset(str(number) for number in range(MOST_OFFERED))


def mend_edit(yard: Yard, boat_id: str, rev: int, finding_id: str, number: str) -> AnyEdit:
    """The edit of a mend that was offered on a revision; several edits make one.

    Raises:
        UnknownChoiceError: no such finding or mend is offered there.
        UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
    """
    revision = revision_of(yard, boat_id, rev)
    tried = trial(yard, revision.sha, document(yard, revision), finding_id)
    offered = tried.go_on(enough=int(number) + 1) if number in _NUMBERS else ()
    if number not in {str(one) for one in range(len(offered))}:
        raise UnknownChoiceError("That mend is not offered any more. Load the page again.")
    mend = offered[int(number)].mend
    if not mend.edits:
        raise UnknownChoiceError("That mend is done by hand: there is nothing to change on the plan.")
    if len(mend.edits) == 1:
        return mend.edits[0]
    return Several(edits=tuple(one for edit in mend.edits for one in edit_steps(edit)), label=mend.label)

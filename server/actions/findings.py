"""What is found on a boat: at once, in all of a mode, with the mends that can be offered."""

from typing import TYPE_CHECKING

from server.actions import in_time
from server.actions.answers import answer
from server.actions.choices import Chosen, UnknownChoiceError
from server.actions.mending_moves import kept_moves
from server.actions.results import Results
from server.actions.yard import Yard, document, revision_of
from server.boat.boat import Boat

if TYPE_CHECKING:
    from server.boat.edits import AnyEdit, SingleEdit
    from server.boat.finding import Finding


def found_at_once(
    results: Results, sha: str, boat: Boat, mode: str, event: str | None = None
) -> "tuple[Finding, ...]":
    """What is found at once in a mode with one event or with all of its events; without mends.

    Events that are known in time are judged by that, the others by their first instant.
    """
    from server.checks.judge import findings_at_once

    solved = answer(results, sha, boat, mode, event)
    known = in_time.known_events(results, sha, mode, tuple(info.event for info in solved.events))
    key = (sha, mode, event if len(solved.events) == 1 else None, known)
    return results.findings.get(key, lambda: findings_at_once(boat, in_time.over(results, sha, boat, solved)))


def all_found(results: Results, sha: str, boat: Boat, mode: str) -> "tuple[Finding, ...]":
    """All that is found in a mode with all of its events in time, by the slower checks too; without mends."""
    from server.checks.judge import findings

    def made() -> "tuple[Finding, ...]":
        return findings(boat, in_time.whole(results, sha, boat, answer(results, sha, boat, mode)))

    return results.whole_findings.get((sha, mode), made)


def mended(results: Results, sha: str, boat: Boat, mode: str) -> "tuple[Finding, ...]":
    """All that is found in a mode with all of its events, with the mends that can be offered."""
    return results.mended.get(
        (sha, mode),
        lambda: tuple(_mended(results, sha, boat, one) for one in all_found(results, sha, boat, mode)),
    )


def _mended(results: Results, sha: str, boat: Boat, finding: "Finding") -> "Finding":
    """The finding with the moves that clear it."""
    if finding.code not in _MOVABLE or finding.mode is None or finding.event is None:
        return finding
    part, name = finding.subjects
    chosen = Chosen(finding.mode, finding.event)
    mends = kept_moves(results, sha, boat, part, name, chosen)
    return finding.model_copy(update={"mends": mends})


_MOVABLE = frozenset({"restarts", "too-close"})


def all_findings(results: Results, sha: str, boat: Boat) -> "tuple[Finding, ...]":
    """What is found on the boat in all its modes and events, worst first, each once, with mends."""
    from server.checks.judge import merged

    return merged([one for mode in boat.modes for one in mended(results, sha, boat, mode.id)])


def is_all_known(results: Results, sha: str, boat: Boat) -> bool:
    """Whether every mode has been answered with all its events, so that nothing has to be waited for."""
    return all(results.mended.peek((sha, mode.id)) is not None for mode in boat.modes)


def not_assessed(results: Results, sha: str, boat: Boat) -> tuple[str, ...]:
    """What was left open in all modes: not computed, not seen, or without a published table to judge by."""
    from server.checks.judge import not_assessed as left_open

    told = [text for mode in boat.modes for text in answer(results, sha, boat, mode.id).not_assessed]
    return tuple(dict.fromkeys((*told, *results.unjudged.get(sha, lambda: left_open(boat)))))


def mend_edit(yard: Yard, boat_id: str, rev: int, finding: str, mend: str) -> "AnyEdit":
    """The edit of a mend that was offered on a revision; several edits make one.

    Raises:
        UnknownChoiceError: no such finding or mend is offered there.
        UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
    """
    from server.boat.edits import Several

    revision = revision_of(yard, boat_id, rev)
    boat = document(yard, revision)
    for mode in boat.modes:
        for one in mended(yard, revision.sha, boat, mode.id):
            if one.id == finding and mend in {str(number) for number in range(len(one.mends))}:
                chosen = one.mends[int(mend)]
                if len(chosen.edits) == 1:
                    return chosen.edits[0]
                singles = [edit for whole in chosen.edits for edit in _singles(whole)]
                return Several(edits=tuple(singles), label=chosen.label)
    raise UnknownChoiceError("That finding is not there any more. Load the page again.")


def _singles(edit: "AnyEdit") -> "tuple[SingleEdit, ...]":
    from server.boat.edits import Several

    return edit.edits if isinstance(edit, Several) else (edit,)

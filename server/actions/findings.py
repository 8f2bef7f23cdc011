"""What is found on a boat: at once, in all of a mode, with the mends that can be offered."""

from typing import TYPE_CHECKING

from server.actions import in_time
from server.actions.answers import answer
from server.actions.results import Results
from server.boat.boat import Boat

if TYPE_CHECKING:
    from server.boat.finding import Finding


def found_at_once(  # noqa: PLR0913, PLR0917 - each names one thing of the question
    results: Results,
    sha: str,
    boat: Boat,
    mode: str,
    event: str | None = None,
    known: frozenset[str] | None = None,
) -> "tuple[Finding, ...]":
    """What is found at once in a mode with one event or with all of its events; without mends.

    Events that are known in time, or those of them that are named as ``known``, are judged by that, the
    others by their first instant.
    """
    from server.checks.accepted import with_acceptances
    from server.checks.judge import findings_at_once

    solved = answer(results, sha, boat, mode, event)
    if known is None:
        known = in_time.known_events(results, sha, mode, tuple(info.event for info in solved.events))
    key = (sha, mode, event if len(solved.events) == 1 else None, known)

    def made() -> "tuple[Finding, ...]":
        return with_acceptances(boat, findings_at_once(boat, in_time.over_known(results, sha, solved, known)))

    return results.findings.get(key, made)


def all_found(results: Results, sha: str, boat: Boat, mode: str) -> "tuple[Finding, ...]":
    """All that is found in a mode with all of its events in time, by the slower checks too; without mends."""
    from server.checks.accepted import with_acceptances
    from server.checks.judge import findings

    def made() -> "tuple[Finding, ...]":
        solved = in_time.whole(results, sha, boat, answer(results, sha, boat, mode))
        return with_acceptances(boat, findings(boat, solved))

    return results.whole_findings.get((sha, mode), made)


def all_findings(results: Results, sha: str, boat: Boat) -> "tuple[Finding, ...]":
    """What is found on the boat in all its modes and events, worst first, each once; without mends."""
    from server.checks.judge import merged

    return merged([one for mode in boat.modes for one in all_found(results, sha, boat, mode.id)])


def all_found_at_first(results: Results, sha: str, boat: Boat) -> "tuple[Finding, ...]":
    """The same, every event judged by its first instant alone."""
    from server.checks.accepted import with_acceptances
    from server.checks.judge import findings, merged

    found = [one for mode in boat.modes for one in findings(boat, answer(results, sha, boat, mode.id))]
    return with_acceptances(boat, merged(found))


def is_all_known(results: Results, sha: str, boat: Boat) -> bool:
    """Whether every mode has been answered with all its events, so that nothing has to be waited for."""
    return all(results.whole_findings.peek((sha, mode.id)) is not None for mode in boat.modes)


def not_assessed(results: Results, sha: str, boat: Boat) -> tuple[str, ...]:
    """What was left open in all modes: not computed, not seen, or without a published table to judge by."""
    from server.checks.judge import not_assessed as left_open

    told = [text for mode in boat.modes for text in answer(results, sha, boat, mode.id).not_assessed]
    return tuple(dict.fromkeys((*told, *results.unjudged.get(sha, lambda: left_open(boat)))))

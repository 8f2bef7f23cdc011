"""The mends of one finding, each judged on the boat after it: it clears the finding and does no harm."""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from server.actions import findings
from server.actions.answers import answer
from server.actions.choices import Chosen, UnknownChoiceError
from server.actions.pick_ups import kept_pick_up
from server.actions.put_downs import edit_steps
from server.actions.results import Results
from server.actions.yard import Yard, document, revision_of
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import (
    AnyEdit,
    ChangeValue,
    EditError,
    MoveLead,
    SetSize,
    Several,
    SingleEdit,
    Splice,
    apply,
)
from server.boat.leads import Landings, lead, lead_terminals

if TYPE_CHECKING:
    from server.boat.finding import Finding, Mend
    from server.checks.copper import Bought
    from server.checks.effects import Effect
    from server.engine.answer import TapAnswer

MOST_OFFERED = 3
MOST_TRIED = 16
"""Candidates that are looked at by the first instant of events."""
MOST_FOLLOWED = 6
"""Candidates that are followed in time."""


@dataclass(frozen=True)
class Offer:
    """A mend with what it does to all findings, and the cable it asks for."""

    mend: "Mend"
    effect: "Effect"
    bought: "tuple[Bought, ...]"


def offers(results: Results, sha: str, boat: Boat, finding_id: str) -> tuple[Offer, ...]:
    """The mends that clear a finding and bring none as bad, the better job first; worked out once.

    Raises:
        UnknownChoiceError: there is no such finding.
    """
    return results.offers.get((sha, finding_id), lambda: _offers(results, sha, boat, finding_id))


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


def mend_edit(yard: Yard, boat_id: str, rev: int, finding_id: str, number: str) -> AnyEdit:
    """The edit of a mend that was offered on a revision; several edits make one.

    Raises:
        UnknownChoiceError: no such finding or mend is offered there.
        UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
    """
    revision = revision_of(yard, boat_id, rev)
    offered = offers(yard, revision.sha, document(yard, revision), finding_id)
    if number not in {str(one) for one in range(len(offered))}:
        raise UnknownChoiceError("That mend is not offered any more. Load the page again.")
    mend = offered[int(number)].mend
    if len(mend.edits) == 1:
        return mend.edits[0]
    return Several(edits=tuple(one for edit in mend.edits for one in edit_steps(edit)), label=mend.label)


def _offers(results: Results, sha: str, boat: Boat, finding_id: str) -> tuple[Offer, ...]:
    """Screened by what needs no event, which is quick; what passes is then followed in time."""
    from server.checks.copper import bought
    from server.checks.effects import effect, is_cure

    finding = finding_of(results, sha, boat, finding_id)
    before = findings.all_findings(results, sha, boat)
    found = list[Offer]()
    for mend, after in islice(_harmless(results, sha, boat, finding), MOST_FOLLOWED):
        if any(_job(one.mend) == _job(mend) for one in found):
            continue
        results_after, sha_after = Results(), _sha(after)
        if _stays(results_after, sha_after, after, finding):
            continue
        of = effect(before, findings.all_findings(results_after, sha_after, after))
        if is_cure(finding, of):
            found.append(Offer(mend, of, bought(boat, after)))
        if len(found) == MOST_OFFERED:
            break
    return tuple(found)


def _stays(results: Results, sha: str, after: Boat, finding: "Finding") -> bool:
    """Whether a finding of one mode is still there after a mend: that mode is asked before all others."""
    if finding.mode is None:
        return False
    return any(one.id == finding.id for one in findings.all_found(results, sha, after, finding.mode))


def _job(mend: "Mend") -> frozenset[object]:
    """What a mend takes in hand, whatever size or rating it gives it: one of a job is enough."""
    return frozenset(_hand(edit) for whole in mend.edits for edit in edit_steps(whole))


def _hand(edit: SingleEdit) -> object:
    match edit:
        case SetSize() | Splice():
            return edit.kind, edit.conductor
        case ChangeValue():
            return edit.kind, edit.id, edit.field
        case MoveLead():
            return edit.kind, edit.part, edit.terminal, edit.to.part, edit.to.terminal.rpartition("-")[0]
        case _:
            return edit


def _harmless(results: Results, sha: str, boat: Boat, finding: "Finding") -> "Iterator[tuple[Mend, Boat]]":
    """Candidates with the boat after each, as far as what needs no event says nothing against them."""
    from server.checks.effects import brings_harm, effect, is_cure

    before = _steady(findings.all_found_at_first(results, sha, boat))
    for mend in islice(_unlike(_wanted(results, sha, boat, finding)), MOST_TRIED):
        after = _mended_boat(boat, mend)
        if after is None:
            continue
        of = effect(before, _steady(findings.all_found_at_first(Results(), _sha(after), after)))
        if is_cure(finding, of) if finding.event is None else not brings_harm(finding, of):
            yield mend, after


def _steady(found: "Iterable[Finding]") -> "list[Finding]":
    return [one for one in found if one.event is None]


def _mended_boat(boat: Boat, mend: "Mend") -> Boat | None:
    """The boat after a mend; None where the edit does not fit it."""
    try:
        for edit in mend.edits:
            boat = apply(boat, edit)
    except EditError:
        return None
    return boat


def _sha(boat: Boat) -> str:
    return hashlib.sha256(boat_bytes(boat)).hexdigest()


def _unlike(mends: "Iterable[Mend]") -> "Iterator[Mend]":
    """Each mend once, however many ways led to it."""
    seen = list[object]()
    for mend in mends:
        if mend.edits not in seen:
            seen.append(mend.edits)
            yield mend


def _wanted(results: Results, sha: str, boat: Boat, finding: "Finding") -> "Iterator[Mend]":
    """What an electrician would think of, the better job first."""
    from server.checks.mending.candidates import candidates
    from server.checks.mending.patient import Patient

    modes = tuple(answer(results, sha, boat, mode.id) for mode in boat.modes)
    chosen = Chosen(finding.mode or boat.modes[0].id, finding.event)
    landings = Landings.of(boat)

    def taps(part: str, terminal: str) -> "Iterable[TapAnswer]":
        known = part in landings.parts and terminal in lead_terminals(landings.parts[part])
        if not known or lead(boat, part, terminal, landings).last is None:
            return ()
        return kept_pick_up(results, sha, boat, part, terminal, chosen).taps

    return candidates(Patient(boat, finding, modes), taps)

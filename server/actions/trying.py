"""The mends of one finding tried one after another, each judged on the boat after it.

What is offered clears the finding and does no harm. To try all of them takes seconds on a large boat, so that
whoever asks may take what was found so far and come back.
"""

import hashlib
import math
import threading
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from server.actions import findings
from server.actions.answers import answer
from server.actions.choices import Chosen
from server.actions.pick_ups import kept_pick_up
from server.actions.put_downs import edit_steps
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import ChangeValue, EditError, MoveLead, SetSize, SingleEdit, Splice, apply
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


class Trial:
    """What is offered for one finding, as far as it was tried."""

    def __init__(self, tried: Iterator[Offer | None]) -> None:
        """Begin with nothing tried."""
        self._tried = tried
        self._lock = threading.Lock()
        self.found: tuple[Offer, ...] = ()
        self.is_over = False

    def go_on(self, budget_s: float = math.inf, enough: int = MOST_OFFERED) -> tuple[Offer, ...]:
        """Try on until enough is found, all is tried or the time is used up; one is tried at least."""
        with self._lock:
            until = time.monotonic() + budget_s
            while not self.is_over and len(self.found) < enough:
                self._try_next()
                if time.monotonic() >= until:
                    break
            return self.found

    def _try_next(self) -> None:
        offer = next(self._tried, _END)
        if isinstance(offer, Offer):
            self.found = (*self.found, offer)
        self.is_over = offer is _END or len(self.found) == MOST_OFFERED
        if self.is_over:
            self._tried = iter(())  # lets go of the boat


_END = object()


def tried(results: Results, sha: str, boat: Boat, finding: "Finding") -> Iterator[Offer | None]:
    """Each candidate with what it does; None for one that is no mend.

    Screened by what needs no event, which is quick; what passes is then followed in time.
    """
    from server.checks.effects import effect
    from server.checks.mending.by_hand import by_hand

    for mend in by_hand(boat, finding):
        yield Offer(mend, effect((), ()), ())
    jobs = list[frozenset[object]]()
    followed = 0
    for mend in islice(_unlike(_wanted(results, sha, boat, finding)), MOST_TRIED):
        after = _mended_boat(boat, mend)
        offer = None
        if after is not None and _is_harmless(results, sha, boat, finding, after):
            followed += 1
            offer = None if _job(mend) in jobs else _followed(results, sha, boat, finding, mend, after)
        if offer is not None:
            jobs.append(_job(mend))
        yield offer
        if followed == MOST_FOLLOWED:
            return


def _is_harmless(results: Results, sha: str, boat: Boat, finding: "Finding", after: Boat) -> bool:
    """Whether what needs no event says nothing against the boat after a mend."""
    from server.checks.effects import brings_harm, effect, is_cure

    before = _steady(findings.all_found_at_first(results, sha, boat))
    of = effect(before, _steady(findings.all_found_at_first(Results(), _sha(after), after)))
    return is_cure(finding, of) if finding.event is None else not brings_harm(finding, of)


def _followed(  # noqa: PLR0913, PLR0917 - the boat before and after, and what is mended by what
    results: Results, sha: str, boat: Boat, finding: "Finding", mend: "Mend", after: Boat
) -> Offer | None:
    """A mend with all that it does by the events in time; None where it is no cure or harms."""
    from server.checks.copper import bought
    from server.checks.effects import effect, is_cure

    results_after, sha_after = Results(explains=False), _sha(after)
    if _stays(results_after, sha_after, after, finding):
        return None
    before = findings.all_findings(results, sha, boat)
    of = effect(before, findings.all_findings(results_after, sha_after, after))
    return Offer(mend, of, bought(boat, after)) if is_cure(finding, of) else None


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
        case ChangeValue(value=dict(value)):
            return edit.kind, edit.id, edit.field, str(value.get("kind"))
        case ChangeValue():
            return edit.kind, edit.id, edit.field
        case MoveLead():
            return edit.kind, edit.part, edit.terminal, edit.to.part, edit.to.terminal.rpartition("-")[0]
        case _:
            return edit


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

"""What a boat answers: results of a mode and event, what every tap would bring, a load's loop, findings."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions.results import Results
from server.actions.yard import OpenBoat, Yard, document, revision_of
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.leads import Landings, lead, lead_terminals
from server.boat.modes import Event
from server.boat.parts import Busbar, Load, Panel, Post
from server.store.values import Revision

if TYPE_CHECKING:
    from server.actions.compare import Comparison
    from server.boat.edits import AnyEdit, MoveLead, SingleEdit
    from server.boat.finding import Finding, Mend
    from server.checks.ground import Ground
    from server.engine.answer import EventAnswer, EventInfo, InputAnswer, LoopStep, ModeAnswer, PickUp


class UnknownChoiceError(ValueError):
    """A mode, event or load that this boat does not have."""


@dataclass(frozen=True)
class Chosen:
    """The mode and event whose answer is shown; a boat without modes has neither."""

    mode: str
    event: str | None


def choose(results: Results, sha: str, boat: Boat, mode: str | None, event: str | None) -> Chosen | None:
    """The mode and event asked for; what is left out is the worst of all heavy loads in all modes.

    Raises:
        UnknownChoiceError: the boat has no such mode or event.
    """
    if not boat.modes:
        return None
    known = {one.id: one for one in events_of(boat)}
    if event is not None and event not in known:
        raise UnknownChoiceError(f"This boat has no event “{event}”. Choose one from the list.")
    if mode is not None and mode not in {one.id for one in boat.modes}:
        raise UnknownChoiceError(f"This boat has no mode “{mode}”. Choose one from the list.")
    if event is not None and mode in {None, known[event].mode}:
        return Chosen(known[event].mode, event)
    if mode is not None:
        return Chosen(mode, _worst_in(results, sha, boat, mode))
    return _worst(results, sha, boat)


def _worst(results: Results, sha: str, boat: Boat) -> Chosen:
    found = results.worst.get(sha, lambda: _ask_worst(boat))
    return Chosen(*found) if found else Chosen(boat.modes[0].id, None)


def _ask_worst(boat: Boat) -> tuple[str, str] | tuple[()]:
    from server.engine.analysis import worst_event

    return worst_event(boat) or ()


def _worst_in(results: Results, sha: str, boat: Boat, mode: str) -> str | None:
    """The event of a mode in which most restart, then the one with the lowest volts."""
    infos = answer(results, sha, boat, mode).events
    if not infos:
        return None
    return min(infos, key=_badness).event


def _badness(info: "EventInfo") -> tuple[int, float]:
    return -info.restarts, math.inf if info.worst_lowest_v is None else info.worst_lowest_v


def answer(results: Results, sha: str, boat: Boat, mode: str, event: str | None = None) -> "ModeAnswer":
    """A mode solved, with one event or (left out) with all of its events; no input's sag is split."""
    whole = results.answers.peek((sha, mode, None))
    if whole is not None:
        return whole
    return results.answers.get((sha, mode, event), lambda: _solve(boat, mode, event))


def _solve(boat: Boat, mode: str, event: str | None) -> "ModeAnswer":
    from server.engine.analysis import analyse_mode

    return analyse_mode(boat, mode, events=None if event is None else (event,), explained=())


def whole_answer(results: Results, sha: str, boat: Boat, mode: str) -> "ModeAnswer":
    """A mode with all of its events, with every input's sag split and its best tap searched."""
    from server.actions.judged_taps import judge
    from server.engine.analysis import analyse_mode

    return results.wholes.get(
        (sha, mode), lambda: analyse_mode(boat, mode, is_allowed=judge(_ground(results, sha, boat, mode)))
    )


LARGEST_AT_ONCE = 100
"""Up to so many conductors an answer waits for better taps and for moves that mend; beyond, they follow."""


def shown_answer(
    yard: Yard, opened: OpenBoat, chosen: Chosen, selected: str | None = None, *, hurried: bool = False
) -> "ModeAnswer":
    """The answer of the chosen mode; with all of its events as soon as they are known.

    The sag of a selected part's inputs in the chosen event is split. Its best tap is searched too, but on a
    large boat not in a hurry.
    """
    solved = answer(yard, opened.sha, opened.boat, chosen.mode, chosen.event)
    if chosen.event is None or all(selected not in {load.part, load.id} for load in solved.loads):
        return solved
    searches = not hurried or len(opened.boat.conductors) <= LARGEST_AT_ONCE
    loads = (
        _explained(yard, opened, load, chosen.mode, chosen.event, searches=searches)
        if selected in {load.part, load.id}
        else load
        for load in solved.loads
    )
    return replace(solved, loads=tuple(loads))


def _explained(  # noqa: PLR0913 - each names one thing of the input
    yard: Yard, opened: OpenBoat, load: "InputAnswer", mode: str, event: str, *, searches: bool
) -> "InputAnswer":
    """An input with its sag in an event split over the elements."""
    from server.actions.judged_taps import judge
    from server.engine.analysis import explained

    key = (opened.sha, load.part, load.input, mode, event)
    terminal = (load.part, load.input)

    def seen_again(seen: "EventAnswer") -> "EventAnswer":
        if seen.event != event:
            return seen
        searched = yard.explained.peek((key, True))
        return searched or yard.explained.get((key, searches), made)

    def made() -> "EventAnswer":
        is_allowed = judge(_ground(yard, opened.sha, opened.boat, mode)) if searches else None
        return explained(opened.boat, mode, event, terminal, is_allowed, searches=searches)

    return replace(load, events=tuple(map(seen_again, load.events)))


def pick_up(yard: Yard, opened: OpenBoat, part: str, terminal: str, chosen: Chosen) -> "PickUp":
    """What would come of putting a lead down at each tap, ranked.

    Raises:
        UnknownChoiceError: no lead that could be moved begins there; the message says why.
    """
    landings = Landings.of(opened.boat)
    if part not in landings.parts or terminal not in lead_terminals(landings.parts[part]):
        raise UnknownChoiceError("No lead begins there: choose a terminal of a load or a source.")
    begun = lead(opened.boat, part, terminal, landings)
    if begun.last is None:
        raise UnknownChoiceError(begun.reason or "No lead begins there.")
    return _kept_pick_up(yard, opened.sha, opened.boat, part, terminal, chosen)


def leads_met(yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen) -> "tuple[PickUp, ...]":
    """What each of a load's leads that can be moved would meet at every tap."""
    landings = Landings.of(opened.boat)
    return tuple(
        _kept_pick_up(yard, opened.sha, opened.boat, load.part, terminal, chosen)
        for terminal in lead_ends(opened.boat, load.part, load.input)
        if lead(opened.boat, load.part, terminal, landings).last is not None
    )


def _kept_pick_up(  # noqa: PLR0913, PLR0917 - each names one thing of the lead
    results: Results, sha: str, boat: Boat, part: str, terminal: str, chosen: Chosen
) -> "PickUp":
    key = (sha, part, terminal, chosen.mode, chosen.event)
    return results.pick_ups.get(key, lambda: _pick_up(results, sha, boat, part, terminal, chosen))


def lead_ends(boat: Boat, part_id: str, name: str) -> tuple[str, str]:
    """The two terminals on which the leads of an input begin."""
    part = next(part for part in boat.parts if part.id == part_id)
    if isinstance(part, Load):
        return next((one.id, one.returns_to) for one in part.inputs if one.id == name)
    return ("positive", "negative")


def _pick_up(  # noqa: PLR0913, PLR0917 - each names one thing of the lead
    results: Results, sha: str, boat: Boat, part: str, terminal: str, chosen: Chosen
) -> "PickUp":
    from server.actions.judged_taps import judged
    from server.engine.taps import pick_up as engine_pick_up

    ground = _ground(results, sha, boat, chosen.mode)
    return judged(ground, engine_pick_up(boat, part, terminal, chosen.mode, chosen.event))


def _ground(results: Results, sha: str, boat: Boat, mode_id: str) -> "Ground":
    """What the checks judge the places of a mode by."""
    from server.checks.ground import Ground

    mode = next(one for one in boat.modes if one.id == mode_id)
    return results.grounds.get((sha, mode.id), lambda: Ground(boat, mode))


def loop(yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen) -> "tuple[LoopStep, ...]":
    """A load's loop from battery + round to battery −; empty where the load is not fed."""
    key = (opened.sha, load.part, load.input, chosen.mode, chosen.event)
    return yard.loops.get(key, lambda: _loop(opened.boat, load, chosen))


def _loop(boat: Boat, load: "InputAnswer", chosen: Chosen) -> "tuple[LoopStep, ...]":
    from server.engine.loop import loop as engine_loop

    return engine_loop(boat, load.part, load.input, chosen.mode, chosen.event)


def found(
    results: Results, sha: str, boat: Boat, mode: str, event: str | None = None
) -> "tuple[Finding, ...]":
    """What is found at once in a mode with one event or with all of its events; without mends."""
    from server.checks.judge import findings_at_once

    solved = answer(results, sha, boat, mode, event)
    key = (sha, mode, event if len(solved.events) == 1 else None)
    return results.findings.get(key, lambda: findings_at_once(boat, solved))


def all_found(results: Results, sha: str, boat: Boat, mode: str) -> "tuple[Finding, ...]":
    """All that is found in a mode with all of its events, by the slower checks too; without mends."""
    from server.checks.judge import findings

    solved = answer(results, sha, boat, mode)
    return results.whole_findings.get((sha, mode), lambda: findings(boat, solved))


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
    mends = _kept_moves(results, sha, boat, part, name, chosen)
    return finding.model_copy(update={"mends": mends})


def mends_of(yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen) -> "tuple[Mend, ...]":
    """The moves of its leads that clear a load's trouble in an event, the better first."""
    return _kept_moves(yard, opened.sha, opened.boat, load.part, load.input, chosen)


def known_mends_of(
    yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen
) -> "tuple[Mend, ...] | None":
    """The same, where they were worked out already."""
    return yard.moves.peek((opened.sha, load.part, load.input, chosen.mode, chosen.event))


def _kept_moves(  # noqa: PLR0913, PLR0917 - each names one thing of the load
    results: Results, sha: str, boat: Boat, part: str, name: str, chosen: Chosen
) -> "tuple[Mend, ...]":
    key = (sha, part, name, chosen.mode, chosen.event)
    return results.moves.get(key, lambda: _moves(results, sha, boat, part, name, chosen))


def _moves(  # noqa: PLR0913, PLR0917 - each names one thing of the load
    results: Results, sha: str, boat: Boat, part: str, name: str, chosen: Chosen
) -> "tuple[Mend, ...]":
    from server.boat.edits import apply
    from server.checks.judge import wiring_findings
    from server.checks.mends import move_mends

    landings = Landings.of(boat)
    held = [
        _kept_pick_up(results, sha, boat, part, terminal, chosen)
        for terminal in lead_ends(boat, part, name)
        if lead(boat, part, terminal, landings).last is not None
    ]
    solved = answer(results, sha, boat, chosen.mode, chosen.event)
    known = {(one.code, one.subjects) for one in wiring_findings(boat, solved)}

    def is_harmless(move: "MoveLead") -> bool:
        if not isinstance(landings.parts[move.to.part], Busbar | Post | Panel):
            return False
        after = wiring_findings(apply(boat, move), solved)
        return {(one.code, one.subjects) for one in after} <= known

    def elsewhere(one: "PickUp") -> "Iterator[PickUp]":
        for event in events_of(boat):
            if event.mode == chosen.mode and event.id != chosen.event:
                other = Chosen(chosen.mode, event.id)
                yield _kept_pick_up(results, sha, boat, one.part, one.terminal, other)

    return move_mends(held, elsewhere, is_harmless)


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


def event_by_id(boat: Boat, event: str | None) -> Event | None:
    """The stored or default event of this id."""
    return next((one for one in events_of(boat) if one.id == event), None)


def comparison(yard: Yard, earlier: Revision, opened: OpenBoat, chosen: Chosen) -> "Comparison":
    """Before and after the changes since an earlier revision, in one mode and event.

    Where the earlier document had no such mode or event, everything counts as new.
    """
    from server.actions.compare import Comparison, compare

    before = document(yard, earlier)
    after_answer = answer(yard, opened.sha, opened.boat, chosen.mode, chosen.event)
    try:
        choose(yard, earlier.sha, before, chosen.mode, chosen.event)
    except UnknownChoiceError:
        return Comparison((), (), ())
    before_answer = answer(yard, earlier.sha, before, chosen.mode, chosen.event)
    mode, event = chosen.mode, chosen.event
    had = {one.id: one.message for one in found(yard, earlier.sha, before, mode, event)}
    has = {one.id: one.message for one in found(yard, opened.sha, opened.boat, mode, event)}
    gone = {key: message for key, message in had.items() if key not in has}
    judged = {
        one.id for one in found(yard, earlier.sha, before, mode, event) if _is_judged(one, after_answer)
    }
    return Comparison(
        compare(before_answer, after_answer, chosen.event),
        added=tuple(message for key, message in has.items() if key not in had),
        removed=tuple(message for key, message in gone.items() if key in judged),
        unjudged=tuple(message for key, message in gone.items() if key not in judged),
    )


def _is_judged(finding: "Finding", after: "ModeAnswer") -> bool:
    """Whether the answer still speaks of what a finding of an event is about."""
    if finding.event is None:
        return True
    info = next((one for one in after.events if one.event == finding.event), None)
    if info is None or info.inrush_a is None:
        return False
    running = {load.part for load in after.loads if load.on and load.state in {"fed", "cannot-run"}}
    return finding.subjects[0] in running or finding.code not in _OF_EVENTS


_OF_EVENTS = frozenset({"restarts", "too-close", "limit-not-known"})


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

"""What a boat answers: results of a mode and event, what every tap would bring, a load's loop, findings."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.yard import OpenBoat, Yard, document
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.modes import Event
from server.store.values import Revision

if TYPE_CHECKING:
    from collections.abc import Sequence

    from server.actions.compare import Comparison
    from server.boat.edits import AnyEdit, SingleEdit
    from server.boat.finding import Finding
    from server.engine.answer import InputAnswer, LoopStep, ModeAnswer, PickUp


class UnknownChoiceError(ValueError):
    """A mode, event or load that this boat does not have."""


@dataclass(frozen=True)
class Chosen:
    """The mode and event whose answer is shown; a boat without modes has neither."""

    mode: str
    event: str | None


def choose(yard: Yard, sha: str, boat: Boat, mode: str | None, event: str | None) -> Chosen | None:
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
        return Chosen(mode, _worst_in(yard, sha, boat, mode))
    return _worst(yard, sha, boat)


def _worst(yard: Yard, sha: str, boat: Boat) -> Chosen:
    found = yard.worst.get(sha, lambda: _ask_worst(boat))
    return Chosen(*found) if found else Chosen(boat.modes[0].id, None)


def _ask_worst(boat: Boat) -> tuple[str, str] | tuple[()]:
    from server.engine.analysis import worst_event

    return worst_event(boat) or ()


def _worst_in(yard: Yard, sha: str, boat: Boat, mode: str) -> str | None:
    """The event of a mode in which most restart, then the one with the lowest volts."""
    infos = answer(yard, sha, boat, mode).events
    if not infos:
        return None
    lowest = lambda info: float("inf") if info.worst_lowest_v is None else info.worst_lowest_v  # noqa: E731
    return min(infos, key=lambda info: (-info.restarts, lowest(info))).event


def answer(yard: Yard, sha: str, boat: Boat, mode: str, event: str | None = None) -> "ModeAnswer":
    """A mode solved, with one event or (left out) with all of its events."""
    whole = yard.answers.peek((sha, mode, None))
    if whole is not None:
        return whole
    return yard.answers.get((sha, mode, event), lambda: _solve(boat, mode, event))


def _solve(boat: Boat, mode: str, event: str | None) -> "ModeAnswer":
    from server.engine.analysis import analyse_mode

    return analyse_mode(boat, mode, events=None if event is None else (event,))


def shown_answer(yard: Yard, opened: OpenBoat, chosen: Chosen) -> "ModeAnswer":
    """The answer of the chosen mode; with all of its events as soon as they are known."""
    return answer(yard, opened.sha, opened.boat, chosen.mode, chosen.event)


def pick_up(yard: Yard, opened: OpenBoat, part: str, terminal: str, chosen: Chosen) -> "PickUp":
    """What would come of putting a lead down at each tap, ranked.

    Raises:
        UnknownChoiceError: no lead that could be moved begins there; the message says why.
    """
    from server.boat.leads import Landings, lead
    from server.boat.terminals import terminals

    landings = Landings.of(opened.boat)
    if part not in landings.parts or terminal not in terminals(landings.parts[part]):
        raise UnknownChoiceError("This boat has no such terminal: it may have been taken out meanwhile.")
    found = lead(opened.boat, part, terminal, landings)
    if found.last is None:
        raise UnknownChoiceError(found.reason or "No lead begins there.")
    key = (opened.sha, part, terminal, chosen.mode, chosen.event)
    return yard.pick_ups.get(key, lambda: _pick_up(opened.boat, part, terminal, chosen))


def _pick_up(boat: Boat, part: str, terminal: str, chosen: Chosen) -> "PickUp":
    from server.engine.taps import pick_up as engine_pick_up

    return engine_pick_up(boat, part, terminal, chosen.mode, chosen.event)


def loop(yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen) -> "tuple[LoopStep, ...]":
    """A load's loop from battery + round to battery −; empty where the load is not fed."""
    key = (opened.sha, load.part, load.input, chosen.mode, chosen.event)
    return yard.loops.get(key, lambda: _loop(opened.boat, load, chosen))


def _loop(boat: Boat, load: "InputAnswer", chosen: Chosen) -> "tuple[LoopStep, ...]":
    from server.engine.loop import loop as engine_loop

    return engine_loop(boat, load.part, load.input, chosen.mode, chosen.event)


def findings_of(boat: Boat, solved: "ModeAnswer") -> "tuple[Finding, ...]":
    """What is found on the boat in a mode, worst first, with the mends that can be offered."""
    from server.checks.judge import findings
    from server.checks.mends import with_mends

    return with_mends(boat, solved, findings(boat, solved))


def found(yard: Yard, sha: str, boat: Boat, mode: str, event: str | None = None) -> "tuple[Finding, ...]":
    """What is found in a mode with one event or with all of its events."""
    solved = answer(yard, sha, boat, mode, event)
    key = (sha, mode, event if len(solved.events) == 1 else None)
    return yard.findings.get(key, lambda: findings_of(boat, solved))


def all_findings(yard: Yard, opened: OpenBoat) -> "tuple[Finding, ...]":
    """What is found on the boat in all its modes and events, worst first, each once."""
    from server.checks.judge import merged

    modes = [mode.id for mode in opened.boat.modes]
    return merged([one for mode in modes for one in found(yard, opened.sha, opened.boat, mode)])


def merged_findings(boat: Boat, solved: "Sequence[ModeAnswer]") -> "tuple[Finding, ...]":
    """What is found in some solved modes, worst first, each once."""
    from server.checks.judge import merged

    return merged([finding for one in solved for finding in findings_of(boat, one)])


def is_all_known(yard: Yard, opened: OpenBoat) -> bool:
    """Whether every mode has been answered with all its events, so that nothing has to be waited for."""
    return all(yard.answers.peek((opened.sha, mode.id, None)) is not None for mode in opened.boat.modes)


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
    return Comparison(
        compare(before_answer, after_answer, chosen.event),
        added=tuple(message for key, message in has.items() if key not in had),
        removed=tuple(message for key, message in had.items() if key not in has),
    )


def mend_edit(yard: Yard, boat_id: str, rev: int, finding: str, mend: str) -> "AnyEdit":
    """The edit of a mend that was offered on a revision; several edits make one.

    Raises:
        UnknownChoiceError: no such finding or mend is offered there.
        UnknownBoatError, UnknownRevisionError: there is no such boat or revision.
    """
    from server.boat.edits import Several

    revision = yard.store.revision(boat_id, rev)
    boat = document(yard, revision)
    for mode in boat.modes:
        for one in found(yard, revision.sha, boat, mode.id):
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

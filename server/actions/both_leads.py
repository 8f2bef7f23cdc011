"""Both leads of a load at once: the panels that take both, each answered as the boat after those moves."""

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions import answers, in_time
from server.actions.choices import Chosen
from server.actions.pick_ups import leads_met
from server.actions.put_downs import findings_brought
from server.actions.results import Results
from server.actions.yard import OpenBoat, Yard
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import MoveLead, Several, apply

if TYPE_CHECKING:
    from server.engine.answer import EventAnswer, InputAnswer, Mark, ModeAnswer, PickUp, TapAnswer


@dataclass(frozen=True)
class BothAnswer:
    """What would come of putting both leads on one part; a lead that lies there already stays.

    ``breaks`` are the findings of wiring that the moves would bring: then the place is barred. ``loses`` says
    what device of its own the load would lose there.
    """

    part: str
    place: str
    moves: tuple[MoveLead, ...]
    load: "InputAnswer | None"
    breaks: tuple[str, ...]
    restarts_before: int
    restarts_after: int
    length_m: float | None
    mark: "Mark"
    loses: tuple[str, ...] = ()


MOST_FOLLOWED = 6
"""On more panels than this nobody waits for the event in time: all answer for its first instant."""


@dataclass(frozen=True)
class BothAnswers:
    """The load as it is now, and the parts on which both its leads may land, the best first.

    All of them are answered by the event in time, or none (``is_in_time``): they are compared.
    """

    now: "InputAnswer"
    places: tuple[BothAnswer, ...]
    is_in_time: bool


def both_places(yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen) -> BothAnswers:
    """The parts on which both leads may land; those that would break something last."""
    held = leads_met(yard, opened, load, chosen)
    both = {one.polarity for one in held} == {"positive", "negative"}
    before = answers.answer(yard, opened.sha, opened.boat, chosen.mode, chosen.event)
    reached = dict.fromkeys(tap.terminal.part for tap in held[0].taps) if both else {}
    parts = {part: moves for part in reached if (moves := _moves(held, part))}
    is_large = len(opened.boat.conductors) > in_time.LARGEST_WAITED
    wanted = () if chosen.event is None or is_large or len(parts) > MOST_FOLLOWED else (chosen.event,)
    if wanted:
        before = in_time.over(yard, opened.sha, opened.boat, before, wanted)
    now = next(one for one in before.loads if one.id == load.id)
    found = [
        _answer_at(yard, opened.boat, before, now, chosen, part, moves, wanted)
        for part, moves in parts.items()
    ]
    return BothAnswers(now, tuple(sorted(found, key=lambda one: _order(one, chosen))), bool(wanted))


def both_edit(boat: Boat, moves: tuple[MoveLead, ...]) -> MoveLead | Several:
    """The moves as one edit, to be made and undone together."""
    if len(moves) == 1:
        return moves[0]
    names = {part.id: part.name for part in boat.parts}
    name, place = names.get(moves[0].part, "Load"), names.get(moves[0].to.part, "another place")
    return Several(edits=moves, label=f"{name}, both leads → {place}"[:120])


def _moves(held: "tuple[PickUp, ...]", part: str) -> tuple[MoveLead, ...]:
    """The moves that bring every lead to a part; none where one cannot land there, or all lie there."""
    best = [_best_on(one, part) for one in held]
    if any(tap is None for tap in best):
        return ()
    return tuple(
        MoveLead(part=one.part, terminal=one.terminal, to=tap.terminal)
        for one, tap in zip(held, best, strict=True)
        if tap is not None and not tap.present
    )


def _best_on(held: "PickUp", part: str) -> "TapAnswer | None":
    """Where a lead lies on a part, or would land best on it; None where it may not."""
    there = [tap for tap in held.taps if tap.terminal.part == part]
    lies = next((tap for tap in there if tap.present), None)
    return lies or min(
        (tap for tap in there if tap.rank is not None), key=lambda tap: tap.rank or 0, default=None
    )


def _answer_at(  # noqa: PLR0913, PLR0917 - each names one thing of the moves
    results: Results,
    boat: Boat,
    before: "ModeAnswer",
    load: "InputAnswer",
    chosen: Chosen,
    part: str,
    moves: tuple[MoveLead, ...],
    wanted: tuple[str, ...],
) -> BothAnswer:
    from server.checks.own_devices import lost_by_change
    from server.engine.analysis import analyse_mode

    moved = apply(boat, both_edit(boat, moves))
    events = None if chosen.event is None else (chosen.event,)
    after = analyse_mode(moved, chosen.mode, events=events, explained=())
    if wanted:
        sha = hashlib.sha256(boat_bytes(moved)).hexdigest()
        after = in_time.over(results, sha, moved, after, wanted)
    there = next((one for one in after.loads if one.id == load.id), None)
    breaks = findings_brought(boat, moved, before)
    restarts = (_restarts(before, chosen), _restarts(after, chosen))
    return BothAnswer(
        part=part,
        place=next(one.name for one in boat.parts if one.id == part),
        moves=moves,
        load=there,
        breaks=breaks,
        restarts_before=restarts[0],
        restarts_after=restarts[1],
        length_m=_new_length(boat, moved),
        mark="breaks" if breaks else _mark(_seen(load, chosen), _seen(there, chosen), restarts),
        loses=tuple(lost_by_change(boat, moved)),
    )


def _seen(load: "InputAnswer | None", chosen: Chosen) -> "EventAnswer | None":
    seen = () if load is None else load.events
    return next((one for one in seen if one.event == chosen.event), None)


def _mark(before: "EventAnswer | None", after: "EventAnswer | None", restarts: tuple[int, int]) -> "Mark":
    """The sign of a place, as the list of one lead has it; without an event only others' restarts tell."""
    from server.engine.ranking import sign

    if before is None or after is None:
        return "worse" if restarts[1] > restarts[0] else "same"
    told = [(seen.lowest.value, seen.verdict) for seen in (before, after)]
    return sign(told[0], told[1], restarts)


def _restarts(answer: "ModeAnswer", chosen: Chosen) -> int:
    return sum(info.restarts for info in answer.events if info.event == chosen.event)


def _new_length(before: Boat, after: Boat) -> float | None:
    """The metres of the conductors that were moved; None where one of them is not known."""
    from server.boat.value import nominal

    old = {one.id: one for one in before.conductors}
    moved = [one for one in after.conductors if old.get(one.id) != one]
    if any(one.length_m is None for one in moved):
        return None
    return sum(nominal(one.length_m) for one in moved if one.length_m is not None)


def _order(one: BothAnswer, chosen: Chosen) -> tuple[object, ...]:
    from server.engine.needs import VERDICT_ORDER

    seen = _seen(one.load, chosen)
    if seen is None:
        return (bool(one.breaks), bool(one.loses), len(VERDICT_ORDER), one.restarts_after, 0.0, one.part)
    return (
        bool(one.breaks),
        bool(one.loses),
        VERDICT_ORDER[seen.verdict],
        one.restarts_after,
        -seen.lowest.value,
        one.part,
    )

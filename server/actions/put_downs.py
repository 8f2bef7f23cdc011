"""Whether leads may be put down where an edit says: judged here again, whatever a page had offered."""

from typing import TYPE_CHECKING

from server.actions.answers import answer, ground_of
from server.actions.choices import Chosen, choose
from server.actions.words import BREAKS
from server.actions.yard import Yard, document, revision_of
from server.boat.boat import Boat
from server.boat.edits import AnyEdit, MoveLead, Several, SingleEdit, apply
from server.boat.leads import Lead, lead
from server.boat.value import nominal

if TYPE_CHECKING:
    from server.checks.ground import Ground
    from server.engine.answer import Break, ModeAnswer


class BarredPlaceError(ValueError):
    """Leads were not put down because something would break; ``reasons`` say what, in words."""

    def __init__(self, leads: str, place: str, reasons: tuple[str, ...]) -> None:
        super().__init__(f"{leads} cannot go on {place}. Nothing was changed: choose another place.")
        self.place, self.reasons = place, reasons


def refuse_barred(  # noqa: PLR0913, PLR0917 - each names one thing of the edit
    yard: Yard, boat_id: str, rev: int, edit: AnyEdit, mode: str | None, event: str | None
) -> None:
    """Let an edit pass that puts no lead on a barred place in a mode; in the worst one where none is named.

    Leads that are put down together are judged one by one as their list shows them, and then together. A boat
    without modes answers no place, so nothing is barred on it.

    Raises:
        BarredPlaceError: a place would break something.
        EditError: the edit does not fit the boat.
        UnknownChoiceError: the boat has no such mode or event.
        UnknownBoatError, UnknownRevisionError: there is nothing to edit.
    """
    moves = [one for one in edit_steps(edit) if isinstance(one, MoveLead)]
    if not moves:
        return
    revision = revision_of(yard, boat_id, rev)
    boat = document(yard, revision)
    moved = apply(boat, edit)
    chosen = choose(yard, revision.sha, boat, mode, event)
    if chosen is None:
        return
    if len(moves) < len(edit_steps(edit)):
        _judge_in_turn(boat, edit, chosen)
        return
    for move in moves:
        _judge(boat, move, chosen, ground_of(yard, revision.sha, boat, chosen.mode))
    if len(moves) > 1:
        before = answer(yard, revision.sha, boat, chosen.mode, chosen.event)
        brought = findings_brought(boat, moved, before)
        if brought:
            names = dict.fromkeys(one.name for one in boat.parts if one.id in {move.part for move in moves})
            raise BarredPlaceError(f"All leads of {', '.join(names)}", _place(boat, moves[0]), brought)


def findings_brought(boat: Boat, moved: Boat, before: "ModeAnswer") -> tuple[str, ...]:
    """The findings of wiring that come with an edit, in words; volts are not asked."""
    from server.checks.judge import wiring_findings

    known = {(one.code, one.subjects) for one in wiring_findings(boat, before)}
    return tuple(
        one.message for one in wiring_findings(moved, before) if (one.code, one.subjects) not in known
    )


def edit_steps(edit: AnyEdit) -> tuple[SingleEdit, ...]:
    """The single edits of which an edit is made."""
    return edit.edits if isinstance(edit, Several) else (edit,)


def _judge_in_turn(boat: Boat, edit: AnyEdit, chosen: Chosen) -> None:
    """Judge leads among other edits, each on the boat as the edits before it left it."""
    from server.checks.ground import Ground

    stage = boat
    for one in edit_steps(edit):
        mode = next((mode for mode in stage.modes if mode.id == chosen.mode), None)
        if isinstance(one, MoveLead) and mode is not None:
            _judge(stage, one, chosen, Ground(stage, mode))
        stage = apply(stage, one)


def _judge(boat: Boat, move: MoveLead, chosen: Chosen, ground: "Ground") -> None:
    """Raise BarredPlaceError where a lead would break something at its new place."""
    held = lead(boat, move.part, move.terminal)
    if held.tap != move.to:
        breaks = _breaks(boat, held, move, chosen, ground)
        if breaks:
            name = next(one.name for one in boat.parts if one.id == move.part)
            words = f"The {held.polarity} lead of {name}"
            raise BarredPlaceError(words, _place(boat, move), tuple(BREAKS[one] for one in breaks))


def _breaks(boat: Boat, held: Lead, move: MoveLead, chosen: Chosen, ground: "Ground") -> "tuple[Break, ...]":
    from server.checks.landing import Landing
    from server.engine.taps import breaks_at

    engine = breaks_at(boat, move.part, move.terminal, chosen.mode, move.to)
    if not _IS_NO_PLACE.isdisjoint(engine):
        return engine
    after = {one.id: one for one in apply(boat, move).conductors}
    length = after[str(held.last)].length_m
    metres = None if length is None else nominal(length)
    checks = Landing(ground, held).breaks_at((move.to.part, move.to.terminal), metres)
    return tuple(dict.fromkeys((*engine, *checks)))


_IS_NO_PLACE = frozenset({"other-polarity", "way-occupied"})


def _place(boat: Boat, move: MoveLead) -> str:
    from server.engine.naming import Names

    return Names(boat).terminal(move.to)

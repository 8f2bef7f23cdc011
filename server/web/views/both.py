"""Both leads of a load at once: the panels that take both."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.words import VERDICTS
from server.web.views.figures import NONE, least, metres, most, per_cent, sag_volts
from server.web.views.forms import FormView, change_form
from server.web.views.loads import seen_in
from server.web.views.state import ViewState
from server.web.views.taps import CAUTION

if TYPE_CHECKING:
    from server.actions.both_leads import BothAnswer
    from server.engine.answer import EventAnswer, InputAnswer


@dataclass(frozen=True)
class BothPlaceView:
    """One panel: a form that puts both leads there."""

    form: FormView
    button_id: str
    place: str
    lowest: str
    drop: str
    length: str
    words: str
    refused: bool


@dataclass(frozen=True)
class BothView:
    """``workbench/_both.html``, in the place of the ranked list of one lead."""

    title: str
    now: str
    notice: str
    places: tuple[BothPlaceView, ...]
    nowhere: str
    close_url: str
    close_focus: str
    caution: str = CAUTION


NOWHERE = "No other panel takes both leads: move one lead at a time."


def both_view(
    state: ViewState, revision: int, load: "InputAnswer", found: "tuple[BothAnswer, ...]", notice: str
) -> BothView:
    """The panels for both leads of a load, the best first."""
    seen = seen_in(load, state.event)
    now = "" if seen is None else f"Now {sag_volts(seen.lowest.value)}, {VERDICTS[seen.verdict]}."
    return BothView(
        title=f"Where to put both leads of {load.name}",
        now=now,
        notice=notice,
        places=tuple(_place(state, revision, load, one) for one in found),
        nowhere="" if found else NOWHERE,
        close_url=state.url(),
        close_focus=f"both-{load.part}",
    )


def _place(state: ViewState, revision: int, load: "InputAnswer", one: "BothAnswer") -> BothPlaceView:
    before = seen_in(load, state.event)
    seen = None if one.load is None else seen_in(one.load, state.event)
    drop = None if one.load is None else one.load.drop
    moves = {
        f"{name}_{number}": value
        for number, move in enumerate(one.moves)
        for name, value in (
            ("part", move.part),
            ("terminal", move.terminal),
            ("to_part", move.to.part),
            ("to_terminal", move.to.terminal),
        )
    }
    return BothPlaceView(
        form=change_form(state, "/put-down-both", revision, **moves),
        button_id=f"put-both-{one.part}",
        place=one.place,
        lowest=NONE if seen is None or before is None else _pair(before, seen),
        drop=NONE if drop is None else least(per_cent(drop.judged_fraction), drop.unknown),
        length=metres(one.length_m),
        words=_words(one, "" if seen is None else VERDICTS[seen.verdict]),
        refused=bool(one.breaks),
    )


def _pair(before: "EventAnswer", after: "EventAnswer") -> str:
    old, new = (most(sag_volts(seen.lowest.value), seen.unknown) for seen in (before, after))
    return f"{old.removesuffix(' V')} → {new}"


def _words(one: "BothAnswer", verdict: str) -> str:
    if one.breaks:
        return f"breaks something: {' '.join(one.breaks)}"
    stays = "one lead lies there already" if len(one.moves) == 1 else ""
    change = one.restarts_before != one.restarts_after
    restarts = f"restarts {one.restarts_before} → {one.restarts_after}" if change else ""
    return " · ".join(word for word in (verdict, stays, restarts) if word)

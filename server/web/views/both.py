"""Both leads of a load at once: the panels that take both."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.words import VERDICTS
from server.web.views.figures import NONE, least, metres, most, per_cent, sag_volts
from server.web.views.forms import FormView, change_form
from server.web.views.loads import seen_in
from server.web.views.state import ViewState
from server.web.views.taps import CAUTION, MARKS

if TYPE_CHECKING:
    from server.actions.both_leads import BothAnswer, BothAnswers
    from server.drawing.part_overlay import PartAnswer
    from server.engine.answer import EventAnswer, InputAnswer


@dataclass(frozen=True)
class BothPlaceView:
    """One panel: a form that puts both leads there."""

    form: FormView
    button_id: str
    tap: str
    same: str
    line_1: str
    line_2: str
    refused: str
    rank: str
    mark: str
    mark_class: str
    place: str
    lowest: str
    drop: str
    length: str
    words: str


@dataclass(frozen=True)
class BothView:
    """``workbench/_both.html``, in the place of the ranked list of one lead."""

    part: str
    revision: int
    title: str
    line_1: str
    now: str
    basis: str
    notice: str
    places: tuple[BothPlaceView, ...]
    nowhere: str
    close_url: str
    close_focus: str
    caution: str = CAUTION


AT_ONCE = "All figures are those of the instant after the press."
NOWHERE = "No other panel takes both leads: move one lead at a time."


def both_view(state: ViewState, revision: int, both: "BothAnswers", notice: str) -> BothView:
    """The panels for both leads of a load, the best first."""
    load, found = both.now, both.places
    seen = seen_in(load, state.event)
    now = "" if seen is None else f"Now {sag_volts(seen.lowest.value)}, {VERDICTS[seen.verdict]}."
    ranks = {one.part: str(rank) for rank, one in enumerate(_ranked(found), start=1)}
    count = sum(not one.breaks for one in found)
    panels = f"{count} panel{'' if count == 1 else 's'}"
    best = "".join(f" Best: {one.place}." for one in _ranked(found)[:1])
    return BothView(
        part=load.part,
        revision=revision,
        line_1=f"Carrying both leads of {load.name}. {panels}.{best}",
        title=f"Where to put both leads of {load.name}",
        now=now,
        basis="" if seen is None or both.is_in_time else AT_ONCE,
        notice=notice,
        places=tuple(_place(state, revision, load, one, ranks.get(one.part, "")) for one in found),
        nowhere="" if found else NOWHERE,
        close_url=state.url(),
        close_focus=f"both-{load.part}",
    )


def part_answers(state: ViewState, found: "tuple[BothAnswer, ...]") -> "tuple[PartAnswer, ...]":
    """What the picture shows at each panel."""
    from server.drawing.part_overlay import PartAnswer

    return tuple(PartAnswer(one.part, one.mark, _after(state, one)) for one in found)


def _ranked(found: "tuple[BothAnswer, ...]") -> "tuple[BothAnswer, ...]":
    """Those that break nothing and take no device of its own from the load."""
    return tuple(one for one in found if not (one.breaks or one.loses))


def _after(state: ViewState, one: "BothAnswer") -> str:
    """The lowest volts there; of a load without an event its drop."""
    seen = None if one.load is None else seen_in(one.load, state.event)
    drop = None if one.load is None else one.load.drop
    if seen is not None:
        return most(sag_volts(seen.lowest.value), seen.unknown)
    return NONE if drop is None else f"{least(per_cent(drop.judged_fraction), drop.unknown)} drop"


def _place(
    state: ViewState, revision: int, load: "InputAnswer", one: "BothAnswer", rank: str
) -> BothPlaceView:
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
    lowest = NONE if seen is None or before is None else _pair(before, seen)
    dropped = NONE if drop is None else least(per_cent(drop.judged_fraction), drop.unknown)
    length, verdict = metres(one.length_m), "" if seen is None else VERDICTS[seen.verdict]
    words = " ".join((_words(one, verdict), *one.loses))
    return BothPlaceView(
        form=change_form(state, "/put-down-both", revision, **moves),
        button_id=f"put-both-{one.part}",
        tap=f"tap-both--{one.part}",
        same=" ".join(f"tap-both--{one.part}--{number}" for number in range(2, MOST_BARS + 1)),
        line_1=" · ".join(word for word in (one.place, lowest, verdict) if word not in {"", NONE}),
        line_2=f"{words} · drop {dropped} · {length} moved",
        refused=" ".join(one.breaks),
        rank=rank,
        mark=MARKS[one.mark][0],
        mark_class=one.mark,
        place=one.place,
        lowest=lowest,
        drop=dropped,
        length=length,
        words=words,
    )


MOST_BARS = 4
"""So many bars of one panel are looked for in the picture."""


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

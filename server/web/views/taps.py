"""The ranked list: every place a held lead could land on, with what would come of it."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.web.views.figures import VERDICTS, metres, per_cent, sag_volts
from server.web.views.forms import FormView, change_form
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.boat.value import TerminalRef
    from server.engine.answer import Break, Mark, OthersEffect, PickUp, TapAnswer

FIRST_ROWS = 10
CAUTION = "Before anything is moved on the boat: stop the engine, take the negative off every battery."

MARKS: "dict[Mark, tuple[str, str]]" = {
    "clears": ("●", "clears the finding"),
    "better": ("○", "better"),
    "same": ("–", "no real change"),
    "worse": ("▽", "worse"),
    "breaks": ("⊘", "breaks something"),
}
BREAKS: "dict[Break, str]" = {
    "unprotected": "no fuse or breaker would protect it",
    "always-live": "it would stay alive with the battery switch off",
    "uncounted": "the battery monitor would not count it",
    "stud-full": "the stud is full",
    "way-occupied": "the way is taken",
    "other-voltage": "that is another voltage",
    "wrong-switching": "it would be switched with something else",
}


@dataclass(frozen=True)
class TapView:
    """One place: a form that puts the lead down there."""

    form: FormView
    button_id: str
    tap: str
    same: str
    line_1: str
    line_2: str
    refused: str
    rank: str
    mark: str
    mark_word: str
    mark_class: str
    place: str
    lowest: str
    drop: str
    length: str
    breaks: str


@dataclass(frozen=True)
class TapsView:
    """``workbench/_taps.html``: empty while no lead is held."""

    part: str = ""
    terminal: str = ""
    polarity: str = ""
    revision: int = 0
    title: str = ""
    line_1: str = ""
    line_2: str = ""
    now: str = ""
    caution: str = ""
    first: tuple[TapView, ...] = ()
    rest: tuple[TapView, ...] = ()
    rest_words: str = ""
    put_back_url: str = ""


def taps_view(state: ViewState, revision: int, held: "PickUp") -> TapsView:
    """The places for a held lead, ranked; those that break something last, with the reason."""
    views = tuple(_tap(state, revision, held, answer) for answer in held.taps if not answer.present)
    best = next((view for view in views if not view.refused), None)
    count = sum(not view.refused for view in views)
    line_1 = f"Carrying {held.name}. {count} places." + (f" Best: {best.place}." if best else "")
    return TapsView(
        part=held.part,
        terminal=held.terminal,
        polarity=held.polarity,
        revision=revision,
        title=f"Where to put {held.name}",
        line_1=line_1,
        line_2=_now(held),
        now=_now(held),
        caution=CAUTION,
        first=views[:FIRST_ROWS],
        rest=views[FIRST_ROWS:],
        rest_words=f"All {len(views)} places",
        put_back_url=state.url(),
    )


def tap_id(terminal: "TerminalRef") -> str:
    """The id of a tap in the drawing."""
    return f"tap-{terminal.part}--{terminal.terminal}"


def _now(held: "PickUp") -> str:
    if held.present is None:
        return "It is loose now."
    lowest = held.present.lowest
    volts = "" if lowest is None else f": {sag_volts(lowest.value)}, {VERDICTS[held.present.verdict]}"
    return f"Now on {held.present.place}{volts}."


def _tap(state: ViewState, revision: int, held: "PickUp", answer: "TapAnswer") -> TapView:
    sign, word = MARKS[answer.mark]
    breaks = "; ".join(BREAKS[one] for one in answer.breaks)
    form = change_form(
        state,
        "/put-down",
        revision,
        part=held.part,
        terminal=held.terminal,
        to_part=answer.terminal.part,
        to_terminal=answer.terminal.terminal,
    )
    return TapView(
        form=form,
        button_id=f"put-{answer.terminal.part}--{answer.terminal.terminal}",
        tap=tap_id(answer.terminal),
        same=" ".join(tap_id(other) for other in answer.same_as),
        line_1=_line_1(held, answer),
        line_2=_line_2(answer, breaks),
        refused=breaks,
        rank="" if answer.rank is None else str(answer.rank),
        mark=sign,
        mark_word=word,
        mark_class=answer.mark,
        place=answer.place,
        lowest="–" if answer.lowest is None else sag_volts(answer.lowest.value),
        drop=per_cent(answer.drop_fraction),
        length=metres(answer.length_m),
        breaks=breaks,
    )


def _line_1(held: "PickUp", answer: "TapAnswer") -> str:
    before = held.present.lowest if held.present is not None else None
    volts = "–" if answer.lowest is None else sag_volts(answer.lowest.value)
    pair = volts if before is None else f"{sag_volts(before.value).removesuffix(' V')} → {volts}"
    need = "" if answer.need_v is None else f", needs {sag_volts(answer.need_v).removesuffix(' V')}"
    return f"{answer.place} · {pair}{need} · {VERDICTS[answer.verdict]}"


def _line_2(answer: "TapAnswer", breaks: str) -> str:
    counted = (
        "counted" if answer.counted_fraction >= _WHOLE else f"{per_cent(answer.counted_fraction)} counted"
    )
    fused = "fused" if answer.protected else "not fused"
    figures = (
        f"drop {per_cent(answer.drop_fraction)} · {metres(answer.length_m)} {answer.length_basis}".rstrip()
    )
    others = f"others {answer.others.better} better, {answer.others.worse} worse{_restarts(answer.others)}"
    return " · ".join(words for words in (breaks, figures, counted, fused, others) if words)


_WHOLE = 0.995
"""From here on a share reads as all of it when rounded to whole per cent."""


def _restarts(others: "OthersEffect") -> str:
    if others.restarts_after == others.restarts_before:
        return ""
    return f", restarts {others.restarts_before} → {others.restarts_after}"

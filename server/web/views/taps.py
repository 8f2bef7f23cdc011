"""The ranked list: every place a held lead could land on, with what would come of it."""

from dataclasses import dataclass, replace
from itertools import groupby
from typing import TYPE_CHECKING, Literal

from server.actions.words import VERDICTS
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.leads import Landings
from server.boat.parts import Alternator, Charger, Converter, Solar
from server.web.views.figures import NONE, least, metres, most, per_cent, sag_volts
from server.web.views.forms import ChoiceView, FormView, change_form
from server.web.views.state import ViewState
from server.web.views.studs import studs

if TYPE_CHECKING:
    from server.boat.value import TerminalRef
    from server.engine.answer import Break, Mark, OthersEffect, PickUp, TapAnswer

Bearing = Literal["load", "heavy", "source"]
"""Whose lead is held: the answers for a heavy load or a source begin with the rest of the boat."""

_HEADS: dict[Bearing, str] = {
    "load": "lowest · drop · length",
    "heavy": "worst of the rest · restarts · length",
    "source": "worst of the rest · restarts · length",
}
_FIRST: dict[Bearing, str] = {
    "load": "",
    "heavy": " Each says first what the rest of the boat would have.",
    "source": " Each says first what the rest of the boat would have.",
}
FIRST_ROWS = 10
OPENS_OPTION = "This is the boat as surveyed: it is kept. Putting the lead down opens an option beside it."
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
    "device-too-small": "the fuse or breaker there is too small for it",
    "device-too-large": "the fuse or breaker there is too large for its wire",
    "engine-return": "an engine's metal is no return for it",
}


@dataclass(frozen=True)
class TapView:
    """One place: a form that puts the lead down there."""

    form: FormView
    to: str
    button_id: str
    tap: str
    same: str
    line_1: str
    line_2: str
    refused: str
    rank: str
    mark: str
    mark_word: str
    cable: str
    mark_class: str
    place: str
    lowest: str
    drop: str
    length: str
    breaks: str
    like: "tuple[TapView, ...]" = ()
    like_words: str = ""
    studs: tuple[ChoiceView, ...] = ()


@dataclass(frozen=True)
class TapsView:
    """``workbench/_taps.html``: empty while no lead is held."""

    part: str = ""
    terminal: str = ""
    polarity: str = ""
    revision: int = 0
    title: str = ""
    heads: str = ""
    line_1: str = ""
    line_2: str = ""
    now: str = ""
    notice: str = ""
    caution: str = ""
    first: tuple[TapView, ...] = ()
    rest: tuple[TapView, ...] = ()
    rest_words: str = ""
    put_back_url: str = ""


def taps_view(boat: Boat, state: ViewState, revision: int, held: "PickUp") -> TapsView:
    """The places for a held lead, ranked; those that break something last, with the reason.

    The lead of a heavy load or a source says first what it does to the rest of the boat.
    """
    bearing, landings = bearing_of(boat, held), Landings.of(boat)
    views = tuple(
        replace(_tap(state, revision, held, answer, bearing), studs=studs(landings, answer))
        for answer in held.taps
        if not answer.present
    )
    groups = tuple(_with_like(list(same)) for _, same in groupby(views, key=_result))
    best = next((view for view in views if view.rank), None)
    count = sum(not view.refused for view in views)
    lead = f"{held.name} {held.polarity}"
    places = f"{count} place{'' if count == 1 else 's'}"
    line_1 = f"Carrying {lead}. {places}." + (
        f" Best: {best.place}." if best and bearing == "load" else _FIRST[bearing]
    )
    return TapsView(
        part=held.part,
        terminal=held.terminal,
        polarity=held.polarity,
        revision=revision,
        title=f"Where to put {lead}",
        heads=_HEADS[bearing],
        line_1=line_1,
        line_2=_now(held, bearing),
        now=_now(held, bearing),
        caution=CAUTION,
        first=groups[:FIRST_ROWS],
        rest=groups[FIRST_ROWS:],
        rest_words=f"All {len(views)} places",
        put_back_url=state.url(),
    )


def _result(view: TapView) -> tuple[str, ...]:
    """What comes of a place as the list shows it, but for the metres."""
    return (view.mark_class, view.breaks, view.mark_word, view.lowest, view.drop, view.cable[:5])


def _with_like(views: list[TapView]) -> TapView:
    """The first of several places with the same result, with the others folded under it."""
    first, *others = views
    places = "place" if len(others) == 1 else "places"
    words = f"{len(others)} more {places} with the same result" if others else ""
    return replace(first, like=tuple(others), like_words=words)


def bearing_of(boat: Boat, held: "PickUp") -> Bearing:
    """Whose lead is held, as far as it bears on the rest of the boat."""
    part = next(part for part in boat.parts if part.id == held.part)
    if isinstance(part, Alternator | Charger | Solar | Converter):
        return "source"
    heavy = {event.heavy.part for event in events_of(boat)}
    return "heavy" if part.id in heavy else "load"


def tap_id(terminal: "TerminalRef") -> str:
    """The id of a tap in the drawing."""
    return f"tap-{terminal.part}--{terminal.terminal}"


def _now(held: "PickUp", bearing: Bearing) -> str:
    if held.present is None:
        return "It is loose now."
    if bearing != "load":
        return f"Now on {held.present.place}. {_rest_now(held.present.others)}".rstrip()
    volts = (
        "" if held.present.lowest is None else f": {_lowest(held.present)}, {VERDICTS[held.present.verdict]}"
    )
    return f"Now on {held.present.place}{volts}."


def _rest_now(others: "OthersEffect") -> str:
    if others.worst_name is None:
        return ""
    return f"Worst of the rest: {others.worst_name} with {sag_volts(others.worst_before_v)}."


def _tap(state: ViewState, revision: int, held: "PickUp", answer: "TapAnswer", bearing: Bearing) -> TapView:
    sign, word = MARKS[answer.mark]
    if bearing != "load" and not answer.breaks:
        word = _rest_words(answer.others)
    breaks = "; ".join(BREAKS[one] for one in answer.breaks)
    form = change_form(
        state,
        "/put-down",
        revision,
        part=held.part,
        terminal=held.terminal,
        to_part=answer.terminal.part,
    )
    return TapView(
        form=form,
        to=answer.terminal.terminal,
        button_id=f"put-{answer.terminal.part}--{answer.terminal.terminal}",
        tap=tap_id(answer.terminal),
        same=" ".join(tap_id(other) for other in answer.same_as),
        line_1=_line_1(held, answer) if bearing == "load" else _rest_line(answer),
        line_2=_line_2(held, answer, breaks)
        if bearing == "load"
        else _own_line(held, answer, breaks, bearing),
        refused=breaks,
        rank="" if answer.rank is None else str(answer.rank),
        mark=sign,
        mark_word=word,
        cable=_cable(held, answer),
        mark_class=answer.mark,
        place=answer.place,
        lowest=_lowest(answer) if bearing == "load" else sag_volts(answer.others.worst_after_v),
        drop=least(per_cent(answer.drop_fraction), answer.unknown)
        if bearing == "load"
        else f"{answer.others.restarts_after} restart{'' if answer.others.restarts_after == 1 else 's'}",
        length=metres(answer.length_m),
        breaks=breaks,
    )


def _line_1(held: "PickUp", answer: "TapAnswer") -> str:
    before = NONE if held.present is None else _lowest(held.present)
    volts = _lowest(answer)
    pair = volts if before == NONE else f"{before.removesuffix(' V')} → {volts}"
    need = "" if answer.need_v is None else f", needs {sag_volts(answer.need_v).removesuffix(' V')}"
    return f"{answer.place} · {pair}{need} · {VERDICTS[answer.verdict]}"


def _line_2(held: "PickUp", answer: "TapAnswer", breaks: str) -> str:
    drop = f"drop {least(per_cent(answer.drop_fraction), answer.unknown)}"
    others = f"others {answer.others.better} better, {answer.others.worse} worse{_restarts(answer.others)}"
    words = (breaks, drop, _length(answer), _cable(held, answer), _counted(answer), _fused(answer), others)
    return " · ".join(word for word in words if word)


def _rest_line(answer: "TapAnswer") -> str:
    """What the place does to the rest of the boat."""
    others = answer.others
    if others.worst_name is None:
        return f"{answer.place} · nothing else is on in this event"
    before, after = sag_volts(others.worst_before_v).removesuffix(" V"), sag_volts(others.worst_after_v)
    restarts = f"restarts {others.restarts_before} → {others.restarts_after}"
    return f"{answer.place} · worst of the rest: {others.worst_name} {before} → {after} · {restarts}"


def _own_line(held: "PickUp", answer: "TapAnswer", breaks: str, bearing: Bearing) -> str:
    """The lead's own figures, which come second; a source has no volts it needs."""
    own = f"its own lowest {_lowest(answer)}" if bearing == "heavy" and answer.lowest is not None else ""
    words = (
        breaks,
        _rest_words(answer.others),
        own,
        _length(answer),
        _cable(held, answer),
        _counted(answer),
        _fused(answer),
    )
    return " · ".join(word for word in words if word)


def _rest_words(others: "OthersEffect") -> str:
    if not others.better and not others.worse:
        return "the rest stays as it is"
    return f"the rest: {others.better} better, {others.worse} worse"


def _lowest(answer: "TapAnswer") -> str:
    return NONE if answer.lowest is None else most(sag_volts(answer.lowest.value), answer.unknown)


REACHES_M = 0.05
"""Half of the 0.1 m to which lengths are shown: within it the cable that is there reaches."""


def _cable(held: "PickUp", answer: "TapAnswer") -> str:
    """Whether the cable that is there reaches the place."""
    now = None if held.present is None else held.present.length_m
    if now is None or answer.length_m is None:
        return ""
    more = answer.length_m - now
    return "existing cable reaches" if more <= REACHES_M else f"needs {metres(more)} more: new cable"


def _length(answer: "TapAnswer") -> str:
    return "" if answer.length_m is None else f"{metres(answer.length_m)} {answer.length_basis}".rstrip()


def _counted(answer: "TapAnswer") -> str:
    if not answer.bank_monitored:
        return "fed by a bank without a monitor"
    if answer.counted_fraction >= _WHOLE:
        return "counted"
    if answer.counted_fraction <= 1 - _WHOLE:
        return "not counted"
    return f"{answer.counted_fraction:.0%} counted".replace("%", " %")


def _fused(answer: "TapAnswer") -> str:
    if answer.protected and not answer.device_judged:
        return "device not judged"
    return "fused" if answer.protected else "not fused"


_WHOLE = 0.995
"""From here on a share reads as all of it when rounded to whole per cent."""


def _restarts(others: "OthersEffect") -> str:
    if others.restarts_after == others.restarts_before:
        return ""
    return f", restarts {others.restarts_before} → {others.restarts_after}"

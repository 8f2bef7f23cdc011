"""The ranked list: every place a held lead could land on, with what would come of it."""

from dataclasses import dataclass, replace
from itertools import groupby
from typing import TYPE_CHECKING

from server.actions.words import BREAKS, VERDICTS
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.leads import Landings, lead, lead_terminals
from server.boat.parts import Alternator, Charger, Converter, Solar
from server.web.views.bank_words import bank_words, banks_line, charged_words, counting_words
from server.web.views.figures import least, metres, per_cent, sag_volts
from server.web.views.forms import ChoiceView, FormView, change_form
from server.web.views.state import ViewState
from server.web.views.studs import studs
from server.web.views.tap_words import (
    Bearing,
    cable_words,
    first_line,
    lowest_words,
    now_words,
    own_line,
    rest_line,
    rest_words,
    second_line,
)

if TYPE_CHECKING:
    from server.boat.value import TerminalRef
    from server.engine.answer import Mark, PickUp, TapAnswer

_HEADS: dict[Bearing, str] = {
    "load": "lowest · drop · length",
    "heavy": "worst of the rest · restarts · length",
    "source": "charging in all · counted · length",
}
_FIRST: dict[Bearing, str] = {
    "load": "",
    "heavy": " Each says first what the rest of the boat would have.",
    "source": "",
}
FIRST_ROWS = 10
NOWHERE = "As it is, this lead can go nowhere else: at every place something would break, told beside it."
OPENS_OPTION = "This is the boat as surveyed: it is kept. Putting the lead down opens an option beside it."
CAUTION = "Before anything is moved on the boat: stop the engine, take the negative off every battery."

MARKS: "dict[Mark, tuple[str, str]]" = {
    "clears": ("●", "clears the finding"),
    "better": ("○", "better"),
    "same": ("–", "no real change"),
    "worse": ("▽", "worse"),
    "breaks": ("⊘", "breaks something"),
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
    verdict: str
    drop: str
    length: str
    breaks: str
    banks: tuple[str, ...] = ()
    like: "tuple[TapView, ...]" = ()
    like_words: str = ""
    studs: tuple[ChoiceView, ...] = ()


@dataclass(frozen=True)
class OtherLeadView:
    """Another lead of the same part, to be taken up where this one can go nowhere."""

    id: str
    url: str
    words: str


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
    nowhere: str = ""
    others: tuple[OtherLeadView, ...] = ()
    caution: str = ""
    first: tuple[TapView, ...] = ()
    rest: tuple[TapView, ...] = ()
    rest_words: str = ""
    put_back_url: str = ""
    basis: str = ""
    refine_url: str = ""


def taps_view(
    boat: Boat, state: ViewState, revision: int, held: "PickUp", *, refines: bool = False
) -> TapsView:
    """The places for a held lead, ranked; those that break something last, with the reason.

    ``refines`` says that figures of the first instant are followed by those of the event in time.
    The lead of a heavy load or a source says first what it does to the rest of the boat.
    """
    bearing, landings = bearing_of(boat, held), Landings.of(boat)
    refining = refines and held.observed is not None and not any(tap.exact for tap in held.taps)
    views = tuple(
        replace(
            _tap(state, revision, held, answer, bearing),
            studs=() if answer.breaks else studs(landings, answer),
        )
        for answer in held.taps
        if not answer.present
    )
    groups = tuple(_with_like(list(same)) for _, same in groupby(views, key=_result))
    best = next((view for view in views if view.rank), None)
    count = sum(not view.refused for view in views)
    lead = f"{held.name} {held.polarity}"
    places = f"{count} place{'' if count == 1 else 's'}"
    line_1 = f"Carrying {lead}. {places}." + (
        f" Best: {best.place}." if best and bearing != "heavy" else _FIRST[bearing]
    )
    return TapsView(
        part=held.part,
        terminal=held.terminal,
        polarity=held.polarity,
        revision=revision,
        title=f"Where to put {lead}",
        heads=_HEADS[bearing],
        line_1=line_1,
        line_2=now_words(held, bearing),
        now=now_words(held, bearing),
        caution=CAUTION,
        nowhere="" if count else NOWHERE,
        others=() if count else _other_leads(boat, landings, state, held),
        first=groups[:FIRST_ROWS],
        rest=groups[FIRST_ROWS:],
        rest_words=f"All {len(views)} places",
        put_back_url=state.url(),
        basis=_basis(held, refining=refining),
        refine_url=state.url("/pick-up", part=held.part, terminal=held.terminal, refined="yes")
        if refining
        else "",
    )


def _basis(held: "PickUp", *, refining: bool) -> str:
    """What the figures in the list are."""
    if held.event is None:
        return ""
    if any(tap.exact for tap in held.taps):
        return "Of the event in time; what becomes of the rest: at the instant after the press."
    at_once = "≈: of the instant after the press"
    return f"{at_once}, refining to the event in time …" if refining else f"{at_once}."


def _other_leads(
    boat: Boat, landings: Landings, state: ViewState, held: "PickUp"
) -> tuple[OtherLeadView, ...]:
    found = (
        lead(boat, held.part, terminal, landings)
        for terminal in lead_terminals(landings.parts[held.part])
        if terminal != held.terminal
    )
    return tuple(
        OtherLeadView(
            f"instead-{one.part}--{one.terminal}",
            state.url("/pick-up", part=one.part, terminal=one.terminal),
            f"Try the {one.polarity} lead instead",
        )
        for one in found
        if one.last is not None
    )


def _result(view: TapView) -> tuple[str, ...]:
    """What comes of a place as the list shows it, but for the metres."""
    shown = (view.mark_class, view.breaks, view.mark_word, view.lowest, view.verdict, view.drop)
    return (*shown, *view.banks, view.cable[:5])


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


def _tap(state: ViewState, revision: int, held: "PickUp", answer: "TapAnswer", bearing: Bearing) -> TapView:
    sign, word = MARKS[answer.mark]
    if bearing == "heavy" and not answer.breaks:
        word = rest_words(answer.others)
    if answer.loses:
        word = f"{word}; loses its {answer.loses}"
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
        line_1=_first_line(held, answer, bearing),
        line_2=second_line(held, answer, breaks)
        if bearing == "load"
        else own_line(held, answer, breaks, bearing),
        refused=breaks,
        rank="" if answer.rank is None else str(answer.rank),
        mark=sign,
        mark_word=word,
        cable=cable_words(held, answer),
        mark_class=answer.mark,
        place=answer.place,
        lowest=_lowest(answer, bearing),
        verdict=VERDICTS[answer.verdict] if bearing == "load" and answer.need_v is not None else "",
        drop=_second_figure(answer, bearing),
        length=metres(answer.length_m),
        breaks=breaks,
        banks=tuple(map(bank_words, answer.banks)),
    )


def _first_line(held: "PickUp", answer: "TapAnswer", bearing: Bearing) -> str:
    if bearing == "load":
        return first_line(held, answer)
    return banks_line(answer) if answer.banks else rest_line(answer)


def _lowest(answer: "TapAnswer", bearing: Bearing) -> str:
    """The figure that a row begins with."""
    if bearing == "load":
        return lowest_words(answer)
    return charged_words(answer) if bearing == "source" else sag_volts(answer.others.worst_after_v)


def _second_figure(answer: "TapAnswer", bearing: Bearing) -> str:
    if bearing == "load":
        return least(per_cent(answer.drop_fraction), answer.unknown)
    if bearing == "source":
        return counting_words(answer)
    return f"{answer.others.restarts_after} restart{'' if answer.others.restarts_after == 1 else 's'}"

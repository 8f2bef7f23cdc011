"""The card of what was touched in the picture: what it is, what hangs there, and what can be done here."""

from collections.abc import Iterator
from dataclasses import dataclass

from server.actions.lists import end_words, part_figures, terminal_words
from server.actions.things import (
    Thing,
    conductor_facts,
    hanging,
    takes_several,
    thing_named,
)
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.leads import Landings
from server.boat.parts import AnyPart, Battery, Load, Panel
from server.boat.value import TerminalRef
from server.web.views.fitting import WordGroupView
from server.web.views.fitting_fields import AskedView
from server.web.views.forms import FormView, change_form
from server.web.views.photos import counted
from server.web.views.state import ViewState

MOST_HANGING = 12
"""So many are listed at once; the rest is folded away."""


@dataclass(frozen=True)
class HangingView:
    """One conductor on a part, or one end of a conductor, with the way to its card."""

    id: str
    words: str
    where: str
    url: str


@dataclass(frozen=True)
class DoView:
    """One thing that can be done here: a link that unfolds its questions, or is done by itself.

    ``shows_picture`` where the next touch is one in the picture.
    """

    id: str
    words: str
    url: str
    inside: bool
    shows_picture: bool = False


@dataclass(frozen=True)
class PressView:
    """One button that changes the boat at once."""

    id: str
    words: str
    form: FormView


@dataclass(frozen=True)
class WordsView:
    """The choice of what to put in, by the trade's words."""

    action: str
    hidden: tuple[tuple[str, str], ...]
    groups: tuple[WordGroupView, ...]


@dataclass(frozen=True)
class DoingView:
    """The questions about one thing that is being done here."""

    title: str
    note: str
    form: FormView
    fields: tuple[AskedView, ...]
    button: str
    words: WordsView | None = None
    offers: tuple[tuple[str, tuple[str, ...]], ...] = ()
    gone: tuple[str, ...] = ()


@dataclass(frozen=True)
class ThingView:
    """``workbench/_thing.html``: empty while nothing is touched.

    ``wires_from`` is set while a second terminal is awaited: the next touch in the picture names it.
    """

    name: str = ""
    at: str = ""
    facts: str = ""
    hangs_words: str = ""
    hangs: tuple[HangingView, ...] = ()
    rest: tuple[HangingView, ...] = ()
    does: tuple[DoView, ...] = ()
    presses: tuple[PressView, ...] = ()
    doing: DoingView | None = None
    wires_from: str = ""
    told: str = ""
    close_url: str = ""
    is_alone: bool = False
    photos: str = ""
    photos_url: str = ""


def thing_view(
    opened: OpenBoat,
    state: ViewState,
    doing: DoingView | None = None,
    *,
    told: str = "",
    wires_from: str = "",
) -> ThingView:
    """The card of what the view has selected; empty where that is nothing of this boat."""
    thing = thing_named(opened.boat, state.selected)
    if thing is None:
        return ThingView()
    hangs = tuple(_hangs(opened.boat, state, thing))
    return ThingView(
        name=thing.name,
        at=thing.id,
        facts=_facts(opened.boat, thing),
        hangs_words=_hangs_words(thing, len(hangs)),
        hangs=hangs[:MOST_HANGING],
        rest=hangs[MOST_HANGING:],
        does=tuple(_does(opened.boat, state, thing)),
        presses=tuple(_presses(opened, state, thing)),
        doing=doing,
        wires_from=wires_from,
        told=told,
        close_url=state.selecting(None).url(),
        is_alone=not isinstance(thing.part, Load),
        photos=_photos(opened.boat, thing),
        photos_url=f"/boats/{opened.id}/photos?of={thing.own_id}",
    )


def _photos(boat: Boat, thing: Thing) -> str:
    count = sum(photo.subject == thing.own_id for photo in boat.photos)
    return counted(count, "photo") if count else "Put a photo on"


def found_view(
    state: ViewState, words: str, found: tuple[tuple[str, str], ...], wires_from: str = ""
) -> ThingView:
    """What was found where that is not just one thing; while a cable is put in, where it may go."""

    def url(identity: str) -> str:
        if wires_from:
            return here_url(state.selecting(wires_from), wires_from, "wire", to=identity)
        return state.selecting(identity).url()

    rows = tuple(HangingView(f"found-{identity}", name, "", url(identity)) for identity, name in found)
    told = "" if found else f"Nothing aboard is called “{words}”: look for a name or a cable’s number."
    return ThingView(
        name=f"Found: {len(found)}",
        hangs=rows,
        told=told,
        wires_from=wires_from,
        close_url=state.url(),
        is_alone=True,
    )


def _facts(boat: Boat, thing: Thing) -> str:
    if thing.conductor is not None:
        return conductor_facts(thing.conductor)
    if thing.part is None or thing.terminal is None:
        return ""
    kind = thing.part.kind.replace("-", " ")
    facts = [kind if kind != thing.part.name.casefold() else "", part_figures(thing.part)]
    if takes_several(thing.part):
        lies = Landings.of(boat).at(thing.part.id, thing.terminal.terminal)
        words = terminal_words(thing.part, thing.terminal.terminal)
        facts.append(f"{words}: {'in use' if lies else 'free'}")
    return "; ".join(fact for fact in facts if fact)


def _hangs_words(thing: Thing, count: int) -> str:
    if thing.conductor is not None:
        return "Its two ends"
    return "Nothing is wired to it." if not count else f"Wired to it: {count}"


def _hangs(boat: Boat, state: ViewState, thing: Thing) -> Iterator[HangingView]:
    if thing.part is not None:
        for n, one in enumerate(hanging(boat, thing.part)):
            url = state.selecting(one.conductor).url()
            yield HangingView(f"hang-{one.conductor}-{n}", one.name, f"{one.here} — {one.far}", url)
        return
    conductor = thing.conductor
    landings = Landings.of(boat)
    for side in ("tail", "head"):
        end: TerminalRef | None = getattr(conductor, side)
        url = "" if end is None else state.selecting(f"{end.part}.{end.terminal}").url()
        yield HangingView(f"hang-{side}", end_words(landings, end), "", url)


def here_url(state: ViewState, at: str, do: str, **more: str) -> str:
    """The address that asks about one thing to be done."""
    return state.selecting(at).url("/here", do=do, **more)


def _does(boat: Boat, state: ViewState, thing: Thing) -> Iterator[DoView]:
    where = "into it" if thing.conductor is not None else "here"

    def inside(do: str, words: str) -> DoView:
        url = here_url(state, thing.id, do)
        return DoView(f"do-{do}", words, url, inside=True, shows_picture=do == "wire")

    yield inside("put", f"Put something {where}")
    if thing.part is not None:
        yield inside("wire", "Wire from here")
    if isinstance(thing.part, Battery):
        yield inside("bank", "Make a bank of it")
    if isinstance(thing.part, Panel) and any(one.polarity == "positive" for one in thing.part.sections):
        yield inside("ways", "Its ways as a list")
    if thing.part is not None and takes_several(thing.part):
        yield _fold(state, thing.part)
    yield inside("out", "Take it out")


def _fold(state: ViewState, part: AnyPart) -> DoView:
    shut = f"-{part.id}" not in state.panels
    words = "Its loads in one row" if shut else "Its loads one by one"
    return DoView("do-fold", words, state.folding(part.id, shut=shut).url(), inside=False)


def _presses(opened: OpenBoat, state: ViewState, thing: Thing) -> Iterator[PressView]:
    """Rows are moved one by one; what has no row says so when it is tried."""
    part = thing.part
    if part is None or not has_row(part):
        return
    for way, words in (("up", "Row up"), ("down", "Row down"), ("own", "Rows as drawn")):
        if way != "own" or opened.boat.row_order:
            form = change_form(state, "/here/row", opened.rev, part=part.id, way=way)
            yield PressView(f"row-{way}", words, form)


def has_row(part: AnyPart) -> bool:
    """Whether a part stands in the ladder with a row of its own."""
    return part.kind in ROWS


ROWS = ("load", "inverter", "outboard", "alternator", "charger", "solar", "converter")

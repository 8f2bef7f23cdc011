"""The questions on the card of a touched thing: what is put in, wired, chained, listed, taken out."""

from collections.abc import Iterator, Mapping

from server.actions.banks import joins_in_series
from server.actions.fitting import free_name, short_title
from server.actions.lists import terminal_words
from server.actions.panel_ways import way_lines
from server.actions.putting import cuts_in, usual_cut
from server.actions.rejoining import Rejoined, rejoined
from server.actions.terminal_choice import terminals_by_words
from server.actions.things import Thing, hanging, polarity_at
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.catalogue import Entry
from server.boat.conductors import Conductor
from server.boat.leads import Landings
from server.boat.parts import AnyPart, Battery, Panel
from server.boat.terminals import terminals
from server.boat.value import TerminalRef
from server.practice.sizes import sizes
from server.web.views.fitting import COLOURS, REJOIN, SIZE_SYSTEMS, word_groups
from server.web.views.fitting_fields import (
    CABLE,
    LEADS,
    SIZES,
    TERMINALS,
    Asked,
    AskedView,
    Errors,
    cable_fields,
    choice_field,
    has_leads,
    line_field,
    question_fields,
)
from server.web.views.fitting_fields import (
    COLOURS as COLOUR_LIST,
)
from server.web.views.forms import FormView, change_form
from server.web.views.state import ViewState
from server.web.views.thing import DoingView, WordsView

FORM = "here"
"""What the ids of the card's fields begin with."""
Typed = Mapping[str, str]
Catalogue = Mapping[str, Entry]
JOINED = (("cable", "By a cable"), ("bolted", "Bolted straight on"))
PICK_UPS = (("opposite", "From opposite ends"), ("same", "Both from the first battery"))
JOINED_AGAIN = (REJOIN, "Are joined again to one")
OUTS = (("loose", "Stay, with a loose end"), ("gone", "Are taken out with it"))
BESIDE_A_CABLE = ("size", "length", "number", "colour", "fuse")
DISTANCE = Asked("distance", "Cable between there and it", unit="m")
USUAL_CUT_NOTE = (
    "Lengths are shared: the rest of the cable stays on the other side and keeps its number, "
    "the piece cut off gets the number with a letter. Left empty, it is bolted straight onto that end."
)


def doing_view(  # noqa: PLR0911, PLR0913, PLR0917 - one line a thing that can be done
    opened: OpenBoat,
    state: ViewState,
    thing: Thing,
    do: str,
    typed: Typed,
    catalogue: Catalogue,
    errors: Errors | None = None,
) -> DoingView | None:
    """The questions about one thing to be done here, with what was typed; None where it cannot be done."""
    wrong = errors or {}
    offered = {word: one for word, one in catalogue.items() if thing.conductor is None or cuts_in(one)}
    match do, thing.part, thing.conductor:
        case "put", None, Conductor() as conductor:
            return _cut_in(opened, state, thing, conductor, offered, typed, wrong)
        case "put", part, None if part is not None:
            return _landed(opened, state, thing, part, offered, typed, wrong)
        case "wire", part, None if part is not None:
            return _wired(opened, state, thing, typed, wrong)
        case "bank", Battery() as battery, _:
            return _banked(opened, state, thing, battery, typed, wrong)
        case "ways", Panel() as panel, _:
            return _listed(opened, state, panel, typed, wrong)
        case "out", _, _:
            return _taken_out(opened, state, thing, typed)
        case _:
            return None


def entry_of(thing: Thing, word: str, catalogue: Catalogue) -> Entry:
    """The word of the catalogue that is asked about; the first that fits where none is named."""
    fits = [one for one in catalogue.values() if thing.conductor is None or cuts_in(one)]
    return next((one for one in fits if one.word == word), fits[0])


def _form(opened: OpenBoat, state: ViewState, do: str, **more: str) -> FormView:
    return change_form(state, f"/here/{do}", opened.rev, **more)


def _words(state: ViewState, thing: Thing, offered: Catalogue, chosen: Entry) -> WordsView:
    hidden = (*(pair for pair in state.selecting(thing.id).pairs), ("do", "put"))
    return WordsView(state.path("/here"), hidden, tuple(word_groups(offered, chosen.word)))


def _cut_in(  # noqa: PLR0913, PLR0917 - each names one thing of the questions
    opened: OpenBoat,
    state: ViewState,
    thing: Thing,
    conductor: Conductor,
    offered: Catalogue,
    typed: Typed,
    errors: Errors,
) -> DoingView:
    entry = entry_of(thing, typed.get("what", ""), offered)
    usual = usual_cut(opened.boat, conductor)
    before = "" if usual.distance_m is None else f"{usual.distance_m:g}"
    typed = {"name": f"{short_title(entry)}, {thing.name[:1].lower()}{thing.name[1:]}"[:120]} | dict(typed)
    landings = Landings.of(opened.boat)
    ends = tuple((side, _end_words(landings, getattr(conductor, side), side)) for side in ("tail", "head"))
    fields = [
        *question_fields(FORM, entry, typed, errors),
        choice_field(FORM, "near", "Counted from", ends, typed.get("near", usual.near)),
    ]
    if conductor.kind == "wire":
        fields.append(line_field(FORM, DISTANCE, {"distance": before} | dict(typed), errors))
    return DoingView(
        title="Put into it",
        note=USUAL_CUT_NOTE if conductor.kind == "wire" else "A bolted joint is parted at that end.",
        form=_form(opened, state, "put", at=thing.id, what=entry.word),
        fields=tuple(fields),
        button="Put it in",
        words=_words(state, thing, offered, entry),
    )


def _end_words(landings: Landings, end: TerminalRef | None, side: str) -> str:
    if end is None:
        return f"The loose end ({side})"
    part = landings.parts[end.part]
    return f"{part.name}: {terminal_words(part, end.terminal)}"


def _terminal_field(boat: Boat, part: AnyPart, chosen: str) -> AskedView:
    """Which of the part's terminals, each with whether something lies there."""
    at = Landings.of(boat).at
    offered = tuple(
        (
            f"{part.id}.{name}",
            f"{terminal_words(part, name)} ({'in use' if at(part.id, name) else 'free'})",
        )
        for name in terminals(part)
    )
    return choice_field(FORM, "at", "On its terminal", offered, chosen)


def _landed(  # noqa: PLR0913, PLR0917 - each names one thing of the questions
    opened: OpenBoat,
    state: ViewState,
    thing: Thing,
    part: AnyPart,
    offered: Catalogue,
    typed: Typed,
    errors: Errors,
) -> DoingView:
    entry = entry_of(thing, typed.get("what", ""), offered)
    typed = {"name": free_name(opened.boat, entry)} | dict(typed)
    fields = [
        _terminal_field(opened.boat, part, typed.get("at", thing.id)),
        *question_fields(FORM, entry, typed, errors),
    ]
    if has_leads(entry):
        side = "negative" if thing.terminal is None else polarity_at(opened.boat, thing.terminal)
        kept = "tail" if side == "positive" else "head"
        fields += [line_field(FORM, one, typed, errors) for one in LEADS if one.name != kept]
    else:
        fields.append(choice_field(FORM, "joined", "It is joined", JOINED, typed.get("joined", "cable")))
        fields += [line_field(FORM, one, typed, errors) for one in CABLE if one.name in BESIDE_A_CABLE]
    return DoingView(
        title="Put something here",
        note="It lands wired to this terminal. What is not known stays empty.",
        form=_form(opened, state, "put", what=entry.word),
        fields=tuple(fields),
        button="Put it in",
        words=_words(state, thing, offered, entry),
        offers=offers(opened.boat),
    )


def _wired(opened: OpenBoat, state: ViewState, thing: Thing, typed: Typed, errors: Errors) -> DoingView:
    known = {"tail": terminal_in_words(opened.boat, thing.terminal)} | dict(typed)
    has_both = bool(known.get("head"))
    return DoingView(
        title="Wire from here",
        note="" if has_both else "Touch where it goes in the picture, or choose it under “To”.",
        form=_form(opened, state, "wire", at=thing.id),
        fields=tuple(cable_fields(known, errors, FORM)),
        button="Put the cable in",
        offers=offers(opened.boat),
    )


def _banked(  # noqa: PLR0913, PLR0917 - each names one thing of the questions
    opened: OpenBoat, state: ViewState, thing: Thing, battery: Battery, typed: Typed, errors: Errors
) -> DoingView:
    in_series = joins_in_series(opened.boat, battery)
    hows: tuple[tuple[str, str], ...] = (("parallel", "In parallel: more capacity"),)
    if in_series:
        hows = (("series", f"In series: {in_series} more make {opened.boat.nominal_voltage_v:g} V"), *hows)
    usual = {"more": str(in_series or 1), "length": "0.3"} | dict(typed)
    fields = [
        line_field(FORM, Asked("more", "How many more like it"), usual, errors),
        choice_field(FORM, "how", "Joined", hows, typed.get("how", hows[0][0])),
        choice_field(FORM, "pick", "Picked up", PICK_UPS, typed.get("pick", PICK_UPS[0][0])),
        line_field(FORM, Asked("size", "Size of the jumpers", offers=SIZES), usual, errors),
        line_field(FORM, Asked("length", "Length of each", unit="m"), usual, errors),
    ]
    return DoingView(
        title="Make a bank of it",
        note=(
            "From opposite ends, the positive is taken from the first battery, the negative from the last: "
            "so all of them work alike. What lies on the negative moves there. "
            "Join only batteries of one kind and age, at the same state of charge."
        ),
        form=_form(opened, state, "bank", at=thing.id),
        fields=tuple(fields),
        button="Make the bank",
        offers=offers(opened.boat),
    )


def _listed(opened: OpenBoat, state: ViewState, panel: Panel, typed: Typed, errors: Errors) -> DoingView:
    return DoingView(
        title="Its ways as a list",
        note="One a line with its amperes, from the top down. What is wired to a way stays on it.",
        form=_form(opened, state, "ways", part=panel.id),
        fields=tuple(_way_fields(panel, typed, errors)),
        button="Set the ways",
    )


def _way_fields(panel: Panel, typed: Typed, errors: Errors) -> Iterator[AskedView]:
    for section in panel.sections:
        if section.polarity == "positive":
            name = f"ways-{section.id}"
            text = typed.get(name, way_lines(section))
            yield AskedView(f"{FORM}-{name}", name, section.name, "lines", text, "", errors.get(name, ""))


def _taken_out(opened: OpenBoat, state: ViewState, thing: Thing, typed: Typed) -> DoingView:
    hangs = () if thing.part is None else hanging(opened.boat, thing.part)
    joined = "" if thing.part is None else rejoined(opened.boat, thing.part)
    offered = (JOINED_AGAIN, *OUTS) if isinstance(joined, Rejoined) else OUTS
    fields = (
        choice_field(FORM, "hanging", "The cables on it", offered, typed.get("hanging", offered[0][0])),
    )
    note = joined.words if isinstance(joined, Rejoined) else joined
    return DoingView(
        title=f"Take out {thing.name}",
        note="The other conductors of its cable stay." if _shares(opened.boat, thing) else note,
        form=_form(opened, state.selecting(None), "out", at=thing.id),
        fields=fields if hangs else (),
        button="Take it out",
        gone=tuple(f"{one.name}: {one.here} — {one.far}" for one in hangs),
    )


def _shares(boat: Boat, thing: Thing) -> bool:
    """Whether a conductor's cable holds more conductors."""
    cable = None if thing.conductor is None else thing.conductor.cable
    return cable is not None and sum(one.cable == cable for one in boat.conductors) > 1


def terminal_in_words(boat: Boat, at: TerminalRef | None) -> str:
    """A terminal by the words that its field takes; empty for none."""
    words = [words for words, known in terminals_by_words(boat).items() if known == at]
    return words[-1] if words else ""


def offers(boat: Boat) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The lists that fields offer, by their ids."""
    labels = tuple(one.label for one in sizes() if one.system in SIZE_SYSTEMS[boat.practice.profile])
    return (
        (TERMINALS, tuple(terminals_by_words(boat))),
        (SIZES, labels),
        (COLOUR_LIST, COLOURS),
    )

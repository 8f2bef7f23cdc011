"""What was typed on the card of a touched thing: an edit to be made, or what is wrong with it by field."""

from collections.abc import Mapping
from dataclasses import dataclass

from server.actions.banks import MOST_MORE, BankAnswers, bank_edit, joins_in_series
from server.actions.coming_aboard import met_by_loose_ends
from server.actions.fitting import cable_edit, take_out_conductor, take_out_part
from server.actions.panel_ways import ways_edit
from server.actions.putting import Cut, cut_in_edit, landed_edit
from server.actions.rejoining import Rejoined, rejoined
from server.actions.things import Thing, hanging
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.edits import AnyEdit, EditError, Several, SingleEdit
from server.boat.leads import Side
from server.boat.parts import Battery, Panel
from server.boat.value import TerminalRef
from server.web.forms import Wrong, number
from server.web.views.doings import BESIDE_A_CABLE, Catalogue, entry_of
from server.web.views.fitting import REJOIN
from server.web.views.fitting_answers import LONGEST_M, cable_answers, part_answers
from server.web.views.fitting_fields import LEADS, Errors, has_leads

Typed = Mapping[str, str]


@dataclass(frozen=True)
class Done:
    """An edit, and what is selected after it; or what is wrong by field."""

    edit: AnyEdit | None
    selects: str | None = None
    errors: Errors | None = None


def put_answers(boat: Boat, thing: Thing, typed: Typed, catalogue: Catalogue) -> Done:
    """A part put into a conductor or onto a terminal.

    Raises:
        ValidationError: an answer does not fit the part.
    """
    entry = entry_of(thing, typed.get("what", ""), catalogue)
    name, answers, errors = part_answers(entry, typed)
    if thing.conductor is not None:
        cut, wrong = _cut(thing.conductor, typed)
        if errors or wrong:
            return Done(None, errors={**errors, **wrong})
        edit = cut_in_edit(boat, thing.conductor, entry, name, answers, cut)
        return Done(edit, edit.part.id)
    names = {one.name for one in LEADS} if has_leads(entry) else set(BESIDE_A_CABLE)
    cable, wrong = cable_answers(boat, {key: typed.get(key, "") for key in names})
    wrong = {key: words for key, words in wrong.items() if key != "tail" or typed.get("tail")}
    if errors or wrong:
        return Done(None, errors={**errors, **wrong})
    put, part = landed_edit(
        boat, _at(thing), entry, name, answers, cable, bolted=typed.get("joined") == "bolted"
    )
    return Done(met_by_loose_ends(boat, put).edit, part)


def _at(thing: Thing) -> TerminalRef:
    assert thing.terminal is not None  # noqa: S101 - a part that was named has a terminal
    return thing.terminal


def _cut(conductor: Conductor, typed: Typed) -> tuple[Cut, Errors]:
    near: Side = "head" if typed.get("near") == "head" else "tail"
    text = typed.get("distance", "")
    if conductor.kind == "link" or not text.strip():
        return Cut(near, None), {}
    distance = number(text, "m", "0.15", at_most=LONGEST_M)
    if isinstance(distance, Wrong):
        return Cut(near, None), {"distance": distance.message}
    return Cut(near, distance), {}


def wire_answers(boat: Boat, typed: Typed) -> Done:
    """A cable between two terminals."""
    answers, errors = cable_answers(boat, typed)
    if errors:
        return Done(None, errors=errors)
    edit = cable_edit(answers)
    return Done(edit, _conductor_of(edit))


def _conductor_of(edit: Several) -> str:
    return next(one.conductor.id for one in edit.edits if one.kind == "add-conductor")


def bank_answers(boat: Boat, thing: Thing, typed: Typed) -> Done:
    """More batteries chained to one.

    Raises:
        EditError: what was touched is no battery.
    """
    battery = thing.part
    if not isinstance(battery, Battery):
        raise EditError("at", "a bank begins with a battery.", "Touch a battery.")
    wrong: dict[str, str] = {}
    more = number(typed.get("more", ""), "", "1", at_most=MOST_MORE)
    if isinstance(more, Wrong) or more != round(more):
        wrong["more"] = f"Enter a whole number from 1 to {MOST_MORE}."
    jumper, errors = cable_answers(boat, {key: typed.get(key, "") for key in ("size", "length")})
    wrong |= errors
    if wrong or isinstance(more, Wrong):
        return Done(None, errors=wrong)
    in_series = typed.get("how") == "series" and joins_in_series(boat, battery) > 0
    answers = BankAnswers(
        more=round(more),
        how="series" if in_series else "parallel",
        jumper=jumper,
        opposite_ends=typed.get("pick") != "same",
    )
    return Done(bank_edit(boat, battery, answers), battery.id)


def ways_answers(boat: Boat, panel: Panel, typed: Typed) -> Done:
    """The ways of a panel's sections; what does not fit stands beside its own list."""
    edits: list[SingleEdit] = []
    wrong: dict[str, str] = {}
    for section in panel.sections:
        name = f"ways-{section.id}"
        if name in typed:
            try:
                edits.append(ways_edit(boat, panel, section.id, typed[name]))
            except EditError as error:
                wrong[name] = f"{error.message[:1].upper()}{error.message[1:]} {error.mend}"
    if wrong or not edits:
        return Done(None, errors=wrong or {"ways": "Enter one a line."})
    return Done(Several(edits=tuple(edits), label=f"{panel.name}: its ways"[:120]), panel.id)


def out_answers(boat: Boat, thing: Thing, typed: Typed) -> Done:
    """A part or a conductor taken out; of a part, its cables too, or joined again, where that was chosen."""
    if thing.part is None:
        return Done(take_out_conductor(boat, thing.own_id))
    joined = rejoined(boat, thing.part) if typed.get("hanging") == REJOIN else ""
    if isinstance(joined, Rejoined):
        return Done(joined.edit, joined.stays)
    out = take_out_part(thing.part.id)
    if typed.get("hanging") != "gone":
        return Done(out)
    cables = dict.fromkeys(one.conductor for one in hanging(boat, thing.part))
    edits = [out, *(single for one in cables for single in _singles(take_out_conductor(boat, one)))]
    return Done(Several(edits=tuple(edits), label=f"Take out {thing.part.name} and its cables"[:120]))


def _singles(edit: AnyEdit) -> tuple[SingleEdit, ...]:
    return edit.edits if isinstance(edit, Several) else (edit,)

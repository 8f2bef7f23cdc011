"""A part that rows of the survey spoke of before it was aboard: its name, its word, its loose ends."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from server.actions.fitting import hangs_on
from server.actions.survey_list import Writing
from server.actions.survey_mending import mended
from server.actions.survey_spots import without_pole
from server.boat.boat import Boat
from server.boat.catalogue import Entry
from server.boat.edits import AddPart, AnyEdit, Several, SingleEdit, apply

UNKNOWN = "electronics"
"""The word that is asked about where a name tells none."""
_SHORTEST = 3


def part_name(text: str) -> str:
    """What the part is called that an end of a row speaks of.

    >>> part_name("Windlass: positive"), part_name("nav lights +")
    ('Windlass', 'nav lights')
    """
    return without_pole(text.partition(":")[0])


def guessed_word(catalogue: Mapping[str, Entry], name: str) -> str:
    """The word of the trade that a name is likest: that with which it shares most words or beginnings."""
    said = _words(name)

    def alike(entry: Entry) -> int:
        titles = _words(entry.title)
        return sum(any(a.startswith(b) or b.startswith(a) for b in titles) for a in said)

    best = max(catalogue.values(), key=alike)
    return best.word if alike(best) else UNKNOWN


def _words(text: str) -> list[str]:
    return [one for one in re.findall(r"[^\W\d_]+", text.casefold()) if len(one) >= _SHORTEST]


@dataclass(frozen=True)
class Met:
    """An edit that puts a part in, with the loose ends that it is met by, and how many those are."""

    edit: Several
    ends: int


def new_part(edit: AnyEdit) -> str:
    """The id of the part that an edit puts in; empty where it puts none in."""
    edits = edit.edits if isinstance(edit, Several) else (edit,)
    return next((one.part.id for one in edits if isinstance(one, AddPart)), "")


def met_by_loose_ends(boat: Boat, edit: Several) -> Met:
    """A part put in, and every loose end laid on it of which its row leaves no doubt.

    Raises:
        EditError: the part does not fit the boat.
    """
    new = new_part(edit)
    now = apply(boat, edit)
    mends: list[SingleEdit] = []
    ends = 0
    writing = Writing(boat)
    for wire in boat.conductors:
        if not wire.notes or None not in {wire.tail, wire.head}:
            continue
        read = mended(now, wire, writing.row(wire))
        then = apply(now, Several(edits=read.edits, label=edit.label)) if read.edits else now
        met = hangs_on(then, new) - hangs_on(now, new)
        if met:
            now, ends, mends = then, ends + met, [*mends, *read.edits]
    return Met(Several(edits=(*edit.edits, *mends), label=edit.label), ends) if mends else Met(edit, 0)

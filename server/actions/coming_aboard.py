"""A part that rows of the survey spoke of before it was aboard: its name, its word, its loose ends."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from server.actions.fitting import hangs_on
from server.actions.survey_list import Writing, rows_of
from server.actions.survey_mending import mended
from server.actions.survey_spots import without_pole
from server.boat.boat import Boat
from server.boat.catalogue import Entry
from server.boat.edits import AddPart, AnyEdit, Several, SingleEdit, apply

UNKNOWN = "electronics"
"""The word that is asked about where a name tells none."""
_ALSO = {
    "vhf": "radio",
    "fridge": "refrigeration",
    "freezer": "refrigeration",
    "toilet": "pump",
    "macerator": "pump",
    "watermaker": "pump",
    "blower": "pump",
    "heater": "heating",
    "lamp": "lights",
    "socket": "outlet",
    "usb": "outlet",
    "mppt": "solar",
    "bank": "battery",
    "strip": "connector",
    "splice": "connector",
    "stud": "post",
}
"""Names that are not in the titles of the words; common practice, no source. Only a first offer."""
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
    also = next((_ALSO[one] for one in said if one in _ALSO), "")

    def alike(entry: Entry) -> tuple[int, bool]:
        """How many words are shared, and whether the first of the title is."""
        met = [any(a.startswith(b) or b.startswith(a) for a in said) for b in _words(entry.title)]
        return sum(met), any(met[:1])

    best = max(catalogue.values(), key=alike)
    return best.word if any(alike(best)) else also or UNKNOWN


def ways_spoken_of(boat: Boat, panel: str) -> str:
    """The ways of a panel by what the rows that begin there are called, one a line."""
    rows = (row for row in rows_of(boat) if part_name(row.tail).casefold() == panel.casefold())
    return "\n".join(dict.fromkeys(row.what for row in rows if row.what))


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

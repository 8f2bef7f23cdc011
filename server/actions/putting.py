"""Putting a part in at the place where it goes: into a conductor, or onto a terminal."""

from dataclasses import dataclass, replace

from server.actions.fitting import CableAnswers, cable_edit, part_edit
from server.actions.things import likely_terminal, nearer_end, polarity_at
from server.boat.boat import Boat
from server.boat.catalogue import Answers, Entry, Made
from server.boat.catalogue.loads import GROUP as LOADS
from server.boat.conductors import Conductor
from server.boat.edits import AddConductor, Several, SingleEdit, Splice
from server.boat.ids import new_id
from server.boat.leads import Side
from server.boat.parts import AnyPart, Breaker, Fuse
from server.boat.value import Span, TerminalRef

CUT_IN = ("fuse", "breaker", "battery-switch", "switch", "shunt", "connector", "busbar", "post")
"""Words of the trade that can be put into a conductor."""
NEAR_SOURCE_M = 0.15
"""Where a device is put into a conductor if nothing else is said: inside the 7 in along the conductor that
33 CFR 183.455(b)(1) allows where it cannot sit at the source."""


def cuts_in(entry: Entry) -> bool:
    """Whether a part of this word can be put into a conductor; of the yard's own parts by their two ends."""
    return entry.word in CUT_IN or entry.cuts_in


@dataclass(frozen=True)
class Cut:
    """Where a conductor is parted: at which end, and how far from it; without a distance at the terminal."""

    near: Side
    distance_m: float | None


def usual_cut(boat: Boat, conductor: Conductor) -> Cut:
    """Near the end towards the battery; a short piece is parted halfway, a bolted joint at the terminal."""
    near = nearer_end(boat, conductor).side
    if conductor.kind == "link":
        return Cut(near, None)
    length = conductor.length_m
    shortest = length.low if isinstance(length, Span) else length
    return Cut(near, NEAR_SOURCE_M if shortest is None else min(NEAR_SOURCE_M, shortest / 2))


def cut_in_edit(  # noqa: PLR0913, PLR0917 - each names one thing of the edit
    boat: Boat, conductor: Conductor, entry: Entry, name: str, answers: Answers, cut: Cut
) -> Splice:
    """Part a conductor and put a part between the pieces, as one edit.

    The longer piece keeps the cable with its number; the piece at ``cut.near`` gets the number with a letter.

    Raises:
        ValidationError: an answer does not fit the part.
    """
    part = entry.part(Made(new_id(entry.word), name, boat.nominal_voltage_v, answers))
    own_cable = conductor.cable is not None and cut.distance_m is not None
    return Splice(
        conductor=conductor.id,
        part=part,
        new_conductor=new_id("wire" if cut.distance_m is not None else "link"),
        near=cut.near,
        distance_m=cut.distance_m,
        new_cable=new_id("cable") if own_cable else None,
    )


def landed_edit(  # noqa: PLR0913, PLR0917 - each names one thing of the edit
    boat: Boat,
    at: TerminalRef,
    entry: Entry,
    name: str,
    answers: Answers,
    cable: CableAnswers,
    *,
    bolted: bool = False,
) -> tuple[Several, str]:
    """Put a part in and wire it to a terminal, as one edit; answers the edit and the part's id.

    A load comes with both leads: one lands here, the other where ``cable`` says (``head`` for its negative,
    ``tail`` for its supply). Any other part lands here with the terminal that is of this polarity, by a cable
    or bolted straight on.

    Raises:
        ValidationError: an answer does not fit the part.
    """
    side = polarity_at(boat, at)
    if entry.group == LOADS:
        leads = replace(cable, tail=at) if side == "positive" else replace(cable, head=at)
        put = part_edit(boat, entry, name, answers, leads)
        return put, _added(put).id
    put = part_edit(boat, entry, name, answers)
    part = _added(put)
    there = TerminalRef(part=part.id, terminal=_landing(boat, part, side))
    if bolted:
        link = Conductor(id=new_id("link"), kind="link", tail=at, head=there)
        wiring: tuple[SingleEdit, ...] = (AddConductor(conductor=link),)
    else:
        wiring = cable_edit(replace(cable, tail=at, head=there)).edits
    return Several(edits=(*put.edits, *wiring), label=put.label), part.id


def _landing(boat: Boat, part: AnyPart, side: str) -> str:
    """The terminal of a new part that meets the terminal it is put on; a device's line faces the source."""
    if isinstance(part, Fuse | Breaker):
        return "line"
    return likely_terminal(boat, part, "negative" if side == "negative" else "positive")


def _added(edit: Several) -> AnyPart:
    return next(one.part for one in edit.edits if one.kind == "add-part")

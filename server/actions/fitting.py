"""Putting parts and cables in, one by one, and taking them out again: edits from a person's answers."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import count

from server.actions.survey_sizes import printed_size
from server.boat.boat import Boat
from server.boat.catalogue import Answers, Entry, Made
from server.boat.conductors import Cable, Conductor, Joint, LengthBasis, Size
from server.boat.edits import (
    AddCable,
    AddConductor,
    AddMode,
    AddPart,
    AnyEdit,
    RemoveCable,
    RemoveConductor,
    RemovePart,
    SetOn,
    Several,
    SingleEdit,
)
from server.boat.events import heavy_inputs_of
from server.boat.ids import new_id
from server.boat.modes import Mode
from server.boat.parts import AnyPart, Fuse, Inverter, Load, Outboard
from server.boat.value import TerminalRef

FIRST_MODE = Mode(id="everything-on", name="Everything on")
"""What a boat without modes gets with its first load, so that it can be computed at all."""
ENTERED_C = 105.0
"""The insulation that is printed on marine cable; shown with the cable, to be changed there."""


@dataclass(frozen=True)
class CableAnswers:
    """What was answered about a cable; None stands for a loose end, no fuse, or what is not known."""

    tail: TerminalRef | None = None
    head: TerminalRef | None = None
    size: str | None = None
    length_m: float | None = None
    measured: bool = True
    number: str | None = None
    colour: str | None = None
    fuse_a: float | None = None
    note: str | None = None


def short_title(entry: Entry) -> str:
    """A word of the trade without what explains it.

    >>> from server.boat.catalogue import CATALOGUE
    >>> short_title(CATALOGUE["battery-switch"])
    'Battery switch'
    """
    return entry.title.partition(",")[0].partition(":")[0]


def free_name(boat: Boat, entry: Entry) -> str:
    """What a new part is called where nothing else is said: by its word, counted on from the second."""
    taken = {part.name.casefold() for part in boat.parts}
    title = short_title(entry)
    told = (title if n == 1 else f"{title} {n}" for n in count(1))
    return next(name for name in told if name.casefold() not in taken)


def part_edit(
    boat: Boat, entry: Entry, name: str, answers: Answers, leads: CableAnswers | None = None
) -> Several:
    """Put a part in; a load is switched on in the first mode, which a boat without modes gets with it.

    With ``leads`` a load comes with its twin cable: from ``tail`` to the load, and from it to ``head``.

    Raises:
        ValidationError: an answer does not fit the part.
    """
    part = entry.part(Made(new_id(entry.word), name, boat.nominal_voltage_v, answers))
    edits: list[SingleEdit] = [AddPart(part=part)]
    edits += switched_on(boat, (part,))
    if leads is not None and isinstance(part, Load | Inverter | Outboard):
        edits += _twin(part, leads)
    return Several(edits=tuple(edits), label=f"Put in {name}"[:120])


def switched_on(boat: Boat, parts: Iterable[AnyPart]) -> Iterator[SingleEdit]:
    """New loads on in the first mode, which a boat without modes gets with them; heavy ones are pressed."""
    loads = [part for part in parts if isinstance(part, Load | Inverter | Outboard)]
    mode = boat.modes[0] if boat.modes else FIRST_MODE
    if loads and not boat.modes:
        yield AddMode(mode=mode)
    for part in loads:
        if not heavy_inputs_of(part):
            yield SetOn(mode=mode.id, part=part.id, on=True)


def _twin(part: Load | Inverter | Outboard, leads: CableAnswers) -> list[SingleEdit]:
    """A twin cable from what feeds a load, and back to where it returns."""
    supply, negative = ("positive", "negative")
    if isinstance(part, Load):
        supply, negative = part.inputs[0].id, part.inputs[0].returns_to
    cable = Cable(id=new_id("cable"), number=leads.number, construction="twin", sheathed=True, cores=2)
    out = _wire(cable, replace(leads, head=TerminalRef(part=part.id, terminal=supply), colour="red"))
    home = _wire(cable, replace(leads, tail=TerminalRef(part=part.id, terminal=negative), colour="black"))
    return [AddCable(cable=cable), AddConductor(conductor=out), AddConductor(conductor=home)]


def cable_edit(answers: CableAnswers) -> Several:
    """Put a single cable in between two terminals, with a fuse at its first end where one is there."""
    cable = Cable(id=new_id("cable"), number=answers.number, construction="single")
    edits: list[SingleEdit] = [AddCable(cable=cable)]
    if answers.fuse_a is None:
        edits.append(AddConductor(conductor=_wire(cable, answers)))
    else:
        name = f"Fuse of cable {answers.number}" if answers.number else "Fuse"
        fuse = Fuse(kind="fuse", id=new_id("fuse"), name=name[:120], rating_a=answers.fuse_a, reset="replace")
        line, load = (TerminalRef(part=fuse.id, terminal=side) for side in ("line", "load"))
        wire = _wire(cable, replace(answers, tail=load))
        link = Conductor(id=new_id("link"), kind="link", tail=answers.tail, head=line)
        edits += [AddPart(part=fuse), AddConductor(conductor=wire), AddConductor(conductor=link)]
    words = f"cable {answers.number}" if answers.number else "a cable"
    return Several(edits=tuple(edits), label=f"Put in {words}"[:120])


def _wire(cable: Cable, answers: CableAnswers) -> Conductor:
    basis: LengthBasis | None = None
    if answers.length_m is not None:
        basis = "measured" if answers.measured else "estimated"
    return Conductor(
        id=new_id("wire"),
        kind="wire",
        cable=cable.id,
        tail=answers.tail,
        head=answers.head,
        tail_joint=Joint(style="crimped-ring"),
        head_joint=Joint(style="crimped-ring"),
        size=None if answers.size is None else _printed(answers.size),
        material="tinned-copper",
        insulation_c=ENTERED_C,
        colour=answers.colour,
        length_m=answers.length_m,
        length_basis=basis,
        notes=answers.note,
    )


def take_out_part(part: str) -> RemovePart:
    """Take a part out; what hung on it has loose ends."""
    return RemovePart(id=part)


def take_out_conductor(boat: Boat, conductor: str) -> AnyEdit:
    """Take a conductor out, and its cable where it was the last in it."""
    found = next((one for one in boat.conductors if one.id == conductor), None)
    out = RemoveConductor(id=conductor)
    if found is None or found.cable is None:
        return out
    others = [one for one in boat.conductors if one.cable == found.cable and one.id != conductor]
    if others:
        return out
    return Several(edits=(out, RemoveCable(id=found.cable)), label="Take a cable out")


def _printed(label: str) -> Size:
    row = printed_size(label)
    return Size(label=row.label, area_mm2=row.area_mm2, resistance_ohm_per_m=row.ohm_per_m, source=row.source)


def hangs_on(boat: Boat, part: str) -> int:
    """How many conductor ends lie on a part."""
    ends = (end for one in boat.conductors for end in (one.tail, one.head))
    return sum(end is not None and end.part == part for end in ends)

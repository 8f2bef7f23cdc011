"""Putting parts and cables in, one by one, and taking them out again: edits from a person's answers."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.actions.lists import terminal_words
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
    Splice,
)
from server.boat.events import heavy_inputs_of
from server.boat.ids import new_id
from server.boat.modes import Mode
from server.boat.parts import Fuse, Inverter, Load, Outboard
from server.boat.terminals import terminals
from server.boat.value import TerminalRef
from server.practice.sizes import size

FIRST_MODE = Mode(id="everything-on", name="Everything on")
"""What a boat without modes gets with its first load, so that it can be computed at all."""
ENTERED_C = 105.0
"""The insulation that is printed on marine cable; shown with the cable, to be changed there."""


@dataclass(frozen=True)
class CableAnswers:
    """What was answered about a cable; None stands for a loose end, no fuse, or what is not known."""

    tail: TerminalRef | None
    head: TerminalRef | None
    size: str | None
    length_m: float | None
    measured: bool
    number: str | None
    colour: str | None
    fuse_a: float | None


def part_edit(boat: Boat, entry: Entry, name: str, answers: Answers) -> AnyEdit:
    """Put a part in; a load is switched on in the first mode, which a boat without modes gets with it.

    Raises:
        ValidationError: an answer does not fit the part.
    """
    part = entry.part(Made(new_id(entry.word), name, boat.nominal_voltage_v, answers))
    edits: list[SingleEdit] = [AddPart(part=part)]
    if isinstance(part, Load | Inverter | Outboard):
        mode = boat.modes[0] if boat.modes else FIRST_MODE
        edits += [] if boat.modes else [AddMode(mode=mode)]
        edits += [] if heavy_inputs_of(part) else [SetOn(mode=mode.id, part=part.id, on=True)]
    return Several(edits=tuple(edits), label=f"Put in {name}"[:120])


def cable_edit(boat: Boat, answers: CableAnswers) -> AnyEdit:
    """Put a single cable in between two terminals, with a fuse at its first end where one is there."""
    identity = new_id("wire")
    cable = Cable(id=new_id("cable"), number=answers.number, construction="single")
    basis: LengthBasis | None = None
    if answers.length_m is not None:
        basis = "measured" if answers.measured else "estimated"
    printed = None if answers.size is None else _printed(answers.size)
    conductor = Conductor(
        id=identity,
        kind="wire",
        cable=cable.id,
        tail=answers.tail,
        head=answers.head,
        tail_joint=Joint(style="crimped-ring"),
        head_joint=Joint(style="crimped-ring"),
        size=printed,
        material="tinned-copper",
        insulation_c=ENTERED_C,
        colour=answers.colour,
        length_m=answers.length_m,
        length_basis=basis,
    )
    edits: list[SingleEdit] = [AddCable(cable=cable), AddConductor(conductor=conductor)]
    if answers.fuse_a is not None:
        name = f"Fuse of cable {answers.number}" if answers.number else "Fuse"
        fuse = Fuse(kind="fuse", id=new_id("fuse"), name=name[:120], rating_a=answers.fuse_a, reset="replace")
        edits.append(Splice(conductor=identity, part=fuse, new_conductor=new_id("link")))
    words = f"cable {answers.number}" if answers.number else "a cable"
    return Several(edits=tuple(edits), label=f"Put in {words}"[:120])


def take_out_part(part: str) -> AnyEdit:
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
    row = size(label)
    return Size(label=row.label, area_mm2=row.area_mm2, resistance_ohm_per_m=row.ohm_per_m, source=row.source)


def terminals_by_words(boat: Boat) -> Mapping[str, TerminalRef]:
    """Every terminal by the words it is chosen by, parts of one name told apart by their ids."""
    names = [part.name.casefold() for part in boat.parts]
    return dict(_words(boat, {name for name in names if names.count(name) > 1}))


def _words(boat: Boat, shared: set[str]) -> Iterator[tuple[str, TerminalRef]]:
    for part in boat.parts:
        name = f"{part.name} ({part.id})" if part.name.casefold() in shared else part.name
        for terminal in terminals(part):
            yield f"{name}: {terminal_words(part, terminal)}", TerminalRef(part=part.id, terminal=terminal)


def hangs_on(boat: Boat, part: str) -> int:
    """How many conductor ends lie on a part."""
    ends = (end for one in boat.conductors for end in (one.tail, one.head))
    return sum(end is not None and end.part == part for end in ends)

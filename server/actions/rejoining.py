"""Taking a device out of a conductor and joining the two pieces again, as one edit."""

from collections.abc import Iterator
from dataclasses import dataclass

from server.actions.lists import end_words
from server.boat.boat import Boat
from server.boat.conductors import Conductor, Joint, LengthBasis
from server.boat.edit_wiring import cut_ends
from server.boat.edits import (
    ChangeValue,
    MoveConductorEnd,
    RemoveCable,
    RemoveConductor,
    RemovePart,
    SetLength,
    Several,
    SingleEdit,
)
from server.boat.leads import End, Landings
from server.boat.parts import AnyPart, Busbar, Post
from server.boat.value import Known, Span, nominal

_PIECES = 2


@dataclass(frozen=True)
class Rejoined:
    """What joining does: the edit, the conductor that stays, and in words what becomes of the two pieces."""

    edit: Several
    stays: str
    words: str


def rejoined(boat: Boat, part: AnyPart) -> Rejoined | str:
    """Taking a part out of its conductor with the pieces joined; else why they cannot be, or nothing."""
    pieces = _pieces(boat, part)
    if pieces is None:
        return ""
    if _are_unlike(*(one.conductor for one in pieces)):
        return "The cables on its two sides are of unlike make, so they cannot be joined into one."
    stays, goes = sorted(pieces, key=lambda one: _rank(boat, one, pieces), reverse=True)
    far = goes.other.terminal
    if far is None or far == stays.other.terminal:
        return ""
    after = stays.conductor
    edits = (
        RemovePart(id=part.id),
        MoveConductorEnd(conductor=after.id, end=stays.side, to=far, keep_length=True),
        *_length(after, goes.conductor),
        *_figures(stays, goes),
        RemoveConductor(id=goes.conductor.id),
        *_empty_cable(boat, goes.conductor),
    )
    return Rejoined(
        Several(edits=edits, label=f"Take out {part.name}, its cable joined again"[:120]),
        after.id,
        _words(boat, stays, goes),
    )


def _pieces(boat: Boat, part: AnyPart) -> tuple[End, End] | None:
    """The two conductor ends between which a part sits; None where it sits between none."""
    ends = cut_ends(part)
    if ends is None:
        return None
    at = Landings.of(boat).at
    if isinstance(part, Busbar | Post):
        hung = [end for end in _all_ends(boat) if end.terminal is not None and end.terminal.part == part.id]
    else:
        sides = [at(one.part, one.terminal) for one in ends]
        hung = [side[0] for side in sides if len(side) == 1]
    if len(hung) != _PIECES or hung[0].conductor.id == hung[1].conductor.id:
        return None
    return hung[0], hung[1]


def _all_ends(boat: Boat) -> Iterator[End]:
    for one in boat.conductors:
        yield End(one, "tail")
        yield End(one, "head")


def _are_unlike(one: Conductor, other: Conductor) -> bool:
    """Whether two wires are of different copper, so that no single size is true of both."""
    if "link" in {one.kind, other.kind}:
        return False
    return (one.size, one.material, one.insulation_c) != (other.size, other.material, other.insulation_c)


def _rank(boat: Boat, end: End, pieces: tuple[End, End]) -> tuple[bool, bool, float]:
    """A wire stays rather than a bolted joint, a cable rather than what was cut off it, the longer piece."""
    other = pieces[1] if end is pieces[0] else pieces[0]
    own, others = (_number(boat, one.conductor) for one in (end, other))
    is_cut_off = bool(others) and own != others and own.startswith(others)
    return end.conductor.kind == "wire", not is_cut_off, _longest(end.conductor.length_m)


def _number(boat: Boat, conductor: Conductor) -> str:
    return next((one.number or "" for one in boat.cables if one.id == conductor.cable), "")


def _longest(length: Known | None) -> float:
    return 0.0 if length is None else length.high if isinstance(length, Span) else length


def _length(stays: Conductor, goes: Conductor) -> Iterator[SingleEdit]:
    """Both pieces together; not known where one of them is not."""
    if "link" in {stays.kind, goes.kind}:
        return
    known = stays.length_m is not None and goes.length_m is not None
    basis: LengthBasis | None = stays.length_basis if stays.length_basis == goes.length_basis else "estimated"
    length = _sum(stays.length_m, goes.length_m)
    yield SetLength(conductor=stays.id, length_m=length, basis=basis if known else None)


def _sum(one: Known | None, other: Known | None) -> Known | None:
    if one is None or other is None:
        return None
    if isinstance(one, float) and isinstance(other, float):
        return one + other
    (low, high), (low_2, high_2) = (_ends(one), _ends(other))
    return Span(low=low + low_2, high=high + high_2)


def _ends(length: Known) -> tuple[float, float]:
    return (length.low, length.high) if isinstance(length, Span) else (length, length)


def _figures(stays: End, goes: End) -> Iterator[SingleEdit]:
    """The joint at the far end comes along; what was stated of one piece does not hold for both."""
    conductor = stays.conductor
    joint = _joint(goes.other)
    if joint is not None:
        field = f"{stays.side}_joint"
        yield ChangeValue(
            id=conductor.id, field=field, value=joint.model_dump(mode="json", exclude_none=True)
        )
    if goes.conductor.kind == "wire" and conductor.resistance_ohm is not None:
        yield ChangeValue(id=conductor.id, field="resistance_ohm", value=None)


def _joint(end: End) -> Joint | None:
    return end.conductor.tail_joint if end.side == "tail" else end.conductor.head_joint


def _empty_cable(boat: Boat, goes: Conductor) -> Iterator[SingleEdit]:
    if goes.cable is not None and sum(one.cable == goes.cable for one in boat.conductors) == 1:
        yield RemoveCable(id=goes.cable)


def _words(boat: Boat, stays: End, goes: End) -> str:
    """Where the joined conductor goes, and what is no more."""
    landings = Landings.of(boat)
    numbers = [_number(boat, one.conductor) for one in (stays, goes)]
    both = [goes.other.terminal, stays.other.terminal]
    ends = " to ".join(end_words(landings, one) for one in (both if stays.side == "tail" else both[::-1]))
    named = f"Cable {numbers[0]}" if numbers[0] else "The cable"
    named = named if stays.conductor.kind == "wire" else "The bolted joint"
    length = _sum(stays.conductor.length_m, goes.conductor.length_m)
    metres = "" if length is None else f", {nominal(length):g} m"
    gone = f" Number {numbers[1]} is no more." if numbers[1] and numbers[1] != numbers[0] else ""
    return f"{named} then goes from {ends}{metres}.{gone}"

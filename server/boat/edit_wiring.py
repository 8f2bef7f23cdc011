"""Edits of conductors: moving leads and ends, sizes and lengths, cutting a part in."""

from server.boat.boat import Boat
from server.boat.cable_numbers import lettered
from server.boat.conductors import Cable, Conductor, Joint
from server.boat.edit_error import EditError
from server.boat.edit_values import (
    MoveConductorEnd,
    MoveLead,
    SetLength,
    SetSize,
    Splice,
)
from server.boat.following import routed
from server.boat.leads import End, Landings, Side, lead, lead_parts
from server.boat.lengths import Allowance, estimated_length
from server.boat.listed import conductor_of, with_added, with_changed
from server.boat.parts import AnyPart, Breaker, Busbar, Connector, Contact, Fuse, MeasuringShunt, Post
from server.boat.routes import Route, Routes
from server.boat.terminals import terminals
from server.boat.value import Known, Place, Span, TerminalRef

_POLES = 2


def move_lead(boat: Boat, edit: MoveLead) -> Boat:
    """Land the far end of a lead on another terminal."""
    landings = Landings.of(boat)
    _existing(landings, TerminalRef(part=edit.part, terminal=edit.terminal), ("part", "terminal"))
    found = lead(boat, edit.part, edit.terminal, landings)
    if found.last is None or found.far is None:
        mend = "Move the end of a conductor instead, or connect one here first."
        raise EditError("terminal", found.reason or "", mend)
    _existing(landings, edit.to, ("to.part", "to.terminal"))
    if edit.to.part in lead_parts(found):
        name = landings.parts[edit.to.part].name
        raise EditError("to", f"“{name}” is part of this lead.", "Choose a terminal beyond it.")
    if edit.to == found.tap and edit.length_m is None:
        return boat
    end = End(conductor_of(boat, found.last), found.far)
    return with_changed(boat, "conductors", _moved(boat, landings, end, edit))


def move_conductor_end(boat: Boat, edit: MoveConductorEnd) -> Boat:
    """Land one end of a conductor on another terminal, or leave it loose."""
    end = End(conductor_of(boat, edit.conductor), edit.end)
    if edit.to == end.terminal and edit.length_m is None:
        return boat
    landings = Landings.of(boat)
    if edit.to is not None:
        _existing(landings, edit.to, ("to.part", "to.terminal"))
        if edit.to == end.other.terminal:
            message = "the other end of this conductor is there already."
            raise EditError("to", message, "Choose another terminal.")
    return with_changed(boat, "conductors", _moved(boat, landings, end, edit))


def moved_conductor(  # noqa: PLR0913 - what a length depends on
    end: End,
    to: TerminalRef | None,
    places: tuple[Place | None, Place | None],
    allowance: Allowance,
    route: Route | None = None,
    *,
    length_m: float | None = None,
    keep_length: bool = False,
) -> Conductor:
    """The conductor with this end on another terminal, given the places of the parts at its two ends.

    What was measured between the old ends no longer holds. A length that was given wins; a fixed one and
    that of a cable that reaches stay; else it is that of the route through the runs, estimated where there
    is none and both parts have a place, or carried over and marked.
    """
    old = end.conductor
    changes: dict[str, object] = {end.side: to, f"{end.side}_joint": _off_its_stack(_joint(end))}
    if to is not None:
        changes |= {"measured_resistance_ohm": None, "reading": None}
        changes |= _exposure_after(old, route)
        changes |= _length_after(old, places, allowance, route, length_m, keep_length=keep_length)
    return old.model_copy(update=changes)


def set_size(boat: Boat, edit: SetSize) -> Boat:
    """Give a conductor another size; a resistance that was stated or measured for the old one goes."""
    old = conductor_of(boat, edit.conductor)
    changes: dict[str, object] = {"size": edit.size}
    if edit.size != old.size:
        changes |= {"resistance_ohm": None, "measured_resistance_ohm": None, "reading": None}
    return with_changed(boat, "conductors", old.model_copy(update=changes))


def set_length(boat: Boat, edit: SetLength) -> Boat:
    """Give a conductor a length, how it came about, and whether it stays when the conductor moves."""
    old = conductor_of(boat, edit.conductor)
    basis = None if edit.length_m is None else edit.basis
    fixed = old.length_fixed if edit.fixed is None else edit.fixed
    changes = {"length_m": edit.length_m, "length_basis": basis, "length_fixed": fixed}
    return with_changed(boat, "conductors", old.model_copy(update=changes))


def splice(boat: Boat, edit: Splice) -> Boat:
    """Insert a part into a conductor."""
    old = conductor_of(boat, edit.conductor)
    ends = cut_ends(edit.part)
    if ends is None:
        message = f"“{edit.part.name}” has not two terminals that a cut conductor could land on."
        mend = "Insert a fuse, breaker, single switch, shunt, busbar, post or one-pin connector."
        raise EditError("part", message, mend)
    first, second = ends
    near = End(old, edit.near)
    piece = _piece(near, edit, first)
    cable = _own_cable(boat, old, edit)
    if cable is not None:
        boat = with_added(boat, "cables", cable, "new_cable")
        piece = piece.model_copy(update={"cable": cable.id, "core": None})
    joint = _off_its_stack(_joint(near)) if edit.distance_m is None else None
    rest = {near.side: second, f"{near.side}_joint": joint, **_length_less(old, edit.distance_m)}
    boat = with_changed(boat, "conductors", old.model_copy(update={**rest, **_no_resistance(old)}))
    return with_added(with_added(boat, "parts", edit.part, "part.id"), "conductors", piece, "new_conductor")


def _own_cable(boat: Boat, old: Conductor, edit: Splice) -> Cable | None:
    """The cable of the piece that is cut off: as the old one, but of one conductor and numbered anew."""
    whole = next((cable for cable in boat.cables if cable.id == old.cable), None)
    if edit.new_cable is None or edit.distance_m is None or whole is None:
        return None
    number = None if whole.number is None else lettered(boat, whole.number)
    single = {"construction": "single", "cores": 1}
    return whole.model_copy(update={"id": edit.new_cable, "number": number, "notes": None, **single})


def _moved(boat: Boat, landings: Landings, end: End, edit: MoveLead | MoveConductorEnd) -> Conductor:
    places = (_place(landings, end.other.terminal), _place(landings, edit.to))
    kept, to = end.other.terminal, edit.to
    route = None if kept is None or to is None else Routes.of(boat).between(kept.part, to.part)
    return moved_conductor(
        end, to, places, Allowance.of(boat), route, length_m=edit.length_m, keep_length=edit.keep_length
    )


def _length_after(  # noqa: PLR0913 - what a length depends on
    old: Conductor,
    places: tuple[Place | None, Place | None],
    allowance: Allowance,
    route: Route | None,
    length_m: float | None,
    *,
    keep_length: bool,
) -> dict[str, object]:
    if length_m is not None:
        return {"length_m": length_m, "length_basis": "estimated", **_stale_resistance(old)}
    if keep_length and old.length_basis == "routed":
        return {"length_basis": "carried-over"}
    if keep_length or old.length_fixed or old.kind == "link":
        return {}
    if route is not None:
        return routed(route, old)
    here, there = places
    if here is not None and there is not None:
        length = estimated_length(here, there, allowance)
        return {"length_m": length, "length_basis": "estimated", **_stale_resistance(old)}
    return {} if old.length_m is None else {"length_basis": "carried-over"}


def _exposure_after(old: Conductor, route: Route | None) -> dict[str, object]:
    """What was found of the old route is not known of the new one, where no run tells it."""
    if route is not None and route.in_engine_space is not None:
        return {"in_engine_space": route.in_engine_space, "exposure_basis": "routed"}
    return {} if old.exposure_basis is None else {"in_engine_space": None, "exposure_basis": None}


def _stale_resistance(old: Conductor) -> dict[str, object]:
    """A stated resistance belongs to the old length; it goes where size and length tell a new one."""
    return {"resistance_ohm": None} if old.size is not None else {}


def _place(landings: Landings, spot: TerminalRef | None) -> Place | None:
    return None if spot is None else landings.parts[spot.part].place


def _existing(landings: Landings, spot: TerminalRef, fields: tuple[str, str]) -> None:
    part = landings.parts.get(spot.part)
    if part is None:
        raise EditError(fields[0], f"there is no part “{spot.part}”.", "Name a part that exists.")
    names = terminals(part)
    if spot.terminal not in names:
        message = f"“{part.name}” has no terminal “{spot.terminal}”."
        raise EditError(fields[1], message, f"It has: {', '.join(names[:8])}.")


def _joint(end: End) -> Joint | None:
    return end.conductor.tail_joint if end.side == "tail" else end.conductor.head_joint


def _off_its_stack(joint: Joint | None) -> Joint | None:
    """The same lug on another stud: its place in the old stack means nothing there."""
    if joint is None or joint.stack_position is None:
        return joint
    return joint.model_copy(update={"stack_position": None})


def cut_ends(part: AnyPart) -> tuple[TerminalRef, TerminalRef] | None:
    """The two terminals on which the ends of a cut conductor land; None where the part has not two."""
    match part:
        case Fuse() | Breaker() | MeasuringShunt() | Connector(pins=1):
            names = terminals(part)
        case Contact() if len(part.terminals) == _POLES:
            names = part.terminals
        case Busbar() if part.studs >= _POLES:
            names = terminals(part)
        case Post():
            names = terminals(part) * _POLES
        case _:
            return None
    return (
        TerminalRef(part=part.id, terminal=names[0]),
        TerminalRef(part=part.id, terminal=names[1]),
    )


def _piece(near: End, edit: Splice, first: TerminalRef) -> Conductor:
    """The new piece between the near end's terminal and the inserted part."""
    far_side: Side = near.other.side
    ends: dict[str, object] = {near.side: near.terminal, far_side: first}
    if edit.distance_m is None:
        if near.terminal is None:
            raise EditError("near", "this end is loose.", "Connect it first, or give the distance to cut at.")
        return Conductor(id=edit.new_conductor, kind="link").model_copy(update=ends)
    old = near.conductor
    if old.kind == "link":
        raise EditError("distance_m", "a bolted joint has no length to cut.", "Leave the distance out.")
    changes = {
        **ends,
        "id": edit.new_conductor,
        "name": None,
        f"{far_side}_joint": None,
        "length_m": edit.distance_m,
        "length_basis": old.length_basis or "estimated",
        **_no_resistance(old),
    }
    return old.model_copy(update=changes)


def _length_less(old: Conductor, distance_m: float | None) -> dict[str, object]:
    if distance_m is None or old.length_m is None:
        return {}
    length = old.length_m
    if distance_m > (length.low if isinstance(length, Span) else length):
        raise EditError("distance_m", "the conductor is shorter than that.", "Give a smaller distance.")
    return {"length_m": _less(length, distance_m)}


def _less(length: Known, by: float) -> Known:
    if not isinstance(length, Span):
        return length - by
    value = None if length.value is None else length.value - by
    return length.model_copy(update={"low": length.low - by, "high": length.high - by, "value": value})


def _no_resistance(old: Conductor) -> dict[str, object]:
    """What was measured or stated for the whole no longer holds for its pieces."""
    stale = ("resistance_ohm", "measured_resistance_ohm", "reading")
    return dict.fromkeys(stale) if old.kind == "wire" else {}

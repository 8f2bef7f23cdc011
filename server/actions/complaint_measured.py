"""What a complaint's readings make of its boat: a suspect stretch at the resistance it was measured to."""

from collections.abc import Iterator, Sequence
from functools import reduce

from server.actions.complaint_answers import Readings
from server.actions.complaint_legs import Leg, Legs, in_a_row, legs
from server.actions.complaint_states import PROBES, readings
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.edits import ChangeValue, PutReading, RemoveReading, Several, SingleEdit, apply
from server.boat.value import Span


def sound(boat: Boat) -> Boat:
    """The boat as its copper would be: without what the readings of the complaint made of it."""
    own = {f"reading-{word}" for word in PROBES}
    conductors = tuple(
        one.model_copy(update={"measured_resistance_ohm": None, "reading": None})
        if one.reading in own
        else one
        for one in boat.conductors
    )
    return boat.model_copy(update={"conductors": conductors})


def with_measured(boat: Boat) -> Boat:
    """The boat with the resistance that its readings give the suspect side of the starter's way.

    A meter across several cables does not tell which of them is bad: each may have all of it, or none.

    Raises:
        TransientError, BrokenWayError: see ``legs``.
    """
    found = legs(boat)
    for leg in (found.positive, found.negative):
        if leg.is_suspect and leg.measured_v is not None:
            boat = _taken_over(boat, leg, found)
    return boat


def _taken_over(boat: Boat, leg: Leg, found: Legs) -> Boat:
    wires = [one for one in boat.conductors if one.id in leg.elements and one.kind == "wire"]
    taken = {one.id: span for one, span in zip(wires, _shares(wires, leg, found), strict=True)}
    conductors = tuple(
        one.model_copy(update={"measured_resistance_ohm": taken[one.id], "reading": f"reading-{leg.word}"})
        if one.id in taken
        else one
        for one in boat.conductors
    )
    return boat.model_copy(update={"conductors": conductors})


def _shares(wires: Sequence[Conductor], leg: Leg, found: Legs) -> Iterator[Span]:
    """The resistance of each wire of a suspect stretch: the excess by their sound shares, and its ends."""
    whole = in_a_row(found.ohms[element] for element in leg.elements)
    starter_v = (leg.measured_v or 0.0) - leg.others_v
    current = found.current
    least, likely, most = (starter_v / amps for amps in (current.high_a, current.value_a, current.low_a))
    among = sum(found.ohms[one.id].value for one in wires)
    for one in wires:
        own = found.ohms[one.id]
        value = own.value + max(likely - whole.value, 0.0) * own.value / among
        low = least - (whole.high - own.high) if len(wires) == 1 else own.low
        high = most - (whole.low - own.low)
        yield Span(low=max(min(low, value), 0.0), value=value, high=max(high, value))


def readings_edit(boat: Boat, got: Readings) -> Several | None:
    """Exchange the readings for these, with what they make of the boat; None where nothing changes.

    Raises:
        TransientError, BrokenWayError: see ``legs``.
    """
    kept = {one.id: one for one in boat.readings}
    new = {one.id: one for one in readings(got)}
    edits: list[SingleEdit] = [*_cleared(boat)]
    edits += [
        RemoveReading(id=one) for word in PROBES if (one := f"reading-{word}") in kept and one not in new
    ]
    edits += [PutReading(reading=one) for one in new.values() if kept.get(one.id) != one]
    after = reduce(apply, edits, boat)
    edits += _taken(after, with_measured(after) if new else after)
    if not edits or reduce(apply, edits, boat) == boat:
        return None
    return Several(edits=tuple(edits), label="Readings while cranking")


def _cleared(boat: Boat) -> Iterator[ChangeValue]:
    """What the readings so far made of the boat is undone."""
    for old, new in zip(boat.conductors, sound(boat).conductors, strict=True):
        if old is not new:
            yield ChangeValue(id=old.id, field="measured_resistance_ohm")
            yield ChangeValue(id=old.id, field="reading")


def _taken(boat: Boat, measured: Boat) -> Iterator[ChangeValue]:
    for old, new in zip(boat.conductors, measured.conductors, strict=True):
        if old is not new and isinstance(new.measured_resistance_ohm, Span):
            span = new.measured_resistance_ohm.model_dump(mode="json", exclude_none=True)
            yield ChangeValue(id=new.id, field="reading", value=new.reading)
            yield ChangeValue(id=new.id, field="measured_resistance_ohm", value=span)

"""The events of a boat: those stored, and one by default for each heavy load."""

import hashlib
from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.devices import Coil, LoadInput, Motor
from server.boat.modes import Event, HeavyInput, Mode
from server.boat.parts import AnyPart, Inverter, Load, Outboard

_LONGEST_NAME = 120


def heavy_inputs(boat: Boat) -> tuple[HeavyInput, ...]:
    """The inputs whose start pulls the boat's voltage down, in document order.

    Of a heavy load its motors; where none of its inputs is a motor, the first that is no coil.
    """
    return tuple(
        HeavyInput(part=part.id, input=name) for part in boat.parts for name in heavy_inputs_of(part)
    )


def events_of(boat: Boat) -> tuple[Event, ...]:
    """The stored events, then a default one for each heavy input in each mode that lists it as on.

    A heavy input that no mode lists and no stored event starts gets one in the first mode.
    A stored event replaces the default one of its mode; a boat without modes has no default events.
    """
    return (*boat.events, *(event for heavy in heavy_inputs(boat) for event in _defaults(boat, heavy)))


def heavy_inputs_of(part: AnyPart) -> tuple[str, ...]:
    """The names of a part's heavy inputs."""
    match part:
        case Load(heavy=True):
            motors = tuple(i.id for i in part.inputs if isinstance(i.demand, Motor))
            return motors or (_first_no_coil(part.inputs).id,)
        case Inverter(heavy=True) | Outboard():
            return ("positive",)
        case _:
            return ()


def _first_no_coil(inputs: tuple[LoadInput, ...]) -> LoadInput:
    return next((i for i in inputs if not isinstance(i.demand, Coil)), inputs[0])


def _defaults(boat: Boat, heavy: HeavyInput) -> Iterator[Event]:
    stored = {event.mode for event in boat.events if event.heavy == heavy}
    listed = [mode for mode in boat.modes if _lists(mode, heavy)]
    for mode in listed or ([] if stored else boat.modes[:1]):
        if mode.id not in stored:
            yield Event(id=_id(mode, heavy), name=_name(boat, mode, heavy), mode=mode.id, heavy=heavy)


def _lists(mode: Mode, heavy: HeavyInput) -> bool:
    return any(on.part == heavy.part and on.input in {None, heavy.input} for on in mode.on)


def _id(mode: Mode, heavy: HeavyInput) -> str:
    what = f"{mode.id}/{heavy.part}/{heavy.input}"
    return f"auto-{hashlib.sha256(what.encode()).hexdigest()[:16]}"


def _name(boat: Boat, mode: Mode, heavy: HeavyInput) -> str:
    part = next(part for part in boat.parts if part.id == heavy.part)
    several = len(heavy_inputs_of(part)) > 1
    what = f"{part.name} ({heavy.input})" if several else part.name
    return f"{what} in {mode.name}"[:_LONGEST_NAME]

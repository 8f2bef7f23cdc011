"""Operating states, events, and the conditions they are judged in."""

from typing import Annotated, Literal

from pydantic import Field

from server.boat.value import (
    Fraction,
    Id,
    Name,
    NonNegative,
    Positive,
    Temperature,
    TerminalName,
    TerminalRef,
    Text,
    Value,
)


class PositionSetting(Value):
    """The position of a contact, breaker, fuse, combiner or panel way in a mode.

    ``way`` names a panel's ``section-way`` or ``section-feed`` terminal; it is left out for all other parts.
    Contacts take the id of one of their positions; combiners ``auto``, ``open`` or ``closed``; the rest
    ``on`` or ``off``.
    """

    part: Id
    way: TerminalName | None = None
    position: Id


class Running(Value):
    """A load's input, or a source, that is on; without an input all inputs of the part are."""

    part: Id
    input: TerminalName | None = None
    hours_per_day: Annotated[float, Field(ge=0, le=24)] | None = None


class Conditions(Value):
    """The state an event or a mode is judged in; what is left out is assumed."""

    state_of_charge: Fraction | None = None
    temperature_c: Temperature | None = None
    age_factor: Positive | None = None
    attempt: Annotated[int, Field(ge=1, le=20)] | None = None
    preheat_before_a: NonNegative | None = None
    preheat_before_s: NonNegative | None = None
    preheat_during_a: NonNegative | None = None
    cranking: Literal["loaded", "bench"] | None = None


class Mode(Value):
    """An operating state: switch positions, what is on, and for how many hours a day."""

    id: Id
    name: Name
    hours_per_day: Annotated[float, Field(ge=0, le=24)] | None = None
    positions: tuple[PositionSetting, ...] = ()
    on: tuple[Running, ...] = ()
    conditions: Conditions | None = None


class EventStep(Value):
    """One step of an event: a load that is pressed or released, a contact turned, a source that starts."""

    action: Literal["press", "release", "switch", "start"]
    part: Id
    input: TerminalName | None = None
    position: Id | None = None
    at_s: NonNegative


class HeavyInput(Value):
    """The input of a heavy load that an event starts."""

    part: Id
    input: TerminalName


class Event(Value):
    """A heavy load starting, running and being released, in a mode and in stated conditions."""

    id: Id
    name: Name
    mode: Id
    heavy: HeavyInput
    steps: tuple[EventStep, ...] = ()
    conditions: Conditions | None = None


class Reading(Value):
    """Volts between two terminals, and amperes where they were clamped, in a stated state of the boat."""

    id: Id
    name: Name | None = None
    plus: TerminalRef
    minus: TerminalRef
    volts_v: float
    amps_a: float | None = None
    mode: Id | None = None
    event: Id | None = None
    instrument: Name | None = None
    taken: Name | None = None
    notes: Text | None = None


class Observation(Value):
    """What a surveyor saw on one part, cable or conductor."""

    id: Id
    subject: Id
    aspect: Literal["held-down", "boots", "chafe", "support", "corrosion", "heat-marks", "other"]
    state: Literal["good", "poor", "not-seen"]
    note: Text | None = None
    photo: Name | None = None

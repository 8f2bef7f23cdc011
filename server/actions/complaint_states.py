"""The states, the start and the readings of a boat that was begun from a complaint."""

from collections.abc import Iterable
from typing import Literal, get_args

from server.actions.complaint_answers import Readings
from server.boat.boat import Boat
from server.boat.constructors import at
from server.boat.devices import Motor
from server.boat.modes import Conditions, Event, EventStep, HeavyInput, Mode, Reading, Running
from server.boat.parts import Battery, Load
from server.boat.value import nominal
from server.units import Ampere, Second, Volt

BATTERY, BAR, BLOCK, STARTER, DEVICE, SWITCH = (
    "battery",
    "negative-bar",
    "engine",
    "starter",
    "device",
    "switch",
)
START, STARTING = "engine-start", "starting"
CRANKED_S: Second = 2.0
Word = Literal["battery", "positive", "negative", "device"]


def modes(parts: Iterable[str]) -> tuple[Mode, ...]:
    """Starting the engine, and the engine running with whatever else there is."""
    there = set(parts)
    on = (Running(part=DEVICE), Running(part="else"))
    more: Iterable[str] = (one for one in ("alternator", "windlass") if one in there)
    return (
        Mode(id=STARTING, name="Starting the engine", on=on),
        Mode(id="running", name="Engine running", on=(*on, *(Running(part=one) for one in more))),
    )


def start() -> Event:
    """The engine cranked for two seconds."""

    def step(action: Literal["press", "release"], at_s: Second) -> EventStep:
        return EventStep(action=action, part=STARTER, input="motor", at_s=at_s)

    return Event(
        id=START,
        name="Engine start",
        mode=STARTING,
        heavy=HeavyInput(part=STARTER, input="motor"),
        steps=(step("press", 0.0), step("release", CRANKED_S)),
        conditions=Conditions(cranking="loaded"),
    )


PROBES: dict[str, tuple[str, str, str]] = {
    "battery": ("Battery post to post", f"{BATTERY}.positive", f"{BATTERY}.negative"),
    "positive": ("Battery + to starter", f"{BATTERY}.positive", f"{STARTER}.motor"),
    "negative": ("Engine block to battery −", f"{BLOCK}.stud-1", f"{BATTERY}.negative"),
    "device": ("At the device", f"{DEVICE}.main", f"{DEVICE}.negative"),
}
"""Where a meter's two probes were, for each reading by its word."""


def readings(got: Readings) -> Iterable[Reading]:
    """What the meter showed, each between its two terminals."""
    for word in get_args(Word):
        volts = getattr(got, f"{word}_v")
        if volts is not None:
            name, plus, minus = PROBES[word]
            yield Reading(
                id=f"reading-{word}",
                name=name,
                plus=at(plus),
                minus=at(minus),
                volts_v=volts,
                amps_a=got.current_a,
                mode=STARTING,
                event=START,
                instrument="hand meter, while cranking",
            )


def is_complaint(boat: Boat) -> bool:
    """Whether a boat was begun from a complaint, and still has its start and its device."""
    has_start = any(one.id == START and one.mode == STARTING for one in boat.events)
    return has_start and {STARTER, DEVICE} <= {one.id for one in boat.parts}


def rest_volts(boat: Boat) -> Volt | None:
    """What the battery was measured to at rest, where it was."""
    batteries = (one for one in boat.parts if isinstance(one, Battery) and one.id == BATTERY)
    return next((one.rest_voltage_v for one in batteries), None)


def starter_current(boat: Boat) -> Ampere | None:
    """What the boat states or takes as its starter's current while it cranks."""
    starter = next((one for one in boat.parts if isinstance(one, Load) and one.id == STARTER), None)
    demand = None if starter is None else starter.inputs[0].demand
    return nominal(demand.running_current_a) if isinstance(demand, Motor) else None

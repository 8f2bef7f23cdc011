"""What a meter showed while the engine cranked, in an owner's words: whose readings a boat was begun with."""

from server.actions.complaint_legs import BrokenWayError, Leg, Legs, legs
from server.actions.complaint_measured import sound
from server.actions.complaint_states import Word, is_complaint
from server.boat.boat import Boat
from server.units import Volt

PLACES: dict[Word, str] = {
    "battery": "the battery itself",
    "positive": "the positive side between battery and starter",
    "negative": "the negative side between engine and battery",
}
FIRST: dict[Word, str] = {
    "battery": "Have it charged fully and load-tested first.",
    "positive": "Have the ends of those cables and what they sit on looked at first.",
    "negative": "Have the ends of those cables and what they sit on looked at first.",
}


def readings_told(boat: Boat) -> tuple[str, ...]:
    """Which stretch the readings point to, and what to do there; empty where there are none to judge by.

    Of a boat that was changed too far for its readings, the page of the complaint says what is missing.
    """
    from server.engine.transient.circuit import TransientError

    if not is_complaint(boat):
        return ()
    try:
        found = legs(sound(boat))
    except (BrokenWayError, TransientError):
        return ()
    return tuple(_told(found))


def _told(found: Legs) -> list[str]:
    suspect = found.suspect
    if suspect is not None:
        return [_points_to(suspect), FIRST[suspect.word]]
    if any(one.measured_v is not None for one in found.all):
        return ["No bad joint shows in what was measured: it is a matter of where the leads lie."]
    return []


def _points_to(leg: Leg) -> str:
    verb = "gives way by" if leg.word == "battery" else "takes"
    fit = "a sound one would" if leg.word == "battery" else "sound cables would take"
    taken = f"{verb} {_volts(leg.measured_v or 0.0)} while the engine cranks, {fit} {_span(leg)}"
    return f"It points to {PLACES[leg.word]}: it {taken}."


def _span(leg: Leg) -> str:
    low, high = _volts(leg.low_v), _volts(leg.high_v)
    return high if low == high else f"{low.removesuffix(' V')} to {high}"


def _volts(value: Volt) -> str:
    return f"{value:.1f} V"

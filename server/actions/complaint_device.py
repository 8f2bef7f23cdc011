"""What a start's readings leave for the device, to hold against what a meter showed at the device itself."""

from collections.abc import Iterable
from dataclasses import dataclass

from server.actions.complaint_legs import Leg, Legs
from server.actions.complaint_states import BATTERY, DEVICE, STARTING
from server.boat.boat import Boat
from server.units import Volt


@dataclass(frozen=True)
class Left:
    """The volts that are left at the device while the engine cranks, between two ends."""

    low_v: Volt
    high_v: Volt


def left_for_device(boat: Boat, found: Legs) -> Left | None:
    """The volts at the battery, less what was measured on the device's way, less what its own way takes.

    Kirchhoff's voltage law with the readings. Of a stretch that the device shares only in part, its share
    lies between nothing and all of it. None where the device hangs on another battery, or a reading on its
    way is missing: what is lost there may then be lost on that stretch.
    """
    from server.engine.loop import loop

    battery_v = next((one.volts_v for one in boat.readings if one.id == "reading-battery"), None)
    steps = loop(boat, DEVICE, "main", STARTING, None)
    way = {step.element for step in steps}
    if battery_v is None or BATTERY not in way:
        return None
    shares = [_share(leg, way) for leg in (found.positive, found.negative)]
    known = [share for share in shares if share is not None]
    if len(known) < len(shares):
        return None
    others = {*found.positive.elements, *found.negative.elements}
    own_v = sum(
        step.steady_v
        for step in steps
        if step.side in {"positive", "negative"} and step.element not in others
    )
    most, least = (sum(share[end] for share in known) for end in (1, 0))
    return Left(battery_v - most - own_v, battery_v - least - own_v)


def _share(leg: Leg, way: Iterable[str]) -> tuple[Volt, Volt] | None:
    """The least and the most that a stretch takes from the device; None where nobody measured it."""
    shared = set(way) & set(leg.elements)
    if not shared:
        return 0.0, 0.0
    if leg.measured_v is None:
        return None
    return (leg.measured_v if shared == set(leg.elements) else 0.0), leg.measured_v

"""Short circuits against the devices before them: is the highest broken, does the lowest open them?"""

import math
from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.devices import Overcurrent
from server.boat.finding import Figure, Finding
from server.boat.parts import Breaker, Fuse, Load, Panel
from server.checks.feeds import Device, devices_of
from server.checks.opening import rounded, span_words
from server.checks.paths import Node
from server.checks.shorts import Shorts, band_of
from server.checks.words import listed
from server.engine.answer import ModeAnswer
from server.engine.faults import highest_fault_a, lowest_fault_a, most_joined
from server.units import Ampere

SURELY_OPENS = 2.0
"""Multiple of its rating from which a device opens within minutes (common practice, no source)."""


def weak_devices(boat: Boat) -> Iterator[Finding]:
    """Devices whose interrupting rating is below the highest current of a short circuit right behind them."""
    rated = {load: device for device, load in _rated_devices(boat) if device.interrupting_a is not None}
    highest = highest_fault_a(boat, most_joined(boat), rated)
    names = {device.load: device.name for device in devices_of(boat)}
    for load, device in rated.items():
        amps = highest.get(load, 0.0)
        if device.interrupting_a is not None and amps > device.interrupting_a:
            yield Finding(
                code="interrupting-too-low",
                severity="danger",
                subjects=load,
                figure=Figure(value=amps, unit="A", basis="computed"),
                limit=Figure(value=device.interrupting_a, unit="A", basis="rule"),
                message=f"A short circuit right behind “{names[load]}” could draw {rounded(amps)} A; "
                f"it can break {rounded(device.interrupting_a)} A: it may burst.",
                source="interrupting rating as entered; computed with every battery new, warm and full, "
                "every switch closed and no resistance back",
                source_status="document",
            )


def unknown_interrupting(boat: Boat) -> tuple[str, ...]:
    """Which devices nobody can judge, as their interrupting rating is not stated; one line for all."""
    stated = {load for device, load in _rated_devices(boat) if device.interrupting_a is not None}
    names = [device.name for device in devices_of(boat) if device.load not in stated]
    if not names:
        return ()
    told = listed(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")  # noqa: PLR2004
    return (f"whether a short circuit can be broken: read the interrupting rating off {told}",)


def idle_devices(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Leads at whose end a short circuit draws so little that the device before them never opens, or late."""
    shorts = Shorts.of(boat, answer)
    names = {part.id: part.name for part in boat.parts if isinstance(part, Load) and part.role != "starter"}
    for (part, terminal), amps in lowest_fault_a(boat, shorts.mode).items():
        device = shorts.fed.get(shorts.piece.get((part, terminal), -1))
        if part in names and amps > 0 and device is not None and device.rating_a is not None:
            yield from _judged(part, names[part], device, device.rating_a, amps)


def _judged(part: str, name: str, device: Device, rating_a: Ampere, amps: Ampere) -> Iterator[Finding]:
    band, never = band_of(device), amps <= rating_a
    opening = band.opening(amps / rating_a)
    surely = amps >= SURELY_OPENS * rating_a if band.is_assumed else not math.isinf(opening.longest_s)
    if surely:
        return
    if never:
        told = f"“{device.name}” of {rating_a:g} A never opens."
    else:
        told = (
            f"“{device.name}” of {rating_a:g} A may take minutes "
            f"({'assumed: ' if band.is_assumed else ''}{span_words(opening)}); look at its time-current curve"
            + (" and enter it." if band.is_assumed else ".")
        )
    yield Finding(
        code="fault-does-not-open" if never else "fault-may-not-open",
        severity="danger" if never else "cannot-tell",
        subjects=(part,),
        figure=Figure(value=amps, unit="A", basis="computed"),
        limit=Figure(value=rating_a, unit="A", basis="rule"),
        message=f"A dead short at the {name[0].lower()}{name[1:]} draws about {rounded(amps)} A: {told}",
        source="a device carries its rating for ever; computed with batteries old, cold and half flat, "
        "conductors hot and joints poor" + ("" if never else f"; {band.source}"),
        source_status="common-practice",
    )


def _rated_devices(boat: Boat) -> Iterator[tuple[Overcurrent, Node]]:
    """Every fuse and breaker whose figures are known at all, with its load terminal."""
    for part in boat.parts:
        match part:
            case Fuse() | Breaker():
                yield part, (part.id, "load")
            case Panel():
                for section in part.sections:
                    if section.main is not None:
                        yield section.main, (part.id, f"{section.id}-bar")
                    for way in section.ways:
                        if way.device is not None:
                            yield way.device, (part.id, f"{section.id}-{way.id}")
            case _:
                pass

"""Devices and switches of another rating in the place of those that are there."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.edits import ChangeValue
from server.boat.finding import Mend
from server.boat.parts import Breaker, Busbar, Connector, Contact, Fuse, Panel, Post
from server.checks.feeds import Device, devices_of
from server.checks.mending.patient import Patient
from server.checks.paths import Node
from server.checks.protection import conductor_ampacity
from server.checks.words import the
from server.practice.profiles import profile
from server.practice.protection import rating_limit, standard_ratings
from server.practice.sourced import NoFigure
from server.units import Ampere

USUAL_BREAKING_A: tuple[Ampere, ...] = (1_000, 1_500, 2_000, 2_500, 3_000, 5_000, 6_000, 10_000, 20_000)
"""Interrupting ratings that fuses and breakers are sold with (common practice, no source)."""
USUAL_CARRYING_A: tuple[Ampere, ...] = (50, 100, 150, 200, 250, 300, 350, 400, 500, 600, 1_000, 1_500, 2_000)
"""Ratings that switches, bars and connectors are sold with (common practice, no source)."""
ROOM = 1.25
"""A device has a quarter more than it carries, where it can (common practice, no source)."""
MOST_RATINGS = 4


def field_of(boat: Boat, load: Node) -> tuple[str, str] | None:
    """The part that holds the device with this load terminal, and the path of the device's values in it."""
    for part in boat.parts:
        if isinstance(part, Fuse | Breaker) and load == (part.id, "load"):
            return part.id, ""
        if isinstance(part, Panel) and part.id == load[0]:
            for number, section in enumerate(part.sections):
                if load[1] == f"{section.id}-bar":
                    return part.id, f"sections.{number}.main."
                for way, one in enumerate(section.ways):
                    if load[1] == f"{section.id}-{one.id}":
                        return part.id, f"sections.{number}.ways.{way}.device."
    return None


def usual_ratings(least_a: Ampere, most_a: Ampere | None, *, of_feeder: bool) -> tuple[Ampere, ...]:
    """Ratings from what is carried to what is allowed: with a quarter to spare first, then the tighter.

    What a feeder or a charge lead is to carry besides nobody has said: there the largest come first, and
    without a largest there are none.
    """
    if of_feeder and most_a is None:
        return ()
    fitting = [one for one in standard_ratings() if one >= least_a and (most_a is None or one <= most_a)]
    if of_feeder:
        return tuple(fitting[::-1][:MOST_RATINGS])
    roomy = [one for one in fitting if one >= ROOM * least_a]
    tight = [one for one in fitting if one < ROOM * least_a]
    return (*roomy[:MOST_RATINGS], *tight[::-1])


def largest_allowed(boat: Boat, conductor: Conductor) -> Ampere | None:
    """The largest device that may protect a conductor; None where no published figure tells."""
    allowed = conductor_ampacity(boat, conductor)
    if isinstance(allowed, NoFigure):
        return None
    limit = rating_limit(allowed, boat.nominal_voltage_v, profile(boat.practice.profile).standard)
    return limit.largest_a


def smaller_device(patient: Patient, conductor: Conductor, most_a: Ampere | None = None) -> Iterator[Mend]:
    """A smaller device in the place of the one before a conductor, for what runs through that."""
    device = patient.device_before(conductor)
    allowed = largest_allowed(patient.boat, conductor)
    ends = [one for one in (allowed, most_a) if one is not None]
    if device is None or device.rating_a is None or not ends:
        return
    least = max(patient.needed_a(conductor.id), patient.carried_a(_element(device)))
    for rating in usual_ratings(least, min(ends), of_feeder=not patient.is_own(device, conductor.id)):
        if rating < device.rating_a:
            yield from _rated(patient, device, rating)


def larger_device(patient: Patient, element: str) -> Iterator[Mend]:
    """A larger device in the place of one that carries more than its rating."""
    device = next((one for one in devices_of(patient.boat) if _element(one) == element), None)
    if device is not None and device.rating_a is not None:
        for rating in usual_ratings(patient.carried_a(element), None, of_feeder=False)[:MOST_RATINGS]:
            if rating > device.rating_a:
                yield from _rated(patient, device, rating)


def _rated(patient: Patient, device: Device, rating: Ampere) -> Iterator[Mend]:
    if (field := field_of(patient.boat, device.load)) is not None:
        label = f"{rating:g} A instead of {device.rating_a:g} A in {the(device.name)}"
        yield Mend(label=label, edits=(_change(field, "rating_a", rating),))


def _element(device: Device) -> str:
    """How the flows of an answer name a device."""
    return device.load[0] if device.load[1] == "load" else ".".join(device.load)


def breaking_more(patient: Patient) -> Iterator[Mend]:
    """A device that can break the short circuit behind it, or what a table asks for."""
    found = patient.finding
    part, name = found.subjects[:2]
    device = next(one for one in devices_of(patient.boat) if one.load == (part, name) or one.element == name)
    field, amps = field_of(patient.boat, device.load), found.figure
    if field is None or amps is None:
        return
    asked_a = max(amps.value, 0.0 if found.limit is None else found.limit.value)
    enough = next((one for one in USUAL_BREAKING_A if one >= asked_a), None)
    if enough is not None:
        label = f"One that can break {enough:,.0f} A in place of {the(device.name)}"
        yield Mend(label=label, edits=(_change(field, "interrupting_a", enough),))


def carrying_more(patient: Patient) -> Iterator[Mend]:
    """A switch, bar, post or connector of a higher rating; a device by the way."""
    found = patient.finding
    part = patient.parts[found.subjects[0]]
    if isinstance(part, Fuse | Breaker | Panel):
        yield from larger_device(patient, found.subjects[-1])
    elif isinstance(part, Contact | Busbar | Post | Connector) and found.figure and found.limit:
        enough = next((one for one in USUAL_CARRYING_A if one >= found.figure.value), None)
        fields = ("continuous_a", "five_minute_a", "cranking_a", "rated_current_a")
        over = [name for name in fields if getattr(part, name, None) == found.limit.value]
        if enough is not None and over:
            noun = "switch" if isinstance(part, Contact) else "part"
            words = f"for {enough:,.0f} A" + (" of cranking" if over == ["cranking_a"] else "")
            edits = tuple(_change((part.id, ""), name, enough) for name in over)
            yield Mend(label=f"A {noun} {words} in place of {the(part.name)}", edits=edits)


def making_first(patient: Patient) -> Iterator[Mend]:
    """A switch that makes before it breaks in the place of one that is known to break first."""
    part = patient.parts[patient.finding.subjects[0]]
    if isinstance(part, Contact) and part.order == "break-before-make":
        label = f"A switch that makes before it breaks in place of {the(part.name)}"
        edit = ChangeValue(id=part.id, field="order", value="make-before-break")
        yield Mend(label=label, edits=(edit,))


def continuous_enough(patient: Patient) -> Iterator[Mend]:
    """A switch whose continuous rating covers what is let through it."""
    part, limit = patient.parts[patient.finding.subjects[0]], patient.finding.limit
    enough = next((one for one in USUAL_CARRYING_A if limit is not None and one >= limit.value), None)
    if enough is not None:
        label = f"A switch for {enough:,.0f} A in place of {the(part.name)}"
        yield Mend(label=label, edits=(_change((part.id, ""), "continuous_a", enough),))


def _change(field: tuple[str, str], name: str, value: Ampere) -> ChangeValue:
    return ChangeValue(id=field[0], field=f"{field[1]}{name}", value=float(value))

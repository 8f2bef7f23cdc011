"""Whether the device before a conductor is small enough for it."""

import math
from collections import Counter
from collections.abc import Iterator
from functools import cache

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding
from server.boat.laid import Bundle, Laid
from server.boat.latest import Latest
from server.boat.leads import Landings, lead
from server.boat.parts import Battery, Load, Outboard
from server.boat.value import Known, nominal
from server.checks.feeds import Device, between, devices_of, feeding, pieces
from server.checks.paths import Paths, Pieces, node, source_posts
from server.checks.spoken import rule_kind
from server.checks.words import conductor_words
from server.practice.ampacity import (
    BUNDLED_BEYOND_M,
    INSULATION_RATINGS_C,
    ambient,
    ampacity,
    engine_space_factor,
)
from server.practice.office import office_ampacity
from server.practice.profiles import RULE_SET_NAMES, RuleSet, profile
from server.practice.protection import RatingLimit, location_limit, rating_limit
from server.practice.rules import rule
from server.practice.sizes import UnknownSizeError, size
from server.practice.sourced import NoFigure, Sourced
from server.practice.withstand import time_to_rating
from server.units import Ampere, Celsius, Metre, Second


def oversized_devices(boat: Boat, paths: Paths) -> Iterator[Finding]:
    """Positive conductors whose largest feeding device is above what the standard allows for them.

    Left out: conductors on a battery itself, cranking leads (exempt), conductors without a published
    ampacity, and those so short that the device at their far end may protect them.
    """
    for conductor, device in _behind_devices(boat, paths):
        allowed = _allowed(boat, conductor, device)
        if not isinstance(allowed, NoFigure):
            yield from _judged(boat, conductor, device, allowed)


def not_judged(boat: Boat, paths: Paths) -> tuple[str, ...]:
    """Why some conductors were not judged against the device before them, and how many for each reason."""
    reasons = Counter(
        allowed.reason
        for conductor, device in _behind_devices(boat, paths)
        if isinstance(allowed := _allowed(boat, conductor, device), NoFigure)
    )
    return tuple(
        f"fuses and breakers before {count} conductor{'s' if count > 1 else ''}: {reason}"
        for reason, count in sorted(reasons.items())
    )


def _behind_devices(boat: Boat, paths: Paths) -> Iterator[tuple[Conductor, Device]]:
    """The conductors that a device has to protect, each with the largest one that feeds it."""
    piece = pieces(paths)
    fed = _largest_before(boat, piece)
    exempt = cranking_leads(boat)
    for conductor in boat.conductors:
        if conductor.kind != "wire" or conductor.id in exempt or conductor.tail is None:
            continue
        before = fed.get(piece[node(conductor.tail)])
        if before is not None and not is_short(boat, conductor, conductor.length_m):
            yield conductor, before


def _largest_before(boat: Boat, piece: Pieces) -> dict[int, Device]:
    """For every piece the largest device through which another source feeds it.

    On the lead of a charging source that is the device at the battery's end: a short there is fed by both.
    """
    joins, posts = between(devices_of(boat), piece), list(source_posts(boat, "positive"))
    found = feeding(joins, {piece[post] for _, post in posts})
    by_batteries = feeding(joins, {piece[post] for part, post in posts if isinstance(part, Battery)})
    for at, device in by_batteries.items():
        known = found.get(at)
        if known is None or (device.rating_a or 0.0) > (known.rating_a or 0.0):
            found[at] = device
    return found


def cranking_leads(boat: Boat) -> set[str]:
    """Conductors of cranking leads: ABYC E-11 (2008) 11.10.1.1.1 exc. 1."""
    landings = Landings.of(boat)
    starters = [
        p for p in boat.parts if isinstance(p, Outboard) or (isinstance(p, Load) and p.role == "starter")
    ]
    ends = [(p.id, p.inputs[0].id if isinstance(p, Load) else "positive") for p in starters]
    return {name for part, terminal in ends for name in lead(boat, part, terminal, landings).conductors}


def is_short(boat: Boat, conductor: Conductor, length_m: Known | None) -> bool:
    """Whether a device at the far end is near enough, as far as the length is known."""
    if length_m is None:
        return False
    limit_m = _nearest_m(_standard(boat), sheathed=conductor.sheathed == "yes")
    return limit_m is not None and nominal(length_m) <= limit_m


@cache
def _nearest_m(standard: RuleSet, *, sheathed: bool) -> Metre | None:
    """How far along a conductor that is not on a battery its first device may sit."""
    limit = location_limit(standard, on_battery=False, sheathed=sheathed)
    return None if limit is None else limit.value


def _standard(boat: Boat) -> RuleSet:
    return profile(boat.practice.profile).standard


def _allowed(boat: Boat, conductor: Conductor, device: Device) -> Sourced | NoFigure:
    """What a conductor may carry, or why it cannot be judged against a device."""
    if device.rating_a is None:
        return NoFigure(reason="not judged: the rating of the device is not stated")
    return conductor_ampacity(boat, conductor)


def conductor_ampacity(boat: Boat, conductor: Conductor) -> Sourced | NoFigure:
    """The current a conductor may carry all day as laid, or why none is known.

    The cable maker's figure goes before an office's own table, that before the tables of the boat's practice.
    """
    makers = _makers_figure(boat, conductor)
    if makers is not None:
        return makers
    if conductor.size is None or conductor.insulation_c is None:
        return NoFigure(reason="not judged: size or insulation temperature is not stated")
    own = boat.practice.ampacity_table
    if own is not None:
        return office_ampacity(
            own,
            conductor.size.label,
            conductor.insulation_c,
            engine_space=conductor.in_engine_space == "yes",
            bundled_conductors=_bundled(boat, conductor),
        )
    try:
        row = size(conductor.size.label)
    except UnknownSizeError:
        return NoFigure(
            reason="not judged: the size is in no published table; enter the cable maker's figure"
        )
    return ampacity(
        row,
        conductor.insulation_c,
        _standard(boat),
        engine_space=conductor.in_engine_space == "yes",
        bundled_conductors=_bundled_long(boat, conductor),
        circuit_v=boat.nominal_voltage_v,
    )


def _makers_figure(boat: Boat, conductor: Conductor) -> Sourced | NoFigure | None:
    """What the cable's maker states, less what an engine space takes; None where nothing is stated."""
    stated = None if conductor.cable is None else _STATED(boat).get(conductor.cable)
    if stated is None:
        return None
    figure = Sourced(value=stated, unit="A", source="the cable maker's figure, as entered", status="office")
    if conductor.in_engine_space != "yes":
        return figure
    if conductor.insulation_c is None:
        return NoFigure(reason="not judged: in an engine space, and insulation temperature is not stated")
    heat = engine_space_factor(conductor.insulation_c)
    return heat if isinstance(heat, NoFigure) else figure.times(heat)


def _bundled(boat: Boat, conductor: Conductor) -> int:
    """How many wires run in a wire's bundle, as far as the boat names it or its runs tell."""
    named = 1 if conductor.bundle is None else _BUNDLES(boat)[conductor.bundle]
    return max(named, Laid.of(boat).bundles.get(conductor.id, Bundle()).wires)


def _bundled_long(boat: Boat, conductor: Conductor) -> int:
    """How many wires lie beside a wire for long enough to count as a bundle; only runs tell how long."""
    bundle = Laid.of(boat).bundles.get(conductor.id, Bundle())
    return bundle.wires if bundle.metres > BUNDLED_BEYOND_M else 1


LEAST_RATING_C: Celsius = INSULATION_RATINGS_C[0]
"""What insulation of unstated temperature is rated at least: the first column of Table 5."""


def stands_for(
    conductor: Conductor, amps: Ampere, before_a: Ampere = 0.0, ampacity_a: Ampere = math.inf
) -> Second | None:
    """How long a conductor may carry a current, after a steady one, until its insulation is at its rating.

    None where its size is not known; insulation of no stated rating is taken for the least.
    """
    if conductor.size is None:
        return None
    air = ambient(engine_space=conductor.in_engine_space == "yes").value
    rating_c = LEAST_RATING_C if conductor.insulation_c is None else conductor.insulation_c
    return time_to_rating(amps, conductor.size.area_mm2, rating_c, air, before_a, ampacity_a)


def safe_words(stands_s: Second | None) -> str:
    """The end of a sentence on a current that is too much for all day: for how long it is safe."""
    if stands_s is None:
        return "see for how long, and enter its size."
    return f"see for how long; about {stands_s:.2g} s is safe."


def _stated(boat: Boat) -> dict[str, Ampere]:
    return {one.id: one.makers_ampacity_a for one in boat.cables if one.makers_ampacity_a is not None}


def _bundles(boat: Boat) -> Counter[str]:
    return Counter(one.bundle for one in boat.conductors if one.kind == "wire" and one.bundle is not None)


_STATED, _BUNDLES = Latest(_stated, 4), Latest(_bundles, 4)


def is_too_large(boat: Boat, conductor: Conductor, device: Device) -> bool | None:
    """Whether a device is above what the standard allows for a conductor; None where that is not known."""
    allowed = _allowed(boat, conductor, device)
    if isinstance(allowed, NoFigure) or device.rating_a is None:
        return None
    return not rating_limit(allowed, boat.nominal_voltage_v, _standard(boat)).allows(device.rating_a)


def largest_allowed(boat: Boat, conductor: Conductor) -> RatingLimit:
    """The largest device that the boat's practice allows before a conductor.

    Raises:
        LookupError: no published figure says what the conductor may carry.
    """
    allowed = conductor_ampacity(boat, conductor)
    if isinstance(allowed, NoFigure):
        raise LookupError(allowed.reason)
    return rating_limit(allowed, boat.nominal_voltage_v, _standard(boat))


def _judged(boat: Boat, conductor: Conductor, device: Device, allowed: Sourced) -> Iterator[Finding]:
    if conductor.size is None or device.rating_a is None:  # pragma: no cover - then nothing is allowed
        return
    limit = rating_limit(allowed, boat.nominal_voltage_v, _standard(boat))
    if limit.allows(device.rating_a):
        return
    name = conductor_words(boat, conductor)
    yield Finding(
        code="device-above-conductor",
        severity="danger" if limit.status != "memory" else "advice",
        subjects=(conductor.id,),
        figure=Figure(value=device.rating_a, unit="A", basis="rule"),
        limit=Figure(value=limit.largest_a, unit="A", basis="rule"),
        message=f"Only “{device.name}” of {device.rating_a:g} A stands before {name} of "
        f"{conductor.size.label}, which may carry {allowed.value:.0f} A; "
        f"{RULE_SET_NAMES[_standard(boat)]} allows {limit.largest_a:g} A before it"
        f"{_by_law(boat, allowed, device.rating_a)}: it can burn before the device opens.",
        source=limit.source,
        source_status=limit.status,
        rule_kind="standard",
    )


def _by_law(boat: Boat, allowed: Sourced, rating_a: Ampere) -> str:
    """What the law allows besides, where it binds the boat."""
    law = profile(boat.practice.profile).law
    if law is None or rule_kind(boat, rule("ocp-150pct-lt50v")) != "law":
        return ""
    limit = rating_limit(allowed, boat.nominal_voltage_v, law)
    verb = "allows" if limit.allows(rating_a) else "only allows"
    return f" (the law, {RULE_SET_NAMES[law]}.455, {verb} {limit.largest_a:.0f} A)"

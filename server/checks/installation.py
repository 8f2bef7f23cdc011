"""What is seen on a boat without any figure of current: sizes, sparks, metal that should not return."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding
from server.boat.leads import leads, polarity_of
from server.boat.parts import (
    Alternator,
    AnyPart,
    Bonding,
    Breaker,
    Charger,
    Combiner,
    Contact,
    Fuse,
    Inverter,
    Load,
    Panel,
)
from server.boat.value import nominal
from server.boat.zones import lies_in
from server.checks.spoken import rule_kind
from server.checks.words import conductor_words, listed, the
from server.practice.profiles import profile
from server.practice.rules import Rule, rule
from server.practice.sizes import awg_area_mm2
from server.units import METRES_PER_INCH, SquareMillimetre

COMMON = "common practice, no source"
PIGTAIL_M = 7 * METRES_PER_INCH
"""Shorter conductors are exempt from the smallest size (33 CFR 183.425(g)); ISO 10133 starts at 200 mm."""
ROUNDING = 0.97
"""A size printed in mm² for an AWG size is a little less than its exact area."""

SPARKS = (Fuse, Breaker, Contact, Combiner, Alternator, Charger, Inverter, Panel)
MOTOR_ROLES = frozenset(
    {"bilge-pump", "pump", "blower", "starter", "windlass", "thruster", "winch", "furler"}
)


def thin_conductors(boat: Boat) -> Iterator[Finding]:
    """Conductors below the smallest size of the boat's practice."""
    metric = profile(boat.practice.profile).standard == "iso-10133"
    for conductor in boat.conductors:
        sheathed = conductor.sheathed == "yes"
        spoken, least, told = _smallest(metric=metric, sheathed=sheathed)
        length = None if conductor.length_m is None else nominal(conductor.length_m)
        if conductor.size is None or (length is not None and length <= PIGTAIL_M):
            continue
        if conductor.size.area_mm2 < ROUNDING * least:
            name = conductor_words(boat, conductor)
            yield Finding(
                code="conductor-too-thin",
                severity="fault",
                subjects=(conductor.id,),
                figure=Figure(value=conductor.size.area_mm2, unit="mm²", basis="rule"),
                limit=Figure(value=least, unit="mm²", basis="rule"),
                message=f"{name[:1].upper()}{name[1:]} is {conductor.size.label}; {told} is the smallest "
                + ("in a sheath." if sheathed else "for a conductor by itself."),
                source=spoken.source,
                source_status=spoken.status,
                rule_kind=rule_kind(boat, spoken),
            )


def _smallest(*, metric: bool, sheathed: bool) -> tuple[Rule, SquareMillimetre, str]:
    if metric:
        return rule("iso-min-size"), 0.75 if sheathed else 1.0, "0.75 mm²" if sheathed else "1 mm²"
    gauge = "18" if sheathed else "16"
    return rule("min-size-sheath" if sheathed else "min-size-single"), awg_area_mm2(gauge), f"{gauge} AWG"


def sparks_in_vapour(boat: Boat) -> Iterator[Finding]:
    """Parts that can spark in spaces where vapour gathers and that are not ignition-protected."""
    for zone in (one for one in boat.zones if one.vapour_risk):
        there = [part for part in boat.parts if lies_in(part, zone, boat.decks) and _can_spark(part)]
        space = the(zone.name)
        open_ones = [part for part in there if part.ignition_protected is None]
        for part in there:
            if part.ignition_protected == "no":
                yield _spark(
                    (part.id,),
                    f"{part.name} can spark and is not ignition-protected; vapour can gather in {space}.",
                    certain=True,
                )
        if open_ones:
            told = listed(part.name for part in open_ones[:3])
            more = f" and {len(open_ones) - 3} more" if len(open_ones) > 3 else ""  # noqa: PLR2004
            yield _spark(
                (zone.id, *(part.id for part in open_ones)),
                f"Vapour can gather in {space}. Look for the mark of ignition protection on {told}{more}.",
                certain=False,
            )


def _spark(subjects: tuple[str, ...], message: str, *, certain: bool) -> Finding:
    return Finding(
        code="spark-in-vapour",
        severity="danger" if certain else "cannot-tell",
        subjects=subjects,
        message=message,
        source=COMMON,
        source_status="common-practice",
    )


def _can_spark(part: AnyPart) -> bool:
    return isinstance(part, SPARKS) or (isinstance(part, Load) and part.role in MOTOR_ROLES)


def metal_as_return(boat: Boat) -> Iterator[Finding]:
    """Negative leads of loads that land on the hull, the bonding or an anode."""
    parts = {part.id: part for part in boat.parts}
    spoken = rule("e11-two-wire")
    for one in leads(boat):
        part = parts[one.part]
        onto = None if one.tap is None else parts[one.tap.part]
        if (
            isinstance(part, Load)
            and isinstance(onto, Bonding)
            and polarity_of(part, one.terminal) == "negative"
        ):
            yield Finding(
                code="metal-as-return",
                severity="fault",
                subjects=(part.id, one.terminal),
                message=f"The negative of {the(part.name)} lands on {the(onto.name)}: metal of the hull and "
                "its bonding must not carry load current.",
                source=spoken.source,
                source_status=spoken.status,
                rule_kind=rule_kind(boat, spoken),
            )


def earth_links(boat: Boat) -> Iterator[Finding]:
    """How often the negative is joined to the bonding: once, or never where both poles are insulated.

    That no link is there where the negative is said to be grounded may only mean that nobody saw it.
    """
    bonding = {part.id for part in boat.parts if isinstance(part, Bonding)}
    links = [
        one
        for one in boat.conductors
        if one.tail is not None
        and one.head is not None
        and (one.tail.part in bonding) != (one.head.part in bonding)
    ]
    grounded = boat.earthing is not None and boat.earthing.system == "negative-grounded"
    if bonding and not links and grounded:
        yield Finding(
            code="no-earth-link",
            severity="cannot-tell",
            subjects=tuple(sorted(bonding)),
            figure=Figure(value=0, unit="links", basis="computed"),
            limit=Figure(value=1, unit="links", basis="rule"),
            message="The negative is said to be grounded, and no conductor joins it to the bonding: look for "
            "the link at the main negative bus and enter it.",
            source=COMMON,
            source_status="common-practice",
        )
    insulated = boat.earthing is not None and boat.earthing.system == "insulated"
    allowed = 0 if insulated else 1
    if bonding and len(links) > allowed:
        told = "none" if insulated else "one"
        why = (
            "both poles are said to be insulated from the hull"
            if insulated
            else "between two, load current runs through the bonding, the starter's when a negative is loose"
        )
        yield Finding(
            code="several-earth-links",
            severity="fault" if insulated else "advice",
            subjects=tuple(one.id for one in links),
            figure=Figure(value=len(links), unit="links", basis="computed"),
            limit=Figure(value=allowed, unit="links", basis="rule"),
            message=f"{len(links)} conductors join the wiring to the bonding where {told} should: {why}.",
            source=COMMON,
            source_status="common-practice",
        )

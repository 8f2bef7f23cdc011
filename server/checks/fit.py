"""Whether parts fit where they are: their voltage, the conductor they take, what push-on terminals carry."""

import re
from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding
from server.boat.parts import Breaker, Busbar, Connector, Contact, Fuse, Panel, Post
from server.boat.value import nominal
from server.checks.spoken import rule_kind
from server.checks.words import conductor_words, the
from server.engine.answer import ModeAnswer
from server.practice.rules import rule
from server.units import METRES_PER_INCH, Ampere, Ohm, Volt

PUSHED_ON = "crimped-spade"
MOST_FRICTION_A: Ampere = 20.0
"""ABYC E-11 11.14.5.4: push-on terminals are for circuits up to this current, which the 50 mV are told at."""


def voltage_ratings(boat: Boat) -> Iterator[Finding]:
    """Devices, switches, bars and panels rated for less than the nominal voltage they stand on."""
    islands = {one.id: one.nominal_voltage_v for one in boat.islands}
    for part in boat.parts:
        if isinstance(part, Fuse | Breaker | Contact | Busbar | Panel) and part.voltage_rating_v is not None:
            nominal_v = boat.nominal_voltage_v if part.island is None else islands[part.island]
            if part.voltage_rating_v < nominal_v:
                yield _below(part.id, part.name, part.voltage_rating_v, nominal_v)
            if isinstance(part, Panel):
                for section in part.sections:
                    for way in section.ways:
                        rated = None if way.device is None else way.device.voltage_rating_v
                        if rated is not None and rated < nominal_v:
                            where = f"{part.id}.{section.id}-{way.id}"
                            yield _below(where, f"{part.name}, {way.name},", rated, nominal_v)


def _below(subject: str, name: str, rated_v: Volt, nominal_v: Volt) -> Finding:
    return Finding(
        code="voltage-rating-low",
        severity="fault",
        subjects=(subject,),
        figure=Figure(value=rated_v, unit="V", basis="rule"),
        limit=Figure(value=nominal_v, unit="V", basis="rule"),
        message=f"{name} is rated {rated_v:g} V and stands on {nominal_v:g} V: it may not break the arc.",
        source="rating as entered, maker's figure",
        source_status="document",
    )


def conductors_too_thick(boat: Boat) -> Iterator[Finding]:
    """Conductors thicker than the connector they land on takes."""
    most = {part.id: part for part in boat.parts if isinstance(part, Connector) and part.largest_mm2}
    for conductor in boat.conductors:
        for end in (conductor.tail, conductor.head):
            taken = None if end is None else most.get(end.part)
            if taken is None or conductor.size is None or taken.largest_mm2 is None:
                continue
            if conductor.size.area_mm2 > taken.largest_mm2 * (1 + ROUNDING):
                yield Finding(
                    code="conductor-too-thick",
                    severity="fault",
                    subjects=(conductor.id, taken.id),
                    figure=Figure(value=conductor.size.area_mm2, unit="mm²", basis="rule"),
                    limit=Figure(value=taken.largest_mm2, unit="mm²", basis="rule"),
                    message=f"{_capital(conductor_words(boat, conductor))} is {conductor.size.label}; "
                    f"{the(taken.name)} takes {taken.largest_mm2:g} mm² at most: strands get cut to fit.",
                    source="as entered, maker's figure",
                    source_status="document",
                )


ROUNDING = 0.03
"""An American gauge is a little more than the metric size that a terminal is printed with."""


def lugs_off_their_studs(boat: Boat) -> Iterator[Finding]:
    """Lugs whose hole is too small for the stud they are on, or so wide that they sit on an edge."""
    studs = {part.id: _millimetres(part.stud_size) for part in boat.parts if isinstance(part, Busbar | Post)}
    names = {part.id: part.name for part in boat.parts}
    for conductor in boat.conductors:
        for end, joint in ((conductor.tail, conductor.tail_joint), (conductor.head, conductor.head_joint)):
            hole = None if joint is None else _millimetres(joint.hole)
            stud = None if end is None else studs.get(end.part)
            if end is None or hole is None or stud is None or -TIGHT_MM <= hole - stud <= LOOSE_MM:
                continue
            how = "too small for" if hole < stud else "loose on"
            yield Finding(
                code="lug-off-stud",
                severity="advice",
                subjects=(conductor.id, end.part, end.terminal),
                figure=Figure(value=hole, unit="mm", basis="rule"),
                limit=Figure(value=stud, unit="mm", basis="rule"),
                message=f"The {hole:.1f} mm lug of {conductor_words(boat, conductor)} is {how} the "
                f"{stud:.1f} mm stud of {the(names[end.part])}.",
                source="common practice, no source; hole and stud as entered",
                source_status="common-practice",
            )


TIGHT_MM, LOOSE_MM = 0.5, 1.2
"""How much a printed hole may be below and above its stud: M10 and 3/8 in go together, M8 and M10 not."""
_METRIC = re.compile(r"^(?:M\s?(\d{1,2})|(\d{1,2}(?:\.\d)?)\s?mm)$")
_INCHES = re.compile(r"^(\d)/(\d{1,2})(?:\s?in|\")?$")


def _millimetres(printed: str | None) -> float | None:
    """The size of a hole or stud as printed; None where it is written in another way.

    >>> _millimetres("M8"), _millimetres("10 mm"), round(_millimetres("3/8 in"), 2), _millimetres("big")
    (8.0, 10.0, 9.53, None)
    """
    text = (printed or "").strip()
    if metric := _METRIC.match(text):
        return float(metric[1] or metric[2])
    if (inches := _INCHES.match(text)) and int(inches[2]):
        return int(inches[1]) / int(inches[2]) * 1000 * METRES_PER_INCH
    return None


def friction_joints(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Push-on terminals in circuits above 20 A, or with more than 50 mV at 20 A (ABYC E-11 11.14.5.4)."""
    amps = {flow.element: abs(flow.current_a) for flow in answer.flows}
    spoken = rule("e11-friction")
    most_ohm: Ohm = (0.0 if spoken.figure is None else spoken.figure.value / 1000) / MOST_FRICTION_A
    for conductor in boat.conductors:
        pushed = [
            joint
            for joint in (conductor.tail_joint, conductor.head_joint)
            if joint is not None and joint.style == PUSHED_ON
        ]
        if not pushed:
            continue
        stated = [nominal(one.resistance_ohm) for one in pushed if one.resistance_ohm is not None]
        flows, worst = amps.get(conductor.id, 0.0), max(stated, default=0.0)
        if flows > MOST_FRICTION_A:
            told = f"carries {flows:.0f} A by a push-on terminal; {MOST_FRICTION_A:.0f} A are the most."
            yield _friction(boat, conductor, told, (flows, MOST_FRICTION_A, "A"))
        elif worst > most_ohm:
            told = (
                f"has a push-on terminal that loses {worst * MOST_FRICTION_A * 1000:.0f} mV at 20 A, where "
                f"{most_ohm * MOST_FRICTION_A * 1000:.0f} mV are allowed."
            )
            figures = (worst * MOST_FRICTION_A * 1000, most_ohm * MOST_FRICTION_A * 1000, "mV")
            yield _friction(boat, conductor, told, figures)


def _friction(boat: Boat, conductor: Conductor, told: str, figures: tuple[float, float, str]) -> Finding:
    spoken, (value, most, unit) = rule("e11-friction"), figures
    return Finding(
        code="friction-joint",
        severity="fault",
        subjects=(conductor.id,),
        figure=Figure(value=value, unit=unit, basis="computed"),
        limit=Figure(value=most, unit=unit, basis="rule"),
        message=f"{_capital(conductor_words(boat, conductor))} {told}",
        source=spoken.source,
        source_status=spoken.status,
        rule_kind=rule_kind(boat, spoken),
    )


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"

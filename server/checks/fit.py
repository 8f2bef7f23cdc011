"""Whether parts fit where they are: their voltage, the conductor they take, what push-on terminals carry."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding
from server.boat.parts import Breaker, Busbar, Connector, Contact, Fuse, Panel
from server.boat.value import nominal
from server.checks.spoken import rule_kind
from server.checks.words import conductor_words, the
from server.engine.answer import ModeAnswer
from server.practice.rules import rule
from server.units import Ampere, Ohm, Volt

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

"""Conductors as elements: the wire at its temperature, and a joint at each end."""

from server.boat.boat import Boat
from server.boat.conductors import Conductor, Joint
from server.boat.parts import EngineBlock
from server.boat.value import Span, nominal
from server.engine.netlist_rows import Label, Rows
from server.units import Ohm, OhmPerMetre, SquareMillimetre

SMALL_LUG_MM2: SquareMillimetre = 6.0
"""Conductors up to this size end in the small ring terminals of the assumptions."""

_JOINT_KEYS = {
    "crimped-spade": "joint_resistance_friction",
    "plug": "joint_resistance_friction",
    "cage": "joint_resistance_cage",
    "bare": "joint_resistance_cage",
    "soldered": "joint_resistance_splice",
}


def add_conductors(rows: Rows, boat: Boat) -> None:
    """A resistor for every conductor with both ends landed."""
    own_ohm_per_m = {cable.id: cable.ohm_per_m for cable in boat.cables if cable.ohm_per_m is not None}
    blocks = frozenset(part.id for part in boat.parts if isinstance(part, EngineBlock))
    nodes = rows.nodes
    for conductor in boat.conductors:
        tail, head = conductor.tail, conductor.head
        if tail is None or head is None:
            continue
        parts = conductor_figures(rows, conductor, own_ohm_per_m.get(conductor.cable or ""), blocks)
        ends = nodes[tail.part, tail.terminal], nodes[head.part, head.terminal]
        rows.resistor(Label(conductor.id, conductor.kind), *ends, *parts)


def conductor_figures(
    rows: Rows, conductor: Conductor, cable_ohm_per_m: OhmPerMetre | None, blocks: frozenset[str]
) -> tuple[tuple[int, float], ...]:
    """A conductor's resistance as numbered figures times coefficients: wire, tail joint, head joint.

    What was measured between its terminals goes before everything else, and holds the joints too.
    """
    figures = rows.figures
    if conductor.measured_resistance_ohm is not None:
        return (figures.given_number(conductor.measured_resistance_ohm, conductor.id, "measured resistance"),)
    tail = _joint(rows, conductor, conductor.tail_joint, conductor.tail, blocks)
    head = _joint(rows, conductor, conductor.head_joint, conductor.head, blocks)
    if conductor.resistance_ohm is not None:
        return figures.given_number(conductor.resistance_ohm, conductor.id, "resistance"), tail, head
    if conductor.kind == "link":
        both = conductor.tail_joint is not None and conductor.head_joint is not None
        return (tail, head) if both else (tail,)
    wire = wire_ohm_at_20_c(conductor, cable_ohm_per_m)
    if wire is None:
        rows.unknown.append(
            (conductor.id, "size or length of this conductor is not known: taken as its joints alone")
        )
        return tail, head
    if isinstance(conductor.length_m, Span):
        length = figures.given(conductor.length_m, conductor.id, "length")
        rows.band("resistors", len(rows.resistors), "ohm", length.scaled(wire / length.value))
    hot = conductor.in_engine_space == "yes"
    key = "conductor_temperature_engine_space" if hot else "conductor_temperature"
    return (figures.number(key, conductor.id), wire), tail, head


def wire_ohm_at_20_c(conductor: Conductor, cable_ohm_per_m: OhmPerMetre | None) -> Ohm | None:
    """Tabulated resistance times length; None where size or length is not known."""
    length, size = conductor.length_m, conductor.size
    if length is None:
        return None
    per_m = cable_ohm_per_m if cable_ohm_per_m is not None else size.resistance_ohm_per_m if size else None
    return None if per_m is None else nominal(length) * per_m


def _joint(
    rows: Rows, conductor: Conductor, joint: Joint | None, end: object, blocks: frozenset[str]
) -> tuple[int, float]:
    style = None
    if joint is not None:
        if joint.resistance_ohm is not None:
            return rows.figures.given_number(joint.resistance_ohm, conductor.id, "joint resistance")
        style = joint.style
    return rows.figures.number(_joint_key(conductor, style, end, blocks), conductor.id), 1.0


def _joint_key(conductor: Conductor, style: str | None, end: object, blocks: frozenset[str]) -> str:
    key = _JOINT_KEYS.get(style or "")
    if key is not None:
        return key
    if getattr(end, "part", None) in blocks:
        return "engine_block_joint"
    small = conductor.size is not None and conductor.size.area_mm2 <= SMALL_LUG_MM2
    return "joint_resistance_small" if small else "joint_resistance"

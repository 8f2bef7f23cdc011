"""Conductors as elements: the wire at its temperature, and a joint at each end."""

from server.boat.boat import Boat
from server.boat.conductors import Conductor, Joint
from server.boat.parts import EngineBlock
from server.boat.value import Span, TerminalRef, nominal
from server.engine.netlist_rows import Label, Rows
from server.units import Ohm, OhmPerMetre, SquareMillimetre

SMALL_LUG_MM2: SquareMillimetre = 6.0
"""Conductors up to this size end in the small ring terminals of the assumptions."""

_JOINT_KEYS: dict[str | None, str] = {
    "crimped-spade": "joint_resistance_friction",
    "plug": "joint_resistance_friction",
    "cage": "joint_resistance_cage",
    "bare": "joint_resistance_cage",
    "soldered": "joint_resistance_splice",
}


def add_conductors(rows: Rows, boat: Boat) -> None:
    """A resistor for every conductor with both ends landed.

    Most are plain wires with nothing given but size and length; they go by the short way.
    """
    own_ohm_per_m = {cable.id: cable.ohm_per_m for cable in boat.cables if cable.ohm_per_m is not None}
    blocks = frozenset(part.id for part in boat.parts if isinstance(part, EngineBlock))
    nodes, short = rows.nodes, _ShortWay(rows, blocks, frozenset(own_ohm_per_m))
    labels = rows.labels["resistors"]
    for conductor in boat.conductors:
        tail, head = conductor.tail, conductor.head
        if tail is None or head is None:
            continue
        tail_node, head_node = nodes[tail.part, tail.terminal], nodes[head.part, head.terminal]
        wire_ohm = short.wire_ohm(conductor)
        if wire_ohm is not None:
            short.add(conductor, wire_ohm, tail.part, head.part)
            rows.resistors += (tail_node, head_node)
            labels.append(Label(conductor.id, "wire"))
            continue
        parts = conductor_figures(rows, conductor, own_ohm_per_m.get(conductor.cable or ""), blocks)
        rows.resistor(Label(conductor.id, conductor.kind), tail_node, head_node, *parts)


class _ShortWay:
    """Plain wires: the same figures as ``conductor_figures`` gives, looked up once for each kind of joint."""

    def __init__(self, rows: Rows, blocks: frozenset[str], special: frozenset[str]) -> None:
        self.blocks, self.special = blocks, special
        self.open = not rows.figures.with_subject
        self.figures, self.numbers, self.coefficients = rows.figures, rows.figure_numbers, rows.coefficients
        self.joints: dict[tuple[str | None, bool, bool], int] = {}
        self.hot: dict[bool, int] = {}

    def wire_ohm(self, conductor: Conductor) -> Ohm | None:
        """Resistance at 20 °C of a wire of which nothing is given but size and length; None for any other."""
        tail, head = conductor.tail_joint, conductor.head_joint
        size, length = conductor.size, conductor.length_m
        if (
            self.open
            and conductor.kind == "wire"
            and size is not None
            and isinstance(length, float)
            and conductor.measured_resistance_ohm is None
            and conductor.resistance_ohm is None
            and (tail is None or tail.resistance_ohm is None)
            and (head is None or head.resistance_ohm is None)
            and conductor.cable not in self.special
        ):
            return length * size.resistance_ohm_per_m
        return None

    def add(self, conductor: Conductor, wire_ohm: Ohm, tail_part: str, head_part: str) -> None:
        """The figures of a plain wire."""
        size, blocks = conductor.size, self.blocks
        small = size is not None and size.area_mm2 <= SMALL_LUG_MM2
        tail, head = conductor.tail_joint, conductor.head_joint
        hot = conductor.in_engine_space == "yes"
        ends = (
            (None if tail is None else tail.style, small, tail_part in blocks),
            (None if head is None else head.style, small, head_part in blocks),
        )
        temperature = self.hot.get(hot)
        if temperature is None:
            key = "conductor_temperature_engine_space" if hot else "conductor_temperature"
            temperature = self.hot[hot] = self.figures.number(key, conductor.id)
        for end in ends:
            if end not in self.joints:
                self.joints[end] = self.figures.number(joint_key(*end), conductor.id)
        self.numbers += (temperature, self.joints[ends[0]], self.joints[ends[1]])
        self.coefficients += (wire_ohm, 1.0, 1.0)


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
        rows.band("resistors", len(rows.resistors) // 2, "ohm", length.scaled(wire / length.value))
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
    rows: Rows, conductor: Conductor, joint: Joint | None, end: TerminalRef | None, blocks: frozenset[str]
) -> tuple[int, float]:
    style = None
    if joint is not None:
        if joint.resistance_ohm is not None:
            return rows.figures.given_number(joint.resistance_ohm, conductor.id, "joint resistance")
        style = joint.style
    small = conductor.size is not None and conductor.size.area_mm2 <= SMALL_LUG_MM2
    key = joint_key(style, small, end is not None and end.part in blocks)
    return rows.figures.number(key, conductor.id), 1.0


def joint_key(style: str | None, small: bool, on_block: bool) -> str:
    """Which assumption stands for a joint: by its style, else by where it lands and the size."""
    if style in _JOINT_KEYS:
        return _JOINT_KEYS[style]
    if on_block:
        return "engine_block_joint"
    return "joint_resistance_small" if small else "joint_resistance"

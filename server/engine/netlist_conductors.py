"""Conductors as elements: the wire at its temperature, and a joint at each end."""

from typing import NamedTuple

from server.boat.boat import Boat
from server.boat.conductors import Conductor, Joint
from server.boat.parts import EngineBlock
from server.boat.value import Span, TerminalRef, nominal
from server.engine.figures import Figures
from server.engine.memo import Memo
from server.engine.netlist_rows import NOTHING, Label, Rows, Terminal
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


class _PlainWire(NamedTuple):
    """A wire of which nothing is given but size and length: the short way round ``conductor_figures``.

    The joints' assumptions are named for an end on anything else and for one on an engine block.
    """

    tail: Terminal
    head: Terminal
    label: Label
    cable: str | None
    ohm_at_20_c: Ohm
    temperature: str
    tail_joint: tuple[str, str]
    head_joint: tuple[str, str]


def _plain_wire(conductor: Conductor) -> _PlainWire | None:
    """The record of a plain wire; None for any other conductor and for loose ends."""
    tail, head, size, length = conductor.tail, conductor.head, conductor.size, conductor.length_m
    joints = [joint for joint in (conductor.tail_joint, conductor.head_joint) if joint is not None]
    if (
        tail is None
        or head is None
        or size is None
        or not isinstance(length, float)
        or conductor.kind != "wire"
        or conductor.measured_resistance_ohm is not None
        or conductor.resistance_ohm is not None
        or any(joint.resistance_ohm is not None for joint in joints)
    ):
        return None
    small = size.area_mm2 <= SMALL_LUG_MM2
    tail_style, head_style = (
        None if joint is None else joint.style for joint in (conductor.tail_joint, conductor.head_joint)
    )
    return _PlainWire(
        tail=(tail.part, tail.terminal),
        head=(head.part, head.terminal),
        label=Label(conductor.id, "wire"),
        cable=conductor.cable,
        ohm_at_20_c=length * size.resistance_ohm_per_m,
        temperature=_temperature_key(conductor),
        tail_joint=(joint_key(tail_style, small, False), joint_key(tail_style, small, True)),
        head_joint=(joint_key(head_style, small, False), joint_key(head_style, small, True)),
    )


_plain_wires = Memo(_plain_wire)


def add_conductors(rows: Rows, boat: Boat) -> None:
    """A resistor for every conductor with both ends landed; plain wires, most of all, go by the short way."""
    own_ohm_per_m = {cable.id: cable.ohm_per_m for cable in boat.cables if cable.ohm_per_m is not None}
    blocks = frozenset(part.id for part in boat.parts if isinstance(part, EngineBlock))
    nodes, labels, resistors = rows.nodes, rows.labels["resistors"], rows.resistors
    numbers, coefficients = rows.figure_numbers, rows.coefficients
    number = _Numbers(rows.figures)
    shortly = not rows.figures.with_subject
    for conductor in boat.conductors:
        plain = _plain_wires(conductor) if shortly else None
        if plain is None or plain.cable in own_ohm_per_m:
            _add_conductor(rows, conductor, own_ohm_per_m.get(conductor.cable or ""), blocks)
            continue
        tail, head, label, _, ohm, temperature, tail_joint, head_joint = plain
        resistors += (nodes[tail], nodes[head])
        numbers += (
            number[temperature],
            number[tail_joint[tail[0] in blocks]],
            number[head_joint[head[0] in blocks]],
        )
        coefficients += (ohm, 1.0, 1.0)
        labels.append(label)


def _add_conductor(
    rows: Rows, conductor: Conductor, cable_ohm_per_m: OhmPerMetre | None, blocks: frozenset[str]
) -> None:
    tail, head = conductor.tail, conductor.head
    if tail is not None and head is not None:
        parts = conductor_figures(rows, conductor, cable_ohm_per_m, blocks)
        ends = rows.nodes[tail.part, tail.terminal], rows.nodes[head.part, head.terminal]
        rows.resistor(Label(conductor.id, conductor.kind), *ends, *parts)


class _Numbers(dict[str, int]):
    """The numbers of assumptions that hold for the whole boat, entered when first asked for."""

    def __init__(self, figures: Figures) -> None:
        super().__init__()
        self.figures = figures

    def __missing__(self, key: str) -> int:
        number = self[key] = self.figures.number(key, "")
        return number


def conductor_figures(
    rows: Rows, conductor: Conductor, cable_ohm_per_m: OhmPerMetre | None, blocks: frozenset[str]
) -> tuple[tuple[int, float], ...]:
    """A conductor's resistance as numbered figures times coefficients: wire, tail joint, head joint.

    What was measured between its terminals goes before everything else, and holds the joints too. A link has
    no wire; one whose size or length nobody knows adds nothing and is noted as unknown.
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
        return (NOTHING, tail, head) if both else (NOTHING, tail)
    wire = wire_ohm_at_20_c(conductor, cable_ohm_per_m)
    if wire is None:
        rows.unknown.append(
            (
                conductor.id,
                "size or length of this conductor is not known: taken as its joints alone, "
                "what is lost on this way is at least what is shown",
            )
        )
        return NOTHING, tail, head
    if isinstance(conductor.length_m, Span):
        length = figures.given(conductor.length_m, conductor.id, "length")
        rows.band("resistors", len(rows.resistors) // 2, "ohm", length.scaled(wire / length.value))
    return (figures.number(_temperature_key(conductor), conductor.id), wire), tail, head


def is_unknown(conductor: Conductor, cable_ohm_per_m: OhmPerMetre | None) -> bool:
    """Whether nothing tells the resistance of a wire: neither size and length nor any figure."""
    return (
        conductor.kind == "wire"
        and conductor.measured_resistance_ohm is None
        and conductor.resistance_ohm is None
        and wire_ohm_at_20_c(conductor, cable_ohm_per_m) is None
    )


def _temperature_key(conductor: Conductor) -> str:
    hot = conductor.in_engine_space == "yes"
    return "conductor_temperature_engine_space" if hot else "conductor_temperature"


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

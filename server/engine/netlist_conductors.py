"""Conductors as elements: the wire at its temperature, and a joint at each end."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import compress, product
from typing import Literal

import numpy as np

from server.boat.conductors import Conductor, Joint
from server.boat.value import Span, nominal
from server.boat.wires import JOINT_STYLES, MAKE_SHAPE, NOT_PLAIN, Wires
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Figures, Level
from server.engine.netlist_rows import MOST_FIGURES, NOTHING, Label
from server.units import Ohm, OhmPerMetre, SquareMillimetre

SMALL_LUG_MM2: SquareMillimetre = 6.0
"""Conductors up to this size end in the small ring terminals of the assumptions."""
UNKNOWN_WIRE = (
    "size or length of this conductor is not known: taken as its joints alone, "
    "what is lost on this way is at least what is shown"
)

_STYLES: dict[str | None, str] = {
    "crimped-spade": "joint_resistance_friction",
    "plug": "joint_resistance_friction",
    "cage": "joint_resistance_cage",
    "bare": "joint_resistance_cage",
    "soldered": "joint_resistance_splice",
}
_RING, _SMALL_RING, _ON_BLOCK = "joint_resistance", "joint_resistance_small", "engine_block_joint"
_JOINTS = (_RING, _SMALL_RING, _ON_BLOCK, *dict.fromkeys(_STYLES.values()))
_TEMPERATURES = ("conductor_temperature", "conductor_temperature_engine_space")


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What decides about conductors besides themselves: blocks, cables."""

    is_block: Flags
    """Which nodes are an engine block."""
    cable_ohm_per_m: Mapping[str, OhmPerMetre]
    """Of cables that state it."""


@dataclass(frozen=True, eq=False)
class ConductorRows:
    """Resistors that are conductors with both ends landed: between which nodes, and what each is made of."""

    landed: tuple[Conductor, ...]
    tail: Indices
    head: Indices
    figure_number: Indices
    coefficient: Floats
    bands: tuple[tuple[int, Level], ...]
    notes: tuple[tuple[str, str], ...]

    @classmethod
    def of(cls, wires: Wires, figures: Figures, around: Surroundings) -> "ConductorRows":
        """The rows of conductors.

        Plain wires, most of all, are worked out as columns, then the others, and those that have assumptions
        of their own, one by one.
        """
        tail, head, make = np.array(wires.tail), np.array(wires.head), np.array(wires.make, np.intp)
        coefficient = np.ones((len(make), MOST_FIGURES))
        coefficient[:, 0] = wires.ohm_at_20_c
        is_small, landed = np.array(wires.area_mm2) <= SMALL_LUG_MM2, wires.conductors
        has_landed = (tail >= 0) & (head >= 0)
        if not has_landed.all():
            tail, head, make = tail[has_landed], head[has_landed], make[has_landed]
            coefficient, is_small = coefficient[has_landed], is_small[has_landed]
            landed = tuple(compress(landed, has_landed.tolist()))
        on_block = around.is_block[tail], around.is_block[head]
        number = _assumed_numbers(np.maximum(make, 0), is_small, on_block, figures)
        bands: list[tuple[int, Level]] = []
        notes: list[tuple[str, str]] = []
        for row in _one_by_one(landed, make != NOT_PLAIN, figures, around):
            conductor = landed[row]
            own = around.cable_ohm_per_m.get(conductor.cable or "")
            ends_on_block = bool(on_block[0][row]), bool(on_block[1][row])
            made_of = conductor_figures(figures, conductor, own, ends_on_block)
            number[row], coefficient[row] = zip(*(*made_of, NOTHING, NOTHING)[:MOST_FIGURES], strict=True)
            bands += ((row, level) for level in length_bands(figures, conductor, own))
            if is_unknown(conductor, own):
                notes.append((conductor.id, UNKNOWN_WIRE))
        return cls(landed, tail, head, number, coefficient, tuple(bands), tuple(notes))

    @cached_property
    def labels(self) -> tuple[Label, ...]:
        """What the rows are on the boat."""
        return tuple(Label(conductor.id, conductor.kind) for conductor in self.landed)


def _assumed_numbers(
    make: Indices, is_small: Flags, on_block: tuple[Flags, Flags], figures: Figures
) -> Indices:
    """The numbers of the figures that plain wires are made of: temperature, tail joint, head joint."""
    temperature, *styles = np.unravel_index(make, MAKE_SHAPE)
    joints = (
        _JOINT_OF[style, is_small * 1, block * 1] for style, block in zip(styles, on_block, strict=True)
    )
    columns = (
        _numbers(_TEMPERATURES, temperature, figures),
        *(_numbers(_JOINTS, joint, figures) for joint in joints),
    )
    return np.stack(columns, axis=1)


def _numbers(keys: tuple[str, ...], chosen: Indices, figures: Figures) -> Indices:
    """The figures' numbers for keys, each given by its place among the keys."""
    number = np.zeros(len(keys), np.intp)
    for key in np.flatnonzero(np.bincount(chosen, minlength=len(keys))).tolist():
        number[key] = figures.number(keys[key], "")
    return number[chosen]


def _one_by_one(
    landed: tuple[Conductor, ...], is_plain: Flags, figures: Figures, around: Surroundings
) -> Iterator[int]:
    """The rows of conductors that are no plain wires on this boat."""
    subjects, cables = figures.subjects, around.cable_ohm_per_m
    if not subjects and not cables:
        yield from np.flatnonzero(~is_plain).tolist()
        return
    for row, (conductor, plain) in enumerate(zip(landed, is_plain.tolist(), strict=True)):
        if not plain or conductor.id in subjects or conductor.cable in cables:
            yield row


def conductor_figures(
    figures: Figures,
    conductor: Conductor,
    cable_ohm_per_m: OhmPerMetre | None,
    on_block: tuple[bool, bool],
) -> tuple[tuple[int, float], ...]:
    """A conductor's resistance as numbered figures times coefficients: wire, tail joint, head joint.

    What was measured between its terminals goes before everything else, and holds the joints too. A link has
    no wire; one whose size or length nobody knows adds nothing. ``on_block`` tells of both ends whether they
    land on an engine block.
    """
    if conductor.measured_resistance_ohm is not None:
        return (figures.given_number(conductor.measured_resistance_ohm, conductor.id, "measured resistance"),)
    tail = _joint(figures, conductor, "tail", on_block=on_block[0])
    head = _joint(figures, conductor, "head", on_block=on_block[1])
    if conductor.resistance_ohm is not None:
        return figures.given_number(conductor.resistance_ohm, conductor.id, "resistance"), tail, head
    if conductor.kind == "link":
        both = conductor.tail_joint is not None and conductor.head_joint is not None
        return (NOTHING, tail, head) if both else (NOTHING, tail)
    wire = wire_ohm_at_20_c(conductor, cable_ohm_per_m)
    if wire is None:
        return NOTHING, tail, head
    return (figures.number(_temperature_key(conductor), conductor.id), wire), tail, head


def length_bands(
    figures: Figures, conductor: Conductor, cable_ohm_per_m: OhmPerMetre | None
) -> Iterator[Level]:
    """What is uncertain of a wire whose length is known as a range."""
    wire = wire_ohm_at_20_c(conductor, cable_ohm_per_m)
    if wire is not None and isinstance(conductor.length_m, Span) and _counts_by_length(conductor):
        length = figures.given(conductor.length_m, conductor.id, "length")
        level = length.scaled(wire / length.value)
        if level.low < level.high:
            yield level


def _counts_by_length(conductor: Conductor) -> bool:
    given = conductor.measured_resistance_ohm, conductor.resistance_ohm
    return conductor.kind == "wire" and given == (None, None)


def is_unknown(conductor: Conductor, cable_ohm_per_m: OhmPerMetre | None) -> bool:
    """Whether nothing tells the resistance of a wire: neither size and length nor any figure."""
    return _counts_by_length(conductor) and wire_ohm_at_20_c(conductor, cable_ohm_per_m) is None


def _temperature_key(conductor: Conductor) -> str:
    return _TEMPERATURES[conductor.in_engine_space == "yes"]


def wire_ohm_at_20_c(conductor: Conductor, cable_ohm_per_m: OhmPerMetre | None) -> Ohm | None:
    """Tabulated resistance times length; None where size or length is not known."""
    length, size = conductor.length_m, conductor.size
    if length is None:
        return None
    per_m = cable_ohm_per_m if cable_ohm_per_m is not None else size.resistance_ohm_per_m if size else None
    return None if per_m is None else nominal(length) * per_m


def _joint(
    figures: Figures, conductor: Conductor, end: Literal["tail", "head"], *, on_block: bool
) -> tuple[int, float]:
    joint: Joint | None = conductor.tail_joint if end == "tail" else conductor.head_joint
    style = None
    if joint is not None:
        if joint.resistance_ohm is not None:
            return figures.given_number(joint.resistance_ohm, conductor.id, f"{end} joint resistance")
        style = joint.style
    small = conductor.size is not None and conductor.size.area_mm2 <= SMALL_LUG_MM2
    key = joint_key(style, small, on_block=on_block)
    return figures.number(key, conductor.id), 1.0


def joint_key(style: str | None, small: bool, *, on_block: bool) -> str:
    """Which assumption stands for a joint: by its style, else by where it lands and the size."""
    if style in _STYLES:
        return _STYLES[style]
    if on_block:
        return _ON_BLOCK
    return _SMALL_RING if small else _RING


def _joint_table() -> Indices:
    """Which of the joints' assumptions holds: by style, by a small lug or not, on a block or not."""
    cases = product(JOINT_STYLES, (False, True), (False, True))
    found = [_JOINTS.index(joint_key(style, small, on_block=block)) for style, small, block in cases]
    return np.array(found, np.intp).reshape(-1, 2, 2)


_JOINT_OF = _joint_table()

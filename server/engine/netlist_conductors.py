"""Conductors as elements: the wire at its temperature, and a joint at each end."""

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import compress
from operator import is_
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from server.boat.conductors import Conductor, Joint
from server.boat.value import Span, nominal
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Figures, Level
from server.engine.netlist_rows import MOST_FIGURES, NOTHING, Label, Terminal
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
_SHAPE = len(_TEMPERATURES), len(_JOINTS), len(_JOINTS)
"""What a plain wire's assumptions are, counted as one number: its temperature and its two joints."""
_JOINT_NUMBER = {key: number for number, key in enumerate(_JOINTS)}
_NOT_PLAIN, _LOOSE = -1, -2


_WIRE = np.dtype(
    [("tail", np.intp), ("head", np.intp), ("ohm_at_20_c", np.float64), ("assumptions", np.intp)]
)


def _wire(conductor: Conductor, nodes: Mapping[Terminal, int]) -> tuple[int, int, Ohm, int]:
    """The nodes of a conductor's ends and, where it is a plain wire, what it is made of.

    Of a plain wire nothing is given but size and length.
    """
    tail, head, size, length = conductor.tail, conductor.head, conductor.size, conductor.length_m
    if tail is None or head is None:
        return 0, 0, 0.0, _LOOSE
    ends = nodes[tail.part, tail.terminal], nodes[head.part, head.terminal]
    if size is None or not isinstance(length, float) or not _is_plain(conductor):
        return *ends, 0.0, _NOT_PLAIN
    ring = _SMALL_RING if size.area_mm2 <= SMALL_LUG_MM2 else _RING
    hot, joints = conductor.in_engine_space == "yes", 0
    for joint in (conductor.tail_joint, conductor.head_joint):
        key = ring if joint is None else _STYLES.get(joint.style, ring)
        joints = joints * len(_JOINTS) + _JOINT_NUMBER[key]
    return *ends, length * size.resistance_ohm_per_m, hot * len(_JOINTS) ** 2 + joints


def _is_plain(conductor: Conductor) -> bool:
    """Whether nothing is given of a conductor, or of its joints, that goes before size and length."""
    tail, head = conductor.tail_joint, conductor.head_joint
    return (
        conductor.kind == "wire"
        and conductor.measured_resistance_ohm is None
        and conductor.resistance_ohm is None
        and (tail is None or tail.resistance_ohm is None)
        and (head is None or head.resistance_ohm is None)
    )


@dataclass(frozen=True, eq=False)
class _Wires:
    """A record for each conductor of a boat whose terminals have certain nodes."""

    nodes: Mapping[Terminal, int]
    conductors: tuple[Conductor, ...]
    records: NDArray[np.void]

    @classmethod
    def of(cls, nodes: Mapping[Terminal, int], conductors: tuple[Conductor, ...]) -> "_Wires":
        """The records, from the latest boat with the same nodes as far as it had the same conductors."""
        for known in tuple(_LATEST):
            if known.nodes is nodes or known.nodes == nodes:
                wires = cls(nodes, conductors, known._changed_to(conductors))
                break
        else:
            wires = cls(nodes, conductors, _records(conductors, nodes))
        _LATEST.appendleft(wires)
        return wires

    def _changed_to(self, conductors: tuple[Conductor, ...]) -> NDArray[np.void]:
        """The records of other conductors: those between the first and the last change are made anew."""
        before = _shared(self.conductors, conductors)
        after = _shared(self.conductors[before:][::-1], conductors[before:][::-1])
        kept, end = self.records, len(conductors) - after
        anew = _records(conductors[before:end], self.nodes)
        return np.concatenate([kept[:before], anew, kept[len(kept) - after :]])


_LATEST: deque[_Wires] = deque(maxlen=12)
"""Of frozen values: they save work and change no answer."""


def _records(conductors: tuple[Conductor, ...], nodes: Mapping[Terminal, int]) -> NDArray[np.void]:
    return np.fromiter((_wire(one, nodes) for one in conductors), _WIRE, len(conductors))


def _shared(old: Sequence[Conductor], new: Sequence[Conductor]) -> int:
    """How many conductors from the first on are the very same."""
    same = np.fromiter(map(is_, old, new), bool)
    return len(same) if same.all() else int(same.argmin())


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What decides about conductors besides themselves: the nodes of all terminals, blocks, cables."""

    nodes: Mapping[Terminal, int]
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
    def of(cls, conductors: tuple[Conductor, ...], figures: Figures, around: Surroundings) -> "ConductorRows":
        """The rows of conductors.

        Plain wires, most of all, are worked out as columns, then the others, and those that have assumptions
        of their own, one by one.
        """
        records = _Wires.of(around.nodes, conductors).records
        has_landed = records["assumptions"] != _LOOSE
        landed, records = tuple(compress(conductors, has_landed.tolist())), records[has_landed]
        tail, head = np.ascontiguousarray(records["tail"]), np.ascontiguousarray(records["head"])
        on_block = around.is_block[tail], around.is_block[head]
        number = _assumed_numbers(np.maximum(records["assumptions"], 0), on_block, figures)
        coefficient = np.ones((len(landed), MOST_FIGURES))
        coefficient[:, 0] = records["ohm_at_20_c"]
        bands: list[tuple[int, Level]] = []
        notes: list[tuple[str, str]] = []
        is_plain = records["assumptions"] != _NOT_PLAIN
        for row in _one_by_one(landed, is_plain, figures, around):
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


def _assumed_numbers(assumptions: Indices, on_block: tuple[Flags, Flags], figures: Figures) -> Indices:
    """The numbers of the figures that plain wires are made of: temperature, tail joint, head joint."""
    temperature, *joints = np.unravel_index(assumptions, _SHAPE)
    rings = [joint <= _JOINTS.index(_SMALL_RING) for joint in joints]
    for joint, ring, block in zip(joints, rings, on_block, strict=True):
        joint[ring & block] = _JOINT_NUMBER[_ON_BLOCK]
    columns = (
        _numbers(_TEMPERATURES, temperature, figures),
        *(_numbers(_JOINTS, j, figures) for j in joints),
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
    subjects = {subject for _, subject in figures.overrides if subject is not None}
    cables = around.cable_ohm_per_m
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

"""A boat's conductors as columns of plain numbers: where each lands, and what a plain wire is made of.

Gathered while the document's names are checked, and kept for later versions of the boat as far as they have
the very same conductors. None of the columns is ever changed once it is made.
"""

from array import array
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress, count
from operator import is_not
from typing import get_args

from server.boat.conductors import Conductor, JointStyle
from server.boat.points import Points

LOOSE, UNKNOWN_TERMINAL = -1, -2
"""In place of a point: a loose end, and one that names a terminal which is not there."""
NOT_PLAIN = -1
"""In place of a make: something is given besides size and length, or one of these is not."""
JOINT_STYLES: tuple[str | None, ...] = (None, *get_args(JointStyle))
"""Joints of no stated style come first."""
MAKE_SHAPE = 2, len(JOINT_STYLES), len(JOINT_STYLES)
"""A make counts whether the wire lies in the engine space, and the style of its tail's and head's joint."""
_STYLE_NUMBER = {style: number for number, style in enumerate(JOINT_STYLES)}


@dataclass(frozen=True, slots=True, eq=False)
class Wires:
    """Of each conductor: the points of its ends, its tabulated resistance, its area, its make."""

    points: Points
    conductors: tuple[Conductor, ...]
    tail: "array[int]"
    head: "array[int]"
    ohm_at_20_c: "array[float]"
    area_mm2: "array[float]"
    make: "array[int]"

    @classmethod
    def of(cls, points: Points, conductors: tuple[Conductor, ...]) -> "Wires":
        """The columns, from those of the latest boat with the same points as far as it has the same wires."""
        for known in tuple(_LATEST):
            if known.points is points or known.points.number == points.number:
                if known.conductors is conductors:
                    return known
                wires = known._changed_to(points, conductors)
                break
        else:
            wires = _gathered(points, conductors)
        _LATEST.appendleft(wires)
        return wires

    def _changed_to(self, points: Points, conductors: tuple[Conductor, ...]) -> "Wires":
        """The columns of other conductors: those between the first and the last change are made anew."""
        before = _shared(self.conductors, conductors)
        after = _shared(self.conductors[before:][::-1], conductors[before:][::-1])
        end = len(self.conductors) - after
        anew = _gathered(points, conductors[before : len(conductors) - after])
        return Wires(
            points,
            conductors,
            tail=self.tail[:before] + anew.tail + self.tail[end:],
            head=self.head[:before] + anew.head + self.head[end:],
            ohm_at_20_c=self.ohm_at_20_c[:before] + anew.ohm_at_20_c + self.ohm_at_20_c[end:],
            area_mm2=self.area_mm2[:before] + anew.area_mm2 + self.area_mm2[end:],
            make=self.make[:before] + anew.make + self.make[end:],
        )


_LATEST: deque[Wires] = deque(maxlen=16)
"""Of frozen values: they save work and change no answer."""


def _gathered(points: Points, conductors: tuple[Conductor, ...]) -> Wires:
    tails, heads, ohms, areas, makes = array("q"), array("q"), array("d"), array("d"), array("h")
    number = points.number
    for one in conductors:
        tail, head, size = one.tail, one.head, one.size
        tails.append(LOOSE if tail is None else number.get((tail.part, tail.terminal), UNKNOWN_TERMINAL))
        heads.append(LOOSE if head is None else number.get((head.part, head.terminal), UNKNOWN_TERMINAL))
        length = one.length_m
        if size is None or type(length) is not float:
            ohms.append(0.0)
            areas.append(0.0)
            makes.append(NOT_PLAIN)
        else:
            ohms.append(length * size.resistance_ohm_per_m)
            areas.append(size.area_mm2)
            makes.append(_make(one))
    return Wires(points, conductors, tails, heads, ohms, areas, makes)


def _make(conductor: Conductor) -> int:
    """What a wire of known size and length is made of, as one number counted by ``MAKE_SHAPE``."""
    if (
        conductor.kind != "wire"
        or conductor.measured_resistance_ohm is not None
        or conductor.resistance_ohm is not None
    ):
        return NOT_PLAIN
    made = int(conductor.in_engine_space == "yes")
    for joint in (conductor.tail_joint, conductor.head_joint):
        made *= len(JOINT_STYLES)
        if joint is not None:
            if joint.resistance_ohm is not None:
                return NOT_PLAIN
            made += _STYLE_NUMBER[joint.style]
    return made


def _shared(old: Sequence[Conductor], new: Sequence[Conductor]) -> int:
    """How many conductors from the first on are the very same."""
    return next(compress(count(), map(is_not, old, new)), min(len(old), len(new)))

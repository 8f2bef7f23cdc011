"""Input capacitors of loads of constant power or current: given, else assumed by their current."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from server.boat.devices import Motor
from server.boat.parts import AnyPart, Inverter, Load
from server.boat.value import Known
from server.engine.arrays import Flags, Floats
from server.engine.figures import Figures, Level
from server.engine.transient.draw import Levels
from server.units import Ampere, Ohm, Ratio, Volt

LEAST_FARAD = 1e-5
"""Every load that keeps its current has at least this across its terminals (common practice, no source): a
current that cannot change has no solution behind a lead that has inductance."""


class InputCapacitor(NamedTuple):
    """Capacitance of one input, and its series resistance: given, or by the time constant of both.

    One that is not given is ``most_ohm`` at most: no device is built to lose more of its supply in it.
    """

    farad: Level
    ohm: Level | None
    time_s: Level
    most_ohm: Ohm


def input_capacitor(part: AnyPart, terminal: str, amps: Ampere, volts: Volt, own: Figures) -> InputCapacitor:
    """What stands across an input that draws ``amps`` at ``volts``; a motor that runs has the least."""
    farad, ohm, is_motor = _stated(part, terminal)
    if farad is not None:
        capacitance = own.given(farad, part.id, "input capacitance")
    elif is_motor:
        capacitance = Level(LEAST_FARAD, LEAST_FARAD, LEAST_FARAD)
    else:
        assumed = own.level("input_capacitance_per_ampere", part.id).scaled(max(amps, 0.0))
        low, value, high = (max(end, LEAST_FARAD) for end in (assumed.low, assumed.value, assumed.high))
        capacitance = Level(low, value, high, assumed.number)
    given = None if ohm is None else own.given(ohm, part.id, "resistance of the input capacitance")
    time = own.level("input_capacitance_time_constant", part.id)
    most_ohm = MOST_LOST * volts / amps if amps > 0 else math.inf
    return InputCapacitor(capacitance, given, time, most_ohm)


MOST_LOST: Ratio = 0.05
"""A device's own current through its capacitor's resistance takes this share of its voltage at most (common
practice, no source)."""


@dataclass(frozen=True, eq=False)
class InputCapacitors:
    """Many of them as columns."""

    farad: Levels
    ohm: Levels
    time_s: Levels
    most_ohm: Floats
    is_given: Flags

    @classmethod
    def of(cls, capacitors: Sequence[InputCapacitor]) -> "InputCapacitors":
        """The columns of some capacitors."""
        return cls(
            farad=Levels.of([one.farad for one in capacitors]),
            ohm=Levels.of([one.ohm or NO_RESISTANCE for one in capacitors]),
            time_s=Levels.of([one.time_s for one in capacitors]),
            most_ohm=np.array([one.most_ohm for one in capacitors], np.float64),
            is_given=np.array([one.ohm is not None for one in capacitors], bool),
        )

    def at(self, positions: Floats) -> tuple[Floats, Floats]:
        """Capacitances and series resistances with their figures placed."""
        farad = self.farad.at(positions)
        by_time = self.time_s.at(positions) / np.maximum(farad, NEXT_TO_NOTHING)
        assumed = np.minimum(by_time, self.most_ohm)
        return farad, np.where(self.is_given, self.ohm.at(positions), assumed)


NO_RESISTANCE = Level(0.0, 0.0, 0.0)
NEXT_TO_NOTHING = 1e-12
"""A capacitance entered as nothing is none; this only keeps its resistance finite."""


def _stated(part: AnyPart, terminal: str) -> tuple[Known | None, Known | None, bool]:
    match part:
        case Load():
            one = next(one for one in part.inputs if one.id == terminal)
            is_motor = isinstance(one.demand, Motor)
            return one.input_capacitance_f, one.input_capacitance_ohm, is_motor
        case Inverter():
            return part.input_capacitance_f, None, False
        case _:
            return None, None, False

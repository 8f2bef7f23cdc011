"""Input capacitors of loads of constant power or current: given, else assumed by their current."""

from typing import NamedTuple

from server.boat.devices import Motor
from server.boat.parts import AnyPart, Inverter, Load
from server.boat.value import Known
from server.engine.figures import Figures, Level
from server.units import Ampere

LEAST_FARAD = 1e-5
"""Every load that keeps its current has at least this across its terminals (common practice, no source): a
current that cannot change has no solution behind a lead that has inductance."""


class InputCapacitor(NamedTuple):
    """Capacitance and series resistance of one input."""

    farad: Level
    ohm: Level


def input_capacitor(part: AnyPart, terminal: str, amps: Ampere, own: Figures) -> InputCapacitor:
    """What stands across an input that draws ``amps``; a motor that runs has the least."""
    farad, ohm, is_motor = _stated(part, terminal)
    if farad is not None:
        capacitance = own.given(farad, part.id, "input capacitance")
    elif is_motor:
        capacitance = Level(LEAST_FARAD, LEAST_FARAD, LEAST_FARAD)
    else:
        assumed = own.level("input_capacitance_per_ampere", part.id).scaled(max(amps, 0.0))
        capacitance = Level(
            max(assumed.low, LEAST_FARAD),
            max(assumed.value, LEAST_FARAD),
            max(assumed.high, LEAST_FARAD),
            assumed.number,
        )
    if ohm is not None:
        return InputCapacitor(capacitance, own.given(ohm, part.id, "resistance of the input capacitance"))
    time = own.level("input_capacitance_time_constant", part.id)
    return InputCapacitor(capacitance, time.scaled(1 / max(capacitance.value, LEAST_FARAD)))


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

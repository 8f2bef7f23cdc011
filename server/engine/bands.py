"""How far a voltage may lie from its value when every assumption may lie anywhere in its band.

All elements that share an assumption move together; different assumptions are independent, so their effects
are added as squares. To first order in each.
"""

from dataclasses import dataclass

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.figures import Level
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint
from server.engine.states import Regulation


@dataclass(frozen=True, eq=False)
class Uncertain:
    """Every uncertain figure of a netlist: which element, what a change of it does, by how much."""

    element: Indices
    number: Indices
    low: Floats
    high: Floats
    acts_on: Indices
    """0: resistance, 1: electromotive force, 2: load current."""

    @classmethod
    def of(cls, net: Netlist, point: OperatingPoint) -> "Uncertain":
        """The figures that matter in the states of a point."""
        levels = net.figures.levels
        below = np.array([level.low - level.value for level in levels])
        above = np.array([level.high - level.value for level in levels])
        row, slot = np.nonzero((net.figure_number > 0) & (net.coefficient != 0))
        number, coefficient = net.figure_number[row, slot], net.coefficient[row, slot]
        one_by_one = [found for entry in net.bands if (found := _entry(net, point, *entry)) is not None]
        extra = np.array(one_by_one, np.float64).reshape(-1, 5)
        return cls(
            element=np.concatenate([row, extra[:, 0].astype(np.intp)]),
            number=np.concatenate([number, extra[:, 1].astype(np.intp)]),
            low=np.concatenate([coefficient * below[number], extra[:, 2]]),
            high=np.concatenate([coefficient * above[number], extra[:, 3]]),
            acts_on=np.concatenate([np.zeros(len(row), np.intp), extra[:, 4].astype(np.intp)]),
        )

    def with_row(self, row: int, figures: tuple[tuple[int, float], ...], levels: list[Level]) -> "Uncertain":
        """The same with one resistor made of other figures."""
        kept = (self.element != row) | (self.acts_on != 0)
        new = [(number, factor, levels[number]) for number, factor in figures if number and factor]
        low = [factor * (level.low - level.value) for _, factor, level in new]
        high = [factor * (level.high - level.value) for _, factor, level in new]
        return Uncertain(
            element=np.append(self.element[kept], np.full(len(new), row)),
            number=np.append(self.number[kept], np.array([number for number, _, _ in new], np.intp)),
            low=np.append(self.low[kept], low),
            high=np.append(self.high[kept], high),
            acts_on=np.append(self.acts_on[kept], np.zeros(len(new), np.intp)),
        )


def _entry(
    net: Netlist, point: OperatingPoint, element: int, figure: str, level: Level
) -> tuple[float, ...] | None:
    network = net.network
    low, high = level.low - level.value, level.high - level.value
    limited = network.spans["limited"]
    is_limited = limited.start <= element < limited.stop
    if is_limited and point.states.limited[element - limited.start] != Regulation.REGULATING:
        return None
    match figure:
        case "ohm":
            return element, level.number, low, high, 0
        case "emf_v" | "setpoint_v":
            return element, level.number, low, high, 1
        case "drop_v":
            return element, level.number, -low, -high, 1
        case _:
            volts = point.element_v[element]
            if point.current_a[element] == 0 or np.isnan(volts):
                return None
            is_power = network.loads.is_power[element - network.spans["loads"].start]
            per = 1 / volts if is_power else 1.0
            return element, level.number, low * per, high * per, 2


def band(
    uncertain: Uncertain, figures: int, answer: Floats, g: Floats, current_a: Floats
) -> tuple[float, float]:
    """How far below and above its value a voltage may lie.

    ``answer`` are the element voltages for one ampere into the observed element's terminals: the adjoint
    network, see ``linearised.sensitivity``.
    """
    at = uncertain.element
    effect = np.choose(
        uncertain.acts_on, (g[at] * answer[at] * current_a[at], -g[at] * answer[at], -answer[at])
    )
    low = np.bincount(uncertain.number, effect * uncertain.low, figures)
    high = np.bincount(uncertain.number, effect * uncertain.high, figures)
    below = np.minimum(np.minimum(low, high), 0.0)
    above = np.maximum(np.maximum(low, high), 0.0)
    return float(np.sqrt((below**2).sum())), float(np.sqrt((above**2).sum()))

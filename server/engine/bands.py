"""How far a voltage may lie from its value when every assumption may lie anywhere in its band.

All elements that share an assumption move together; different assumptions are independent, so their effects
are added as squares. To first order in each.
"""

from dataclasses import dataclass

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.figures import Level
from server.engine.linearised import Linearised
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

    def without_row(self, row: int) -> "Uncertain":
        """The same without what is uncertain in one resistor."""
        kept = (self.element != row) | (self.acts_on != 0)
        return Uncertain(
            self.element[kept], self.number[kept], self.low[kept], self.high[kept], self.acts_on[kept]
        )

    def with_row(self, row: int, figures: tuple[tuple[int, float], ...], levels: list[Level]) -> "Uncertain":
        """The same with one resistor made of other figures."""
        kept = self.without_row(row)
        low = [factor * (levels[number].low - levels[number].value) for number, factor in figures]
        high = [factor * (levels[number].high - levels[number].value) for number, factor in figures]
        return Uncertain(
            element=np.append(kept.element, np.full(len(figures), row)),
            number=np.append(kept.number, np.array([number for number, _ in figures], np.intp)),
            low=np.append(kept.low, low),
            high=np.append(kept.high, high),
            acts_on=np.append(kept.acts_on, np.zeros(len(figures), np.intp)),
        )

    def effect(self, answer: Floats, g: Floats, current_a: Floats) -> Floats:
        """Volts per unit of each figure, given the adjoint answers and currents of its elements.

        dV/dR = g (λ_t - λ_h) i, dV/dE = -g (λ_t - λ_h), dV/dI = -(λ_t - λ_h); see ``linearised``.
        """
        effect: Floats = np.where(
            self.acts_on == 0, g * answer * current_a, np.where(self.acts_on == 1, -g * answer, -answer)
        )
        return effect


def spread(low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """How far below and above, from the effects of each figure's low and high end (last axis)."""
    below = np.minimum(np.minimum(low, high), 0.0)
    above = np.maximum(np.maximum(low, high), 0.0)
    return np.sqrt((below**2).sum(axis=-1)), np.sqrt((above**2).sum(axis=-1))


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


def bands(uncertain: Uncertain, linear: Linearised, elements: Indices) -> tuple[Floats, Floats]:
    """How far below and above its value the voltage of each of some elements may lie.

    J is symmetric, so one solution for each end of each figure answers for all elements: with w the currents
    that a figure drives into the network, dV = (J⁻¹ w)_tail - (J⁻¹ w)_head.
    """
    network, point, at = linear.point.network, linear.point, uncertain.element
    effect = uncertain.effect(np.ones(len(at)), point.conductance[at], point.current_a[at])
    tail, head = network.solved_tail[at], network.solved_head[at]
    moved, number = np.unique(uncertain.number, return_inverse=True)
    ends = []
    for level in (uncertain.low, uncertain.high):
        driven = np.zeros((network.nodes, len(moved)), order="F")
        np.add.at(driven, (tail, number), effect * level)
        np.add.at(driven, (head, number), -effect * level)
        answer = linear.factor.solve(driven)
        ends.append(answer[network.solved_tail[elements]] - answer[network.solved_head[elements]])
    return spread(*ends)


def band(
    uncertain: Uncertain, figures: int, answer: Floats, g: Floats, current_a: Floats
) -> tuple[float, float]:
    """How far below and above its value a voltage may lie.

    ``answer`` are the element voltages for one ampere into the observed element's terminals: the adjoint
    network, see ``linearised.sensitivity``.
    """
    at = uncertain.element
    effect = uncertain.effect(answer[at], g[at], current_a[at])
    low = np.bincount(uncertain.number, effect * uncertain.low, figures).astype(np.float64)
    high = np.bincount(uncertain.number, effect * uncertain.high, figures).astype(np.float64)
    below, above = spread(low, high)
    return float(below), float(above)

"""How far a voltage may lie from its value when every assumption may lie anywhere in its band.

All elements that share an assumption move together; different assumptions are independent, so their effects
are added as squares. To first order in each.

At fixed voltages a figure that rises by one changes the current of its element by ∂i/∂R = -g i for a
resistance, ∂i/∂E = g for an electromotive force, ∂i/∂P for what a load takes; the network answers with -J⁻¹.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from scipy.sparse import csr_array

from server.engine.arrays import Floats, Indices
from server.engine.bending import LEAST_V
from server.engine.figures import Level
from server.engine.linearised import Linearised
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint
from server.engine.states import Regulation
from server.units import Ohm

RESISTANCE, FORCE, DEMAND = range(3)
"""What of its element a figure acts on."""


class LeadOhm(NamedTuple):
    """A conductor's resistance, and what it changes by at the low and high end of each of its figures."""

    ohm: Ohm
    swings: tuple[tuple[int, Ohm, Ohm], ...]


class UnitCurrents(NamedTuple):
    """Currents for one unit more of each element's resistance, electromotive force and demand.

    A row for each case, or one for all.
    """

    resistance: Floats
    force: Floats
    demand: Floats

    @classmethod
    def of(cls, point: OperatingPoint, across_v: Floats, current_a: Floats) -> "UnitCurrents":
        """At other voltages and currents than those of the point."""
        loads, span, g = point.network.loads, point.network.spans["loads"], point.conductance
        is_power, own = loads.is_power > 0, across_v[..., span]
        knee_v = np.maximum(loads.cut_out_v, LEAST_V)
        running = np.where(is_power, 1 / np.maximum(own, LEAST_V), 1.0)
        demand = np.zeros_like(current_a)
        demand[..., span] = np.where(
            own < loads.cut_out_v, own / np.where(is_power, knee_v**2, knee_v), running
        )
        return cls(-g * current_a, np.broadcast_to(g, current_a.shape), demand)


@dataclass(frozen=True, eq=False)
class Uncertain:
    """Every uncertain figure of a netlist: which element, what of it, its change at the low and high end."""

    net: Netlist
    element: Indices
    number: Indices
    low: Floats
    high: Floats
    acts_on: Indices

    @classmethod
    def of(cls, net: Netlist, point: OperatingPoint) -> "Uncertain":
        """The figures that matter in the states of a point."""
        levels = net.figures.levels
        below = np.array([level.low - level.value for level in levels])
        above = np.array([level.high - level.value for level in levels])
        row, slot = np.nonzero((net.figure_number > 0) & (net.coefficient != 0))
        number, factor = net.figure_number[row, slot], net.coefficient[row, slot]
        assumed = cls(net, row, number, factor * below[number], factor * above[number], np.zeros_like(row))
        return assumed.with_rows(
            [found for entry in net.bands if (found := _entry(net, point, *entry)) is not None]
        )

    def with_rows(self, rows: Sequence[tuple[float, ...]]) -> "Uncertain":
        """The same with more figures: element, number, low, high, what they act on."""
        more = np.array(rows, np.float64).reshape(-1, 5)
        return Uncertain(
            net=self.net,
            element=np.concatenate([self.element, more[:, 0].astype(np.intp)]),
            number=np.concatenate([self.number, more[:, 1].astype(np.intp)]),
            low=np.concatenate([self.low, more[:, 2]]),
            high=np.concatenate([self.high, more[:, 3]]),
            acts_on=np.concatenate([self.acts_on, more[:, 4].astype(np.intp)]),
        )

    def without(self, element: int) -> "Uncertain":
        """The same without what is uncertain in one element."""
        kept = self.element != element
        columns = (self.element, self.number, self.low, self.high, self.acts_on)
        return Uncertain(self.net, *(column[kept] for column in columns))

    def with_lead(self, row: int, lead: LeadOhm) -> "Uncertain":
        """The same with one resistor made of other figures."""
        return self.without(row).with_rows([(row, *swing, RESISTANCE) for swing in lead.swings])

    @cached_property
    def figures(self) -> int:
        """How many figures there were when this was first asked for."""
        return len(self.net.figures.levels)

    @cached_property
    def _ends(self) -> tuple[csr_array, ...]:
        """For resistances, forces, demands: what each figure does to each element (row).

        Columns are the figures at their low ends, then at their high ends.
        """
        found = []
        for kind in (RESISTANCE, FORCE, DEMAND):
            rows = np.flatnonzero(self.acts_on == kind)
            change = np.concatenate([self.low[rows], self.high[rows]])
            column = np.concatenate([self.number[rows], self.figures + self.number[rows]])
            shape = self.net.network.size, 2 * self.figures
            found.append(csr_array((change, (np.tile(self.element[rows], 2), column)), shape=shape))
        return tuple(found)

    def swings(self, answer: Floats, current: UnitCurrents) -> tuple[Floats, Floats]:
        """How an observed voltage moves with each figure (columns) at its low and high end, by case (rows).

        ``answer`` are the element voltages for one ampere into the observed element's terminals: the adjoint
        network, see ``linearised.sensitivity``.
        """
        swings = np.zeros((len(answer), 2 * self.figures))
        for per_unit, ends in zip(current, self._ends, strict=True):
            if ends.nnz:
                swings -= (answer * per_unit) @ ends
        low, high = np.split(swings, 2, axis=1)
        return low, high

    def widths(self, linear: Linearised, elements: Indices) -> tuple[Floats, Floats]:
        """How far below and above their values the voltages of some elements of a point may lie."""
        point, network, figures = linear.point, linear.point.network, 2 * self.figures
        per_unit = np.stack(UnitCurrents.of(point, point.element_v, point.current_a))
        acts = per_unit[self.acts_on, self.element]
        change = np.concatenate([self.low * acts, self.high * acts])
        column = np.concatenate([self.number, self.figures + self.number])
        leaving, arriving = (
            np.bincount(np.tile(node[self.element], 2) * figures + column, change, network.nodes * figures)
            for node in (network.solved_tail, network.solved_head)
        )
        taken = np.subtract(arriving, leaving).reshape(network.nodes, figures)
        acting = np.flatnonzero(taken.any(axis=0))
        node_v = linear.factor.solve(np.asfortranarray(taken[:, acting]))
        swings = np.zeros((len(elements), figures))
        tail, head = network.solved_tail[elements], network.solved_head[elements]
        swings[:, acting] = node_v[tail] - node_v[head]
        return spread(*np.split(swings, 2, axis=1))


def spread(low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """How far below and above, from the effects of each figure's low and high end (last axis)."""
    below = np.minimum(np.minimum(low, high), 0.0)
    above = np.maximum(np.maximum(low, high), 0.0)
    return np.sqrt((below**2).sum(axis=-1)), np.sqrt((above**2).sum(axis=-1))


def _entry(
    net: Netlist, point: OperatingPoint, element: int, figure: str, level: Level
) -> tuple[float, ...] | None:
    """What a range is as a row; None where it does not matter in the states of the point."""
    low, high, limited = level.low - level.value, level.high - level.value, net.network.spans["limited"]
    is_limited = limited.start <= element < limited.stop
    if is_limited and point.states.limited[element - limited.start] != Regulation.REGULATING:
        return None
    match figure:
        case "ohm":
            return element, level.number, low, high, RESISTANCE
        case "emf_v" | "setpoint_v":
            return element, level.number, low, high, FORCE
        case "drop_v":
            return element, level.number, -low, -high, FORCE
        case _:
            is_idle = point.current_a[element] == 0 or np.isnan(point.element_v[element])
            return None if is_idle else (element, level.number, low, high, DEMAND)

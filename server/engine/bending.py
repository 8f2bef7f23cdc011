"""The loads of constant power, whose current is no straight line, at other voltages than those of a point."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.operating_point import OperatingPoint
from server.units import Volt

if TYPE_CHECKING:
    from server.engine.linearised import Linearised

LEAST_V: Volt = 1e-3
"""Constant power is not drawn at less: it would be without bound."""


@dataclass(frozen=True, eq=False)
class Bending:
    """The loads of constant power that are fed and on, and the converter outputs that some of them follow.

    Voltages of these (``elements``) may have a row for each of many cases.
    """

    linear: "Linearised"
    rows: Indices
    """The loads by their row among all loads."""
    converters: Indices
    """The converters whose input is one of them."""
    follows: Indices
    """Where the inputs of those converters stand among them."""

    @classmethod
    def of(cls, linear: "Linearised") -> "Bending":
        """Those of a point; a converter that has shut down draws nothing."""
        point, inputs = linear.point, linear.point.network.converters.load
        bent = linear.loads.is_power & ~linear.loads.unfed
        if point.absent is not None:
            bent &= ~point.absent[point.network.spans["loads"]]
        bent[inputs[point.states.starved[inputs]]] = False
        rows, live = np.flatnonzero(bent), np.flatnonzero(bent[inputs])
        return cls(linear, rows, live, np.searchsorted(rows, inputs[live]))

    def __len__(self) -> int:
        """How many loads there are."""
        return len(self.rows)

    @property
    def _point(self) -> OperatingPoint:
        return self.linear.point

    @cached_property
    def power(self) -> Indices:
        """The loads as elements."""
        elements: Indices = self._point.network.spans["loads"].start + self.rows
        return elements

    @cached_property
    def elements(self) -> Indices:
        """All elements whose voltages the currents depend on: loads, then converter outputs."""
        network = self._point.network
        outputs = network.spans["limited"].start + network.converters.output[self.converters]
        return np.concatenate([self.power, outputs])

    @cached_property
    def _slope(self) -> Floats:
        return self.linear.slope[self.power]

    @cached_property
    def _straight_a(self) -> Floats:
        """Where the straight line of each load's current meets zero volts."""
        straight: Floats = self._point.current_a[self.power] - self._slope * self._point.element_v[self.power]
        return straight

    @cached_property
    def answer(self) -> Floats:
        """Node voltages for one ampere into each of the loads: a column for each."""
        return self.linear.port_columns(self.power)

    @cached_property
    def mutual(self) -> Floats:
        """Voltages of ``elements`` (rows) for one ampere into each load (columns)."""
        network = self._point.network
        tail, head = network.solved_tail[self.elements], network.solved_head[self.elements]
        mutual: Floats = self.answer[tail] - self.answer[head]
        return mutual

    def _watts(self, v: Floats) -> Floats:
        """Power of each load; a converter's input follows its output."""
        network = self._point.network
        watts = network.loads.amount[self.rows]
        if not len(self.converters):
            return watts
        at, across = self.elements[len(self) :], v[..., len(self) :]
        given = np.maximum(-across * self._point.conductance[at] * (across + self._point.rise_v[at]), 0.0)
        idle, efficiency = network.converters.idle_w, network.converters.efficiency
        followed: Floats = np.broadcast_to(watts, (*v.shape[:-1], len(self))).copy()
        followed[..., self.follows] = given / efficiency[self.converters] + idle[self.converters]
        return followed

    @cached_property
    def _cut_out_v(self) -> Floats:
        return self._point.network.loads.cut_out_v[self.rows]

    @cached_property
    def cut_outs(self) -> tuple[Flags, Flags]:
        """Of all loads, those that may pass their cut-out, and those that below it might run as well as not.

        Behind a resistance R a source E gives the power P at two voltages, the lower below E/2. A cut-out
        above E/2 therefore leaves one answer; below, only the full solution, which comes from above, tells
        which holds.
        """
        point, network = self._point, self._point.network
        loads, spans = network.loads, network.spans
        sources = slice(spans["sources"].start, spans["limited"].stop)
        inner_v = np.divide(
            point.current_a[sources],
            point.conductance[sources],
            out=np.zeros(sources.stop - sources.start),
            where=point.conductance[sources] > 0,
        )
        highest_v = np.nanmax(point.node_v) - np.nanmin(point.node_v) + np.abs(inner_v).max()
        follows = loads.is_power > 0
        follows[network.converters.load] = False
        return follows, (loads.is_power > 0) & (loads.cut_out_v < highest_v / 2)

    def excess_a(self, v: Floats) -> Floats:
        """What each load draws beyond its straight line; below its cut-out it is a resistance."""
        own, watts = v[..., : len(self)], self._watts(v)
        excess = np.maximum(own, LEAST_V)
        np.divide(watts, excess, out=excess)
        below = own < self._cut_out_v
        if below.any():
            excess = np.where(below, watts * own / np.maximum(self._cut_out_v, LEAST_V) ** 2, excess)
        excess -= self._slope * own
        excess -= self._straight_a
        return excess

    def slope_change(self, v: Floats) -> Floats:
        """By how much the slope of each load's current, -P/V² above its cut-out, differs from the point's."""
        own, watts = v[..., : len(self)], self._watts(v)
        below = own < self._cut_out_v
        over = np.where(below, np.maximum(self._cut_out_v, LEAST_V), -np.maximum(own, LEAST_V))
        change: Floats = watts / (over * np.abs(over)) - self._slope
        return change

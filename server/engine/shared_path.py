"""Shared path: what a heavy load takes from another load's voltage, and in which element it is lost.

Let u(i) be the currents of the network with all loads open and all EMFs shorted while port i draws one
ampere.
Tellegen's theorem between u(i) and the real currents gives V_i = -Σ v_e u_e(i) over the elements of that
network; for an element with v = R i - E this is the textbook V_i = Σ E_e u_e - Σ R_e u_e i_e.
It holds in meshes and does not depend on a chosen path.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.islands import Islands
from server.engine.operating_point import OperatingPoint, pieces_of
from server.engine.system import Factor, factorise, grounding


@dataclass(frozen=True, eq=False)
class SourceNetwork:
    """The network between the sources and the loads: loads open, EMFs shorted, states as in ``point``."""

    point: OperatingPoint

    @cached_property
    def conductance(self) -> Floats:
        """Conductance of every element; zero for loads."""
        g = self.point.conductance.copy()
        g[self.point.network.spans["resistive"]] = 0.0
        g[self.point.network.spans["loads"]] = 0.0
        return g

    @cached_property
    def pieces(self) -> Islands:
        """The islands without the loads."""
        point = self.point
        return pieces_of(point.network, self.conductance, point.states, point.absent)

    @cached_property
    def factor(self) -> Factor:
        """The factorised matrix."""
        pattern, g = self.point.network.pattern, self.conductance
        return factorise(pattern.matrix(g, grounding(pattern, g, self.pieces.ground)))

    def reaches(self, elements: Indices) -> Flags:
        """Which elements have both ends on one island with a source."""
        network, pieces = self.point.network, self.pieces
        tail, head = network.solved_tail[elements], network.solved_head[elements]
        reached: Flags = (pieces.label[tail] == pieces.label[head]) & pieces.node_fed[tail]
        return reached

    def unit_currents(self, elements: Indices) -> Floats:
        """u: current of every element (row) while each of ``elements`` (column) draws one ampere.

        A column is nan where the element has no source on its own island.
        """
        network = self.point.network
        pattern, g = network.pattern, self.conductance
        reached = self.reaches(elements)
        rhs = np.zeros((network.nodes, len(elements)), order="F")
        at = np.flatnonzero(reached)
        rhs[network.solved_tail[elements[at]], at] -= 1.0
        rhs[network.solved_head[elements[at]], at] += 1.0
        v = self.factor.solve(rhs)
        u: Floats = g[:, None] * (v[pattern.tail] - v[pattern.head])
        u[:, ~reached] = np.nan
        return u


@dataclass(frozen=True, eq=False)
class SagSplit:
    """The sag of some elements and each circuit element's share of it (rows: elements).

    ``unit`` are the currents for one ampere drawn by each (columns), the heavy load's column last.
    """

    elements: Indices
    sag_v: Floats
    share_v: Floats
    unit: Floats


def sag_split(absent: OperatingPoint, present: OperatingPoint, elements: Indices, heavy: int) -> SagSplit:
    """Sag, heavy load absent minus present, split over the elements: u_e (v_e present - v_e absent).

    For an element that keeps its state that is R_e u_e (i_present - i_absent). One that changes its state has
    the change of its voltage as its own term, so that the shares always add up to the sag.
    """
    u = SourceNetwork(absent).unit_currents(np.append(elements, heavy))
    change = present.element_v - absent.element_v
    share = u[:, :-1] * np.where(np.isnan(change), 0.0, change)[:, None]
    sag = absent.element_v[elements] - present.element_v[elements]
    return SagSplit(elements, sag, share, u)


def offered_v(point: OperatingPoint, amperes: Floats) -> Floats:
    """Σ u_b V_b over the batteries (rows), of each load (column): what their posts offer it.

    In a string the voltages add up; batteries side by side count by their share of the load's current.
    """
    volts = -point.element_v[point.network.spans["sources"]]
    offered: Floats = np.where(amperes.T == 0, 0.0, amperes.T * volts).sum(axis=-1)
    return offered

"""A network linearised at its operating point: how voltages answer to small changes."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.bending import Bending
from server.engine.operating_point import OperatingPoint, RunningLoads
from server.engine.system import Factor, factorise, grounding


@dataclass(frozen=True, eq=False)
class Linearised:
    """The matrix J = A·diag(g + dI/dV)·Aᵀ of a point, factorised once.

    J⁻¹ gives every transfer resistance of the network as it stands, its loads answering with their slopes.
    """

    point: OperatingPoint

    @cached_property
    def loads(self) -> RunningLoads:
        """The loads that are not on a line."""
        point = self.point
        return RunningLoads.of(point.network, point.states, point.absent, point.islands)

    @cached_property
    def slope(self) -> Floats:
        """Conductance of every element for small changes."""
        point, slope = self.point, self.point.conductance.copy()
        v = np.where(np.isnan(point.node_v), 0.0, point.node_v)
        slope[point.network.spans["loads"]] += self.loads.slope(v, point.conductance, point.rise_v)
        return slope

    @cached_property
    def factor(self) -> Factor:
        """The factorised matrix."""
        pattern = self.point.network.pattern
        grounded = grounding(pattern, self.point.conductance, self.point.islands.ground)
        return factorise(pattern.matrix(self.slope, grounded))

    @cached_property
    def bending(self) -> Bending:
        """The loads whose current is no straight line."""
        return Bending.of(self)

    def columns(self, nodes: Indices) -> Floats:
        """Columns of J⁻¹: node voltages for one ampere into each of the nodes."""
        rhs = np.zeros((self.point.network.nodes, len(nodes)), order="F")
        rhs[nodes, np.arange(len(nodes))] = 1.0
        return self.factor.solve(rhs)

    def port_columns(self, elements: Indices) -> Floats:
        """Node voltages for one ampere from outside into each element's tail and out of its head."""
        network = self.point.network
        rhs = np.zeros((network.nodes, len(elements)), order="F")
        at = np.arange(len(elements))
        rhs[network.solved_tail[elements], at] += 1.0
        rhs[network.solved_head[elements], at] -= 1.0
        return self.factor.solve(rhs)

    def across(self, node_v: Floats) -> Floats:
        """Element voltages of node voltages given by the column."""
        network = self.point.network
        across: Floats = node_v[network.solved_tail] - node_v[network.solved_head]
        return across


@dataclass(frozen=True, eq=False)
class Sensitivity:
    """How the voltages of some elements (columns) answer to every element's figures (rows)."""

    per_ohm: Floats
    per_volt: Floats
    per_ampere: Floats


def sensitivity(linear: Linearised, elements: Indices) -> Sensitivity:
    """Derivatives of element voltages, by the adjoint network.

    With λ the voltages for one ampere into the observed element's terminals: dV/dR = g (λ_t - λ_h) i,
    dV/dE = -g (λ_t - λ_h), dV/dI = -(λ_t - λ_h) (Director and Rohrer, adjoint networks, 1969; from memory).
    """
    point = linear.point
    answer = linear.across(linear.port_columns(elements))
    answer[:, np.isnan(point.element_v[elements])] = 0.0
    g = point.conductance[:, None]
    return Sensitivity(g * answer * point.current_a[:, None], -g * answer, -answer)

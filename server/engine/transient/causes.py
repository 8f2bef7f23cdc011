"""Which element takes how much of a dip, or gives how much of a kick, and by what.

Let u be the currents of the network before the press, all loads open and all EMFs shorted, while one ampere
is drawn at a pair of terminals. Kirchhoff's current law holds for u, so by Tellegen's theorem the voltage of
the pair is -Σ u_e v_e at every instant, whatever flows (see ``server.engine.shared_path``). With
v_e = R i + L di/dt - emf and a constant EMF, the change since before the press falls apart exactly:
before - now = Σ u_e R_e (i - i_before) + Σ u_e L_e di/dt.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.naming import Names
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint
from server.engine.shared_path import SourceNetwork
from server.engine.system import factorise, grounding
from server.engine.transient.answer import Cause, CauseShare
from server.engine.transient.solution import BranchVolts

SMALLEST_SHARE_V = 1e-12
"""Shares below this are rounding; leaving them out changes no sum by more than 1e-9 V."""
SOURCE_KINDS = frozenset({"sources", "limited"})


def unit_flows(point: OperatingPoint, tails: Sequence[int], heads: Sequence[int]) -> Floats:
    """u: current of every element (row) for one ampere drawn at each pair of nodes (column).

    A column is nan where its pair has no source on an island of its own.
    """
    network, sources = point.network, SourceNetwork(point)
    pattern, g, pieces = network.pattern, sources.conductance, sources.pieces
    tail, head = network.node_of[np.array(tails, np.intp)], network.node_of[np.array(heads, np.intp)]
    reached = (pieces.label[tail] == pieces.label[head]) & pieces.node_fed[tail]
    factor = factorise(pattern.matrix(g, grounding(pattern, g, pieces.ground)))
    rhs = np.zeros((network.nodes, len(tail)), order="F")
    at = np.flatnonzero(reached)
    np.add.at(rhs, (tail[at], at), -1.0)
    np.add.at(rhs, (head[at], at), 1.0)
    v = factor.solve(rhs)
    u: Floats = g[:, None] * (v[pattern.tail] - v[pattern.head])
    u[:, ~reached] = np.nan
    return u


@dataclass(frozen=True, eq=False)
class Accounts:
    """Splits the change of a pair's voltage over the elements; ``element`` is that of every branch."""

    net: Netlist
    names: Names
    element: Indices
    before: BranchVolts

    def shares(self, flow: Floats, now: BranchVolts, *, of_rise: bool) -> tuple[CauseShare, ...]:
        """The shares of a fall (or, with ``of_rise``, of a rise) of a pair's voltage, the largest first.

        ``flow`` is the pair's column of ``unit_flows``.
        """
        u = np.where(self.element >= 0, flow[self.element], 0.0) * (-1.0 if of_rise else 1.0)
        by_resistance = u * np.nan_to_num(now.resistance_v - self.before.resistance_v)
        by_inductance = u * np.nan_to_num(now.inductance_v - self.before.inductance_v)
        found: dict[tuple[str, Cause], float] = {}
        kinds: dict[str, str] = {}
        for volts, inductive in ((by_resistance, False), (by_inductance, True)):
            for branch in np.flatnonzero(np.abs(volts) > SMALLEST_SHARE_V).tolist():
                row = int(self.element[branch])
                label = self.net.labels[row]
                by_ohm: Cause = "source" if self._is_source[row] else "resistance"
                key = label.element, "inductance" if inductive else by_ohm
                found[key] = found.get(key, 0.0) + float(volts[branch])
                kinds[label.element] = label.kind
        return self._sorted(found, kinds)

    def _sorted(
        self, found: Mapping[tuple[str, Cause], float], kinds: Mapping[str, str]
    ) -> tuple[CauseShare, ...]:
        shares = (
            CauseShare(element, self.names.element(element), kinds[element], cause, volts)
            for (element, cause), volts in found.items()
        )
        return tuple(sorted(shares, key=lambda one: (-one.share_v, one.element, one.cause)))

    @cached_property
    def _is_source(self) -> Sequence[bool]:
        network = self.net.network
        found = np.zeros(network.size, bool)
        for kind in SOURCE_KINDS:
            found[network.spans[kind]] = True
        marks: list[bool] = found.tolist()
        return marks

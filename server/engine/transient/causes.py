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
from itertools import groupby
from typing import NamedTuple

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.naming import Names
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint
from server.engine.shared_path import SourceNetwork
from server.engine.system import factorise, grounding
from server.engine.transient.answer import Cause, CauseShare
from server.engine.transient.branch_parts import branch_parts
from server.engine.transient.solution import TransientSolution
from server.units import Second

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


class Moment(NamedTuple):
    """An instant and the stretch it is read from: a switching ends one and starts another."""

    segment: int
    time_s: Second


@dataclass(frozen=True, eq=False)
class BranchVolts:
    """What makes up each branch's voltage (rows) at some moments (columns); the EMF left out."""

    moments: tuple[Moment, ...]
    resistance_v: Floats
    inductance_v: Floats

    @classmethod
    def of(cls, solution: TransientSolution, moments: Sequence[Moment]) -> "BranchVolts":
        """Read off a solved event; zero where no source reaches."""
        asked = tuple(sorted(set(moments)))
        by_ohm, by_henry = np.zeros((2, len(solution.circuit.branches), len(asked)))
        for number, here in groupby(range(len(asked)), key=lambda at: asked[at].segment):
            columns = np.array(list(here), np.intp)
            times = np.array([asked[at].time_s for at in columns.tolist()])
            found = branch_parts(solution.circuit, solution.segments[number], times)
            by_ohm[:, columns] = np.nan_to_num(found.resistance_v)
            by_henry[:, columns] = np.nan_to_num(found.inductance_v)
        return cls(asked, by_ohm, by_henry)

    def at(self, moment: Moment) -> tuple[Floats, Floats]:
        """Resistive and inductive volts of all branches at one of the moments."""
        column = self._columns[moment]
        return self.resistance_v[:, column], self.inductance_v[:, column]

    @cached_property
    def _columns(self) -> Mapping[Moment, int]:
        return {moment: column for column, moment in enumerate(self.moments)}


@dataclass(frozen=True, eq=False)
class Accounts:
    """Splits the change of a pair's voltage since before the press over the elements.

    ``element`` is that of every branch.
    """

    net: Netlist
    names: Names
    element: Indices
    volts: BranchVolts
    before: Moment

    def shares(self, flow: Floats, now: Moment, *, of_rise: bool) -> tuple[CauseShare, ...]:
        """The shares of a fall (or, with ``of_rise``, of a rise) of a pair's voltage, the largest first.

        ``flow`` is the pair's column of ``unit_flows``.
        """
        u = np.where(self.element >= 0, flow[self.element], 0.0) * (-1.0 if of_rise else 1.0)
        then, at_last = self.volts.at(self.before), self.volts.at(now)
        found: dict[tuple[str, Cause], float] = {}
        kinds: dict[str, str] = {}
        for inductive in (False, True):
            volts = u * (at_last[inductive] - then[inductive])
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

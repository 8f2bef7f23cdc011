"""The operating point: all voltages and currents of a network, exactly.

Nodal analysis (any textbook on circuits): with element lines i = g (v_tail - v_head + e), Kirchhoff's current
law reads A·diag(g)·Aᵀ·v = -A·(g e) - A·j, where j are the currents of loads that are no lines. The matrix is
symmetric positive definite because every source has a resistance and every island one ground.

Constant power enters through j = P/V. The iteration keeps one factorisation and contracts by about P Z/V²; it
comes down on the highest solution from above, so a load is called starved only where no running solution
is left. Where it contracts too slowly, Newton's method takes over.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.islands import Islands, islands
from server.engine.network import Network
from server.engine.pattern import Pattern
from server.engine.short_elements import merged_currents
from server.engine.states import Borders, Idle, Regulation, States, lines, next_states, starting_states
from server.engine.system import Factor, factorise, grounding
from server.units import Ampere, Volt, Watt

SETTLED = 1e-13
"""Relative error of the voltages at which the iteration stops."""
ROUNDING = 1e-9
"""Steps this small that no longer shrink are rounding, not error."""
SLOW = 0.5
"""A contraction above this calls for Newton's method."""
MOST_STEPS = 60
MOST_STATE_CHANGES = 200


@dataclass(frozen=True, eq=False)
class OperatingPoint:
    """Voltages, currents and states of a network.

    ``unsettled`` lists elements for which no consistent state or voltage was found; it is empty as a rule.
    ``starved`` loads (in ``states``) stand below their cut-out: they cannot run.
    """

    network: Network
    absent: Flags | None
    states: States
    conductance: Floats
    rise_v: Floats
    node_v: Floats
    current_a: Floats
    islands: Islands
    unfed: Flags
    unsettled: Indices
    state_changes: int

    @cached_property
    def element_v(self) -> Floats:
        """Voltage v_tail - v_head of every element.

        It is nan where a side is not connected to a source, and between islands: each has a zero of its own.
        """
        network, label = self.network, self.islands.label
        across = self.node_v[network.tail] - self.node_v[network.head]
        apart = label[network.solved_tail] != label[network.solved_head]
        return np.where(apart, np.nan, across)

    @cached_property
    def current_imbalance_a(self) -> Ampere:
        """Kirchhoff's law at the worst node: the sum of the currents that leave it."""
        network = self.network
        pattern = Pattern(network.nodes, network.tail, network.head)
        return float(np.abs(pattern.into_nodes(self.current_a)).max(initial=0.0))

    @cached_property
    def power_imbalance_w(self) -> Watt:
        """Tellegen's theorem: Σ v i over all elements, zero for exact figures."""
        power = np.where(np.isnan(self.element_v), 0.0, self.element_v * self.current_a)
        return float(abs(power.sum()))

    def voltage(self, element: int) -> Volt:
        """Voltage of one element."""
        return float(self.element_v[element])


def operating_point(
    network: Network,
    absent: Flags | None = None,
    relays: Flags | None = None,
    start: States | None = None,
) -> OperatingPoint:
    """Solve a network.

    ``absent`` marks elements taken out. ``relays``, where given, holds the combining relays as they are:
    at the
    first instant of a start they have had no time to move. Without it they settle from open. ``start`` are
    states to begin with, where good ones are known.
    """
    states = starting_states(network, relays) if start is None else start
    seen: set[bytes] = set()
    one_by_one = False
    for changes in range(MOST_STATE_CHANGES):
        point, starving = _solved(network, states, absent, changes)
        if starving.any():
            wanted = replace(states, starved=states.starved | starving)
        else:
            borders = Borders.at(network, point.node_v)
            idle = Idle.of(network, point.unfed, absent)
            wanted = next_states(network, states, borders, idle, relays_held=relays is not None)
        if wanted.key == states.key:
            return point
        seen.add(states.key)
        if wanted.key in seen and not one_by_one:
            one_by_one, seen = True, {states.key}
        chosen = states.first_change(wanted) if one_by_one else wanted
        if chosen.key in seen:
            break
        states = chosen
    return replace(point, unsettled=np.union1d(point.unsettled, _changed(network, point.states, wanted)))


def _changed(network: Network, states: States, wanted: States) -> Indices:
    """The elements whose states differ."""
    kinds = ("limited", "diodes", "relays", "loads")
    rows = zip(kinds, states.differ(wanted), strict=True)
    return np.concatenate([network.spans[kind].start + changed for kind, changed in rows])


def _solved(
    network: Network, states: States, absent: Flags | None, changes: int
) -> tuple[OperatingPoint, Flags]:
    """The point with every element on its line, and the loads that fell below their cut-out."""
    g, e = lines(network, states, absent)
    pieces = pieces_of(network, g, states, absent)
    system = System(network, g, e, grounding(network.pattern, g, pieces.ground))
    loads = RunningLoads.of(network, states, absent, pieces)
    v, converged, starving = _voltages(system, loads)
    j = loads.current(v, g, e)
    unsettled = np.zeros(0, np.intp)
    if not converged:
        unsettled = network.spans["loads"].start + np.flatnonzero(loads.running & loads.is_power)
    v = v - v[pieces.ground][pieces.label]
    v = np.where(pieces.node_fed, v, np.nan)[network.node_of]
    across = v[network.tail] - v[network.head]
    current = np.where(np.isnan(across) | (g == 0), 0.0, g * (across + e))
    current[network.spans["loads"]] += j
    if network.merged.any():
        current = merged_currents(network, current)
    point = OperatingPoint(network, absent, states, g, e, v, current, pieces, loads.unfed, unsettled, changes)
    return point, starving


def pieces_of(network: Network, g: Floats, states: States, absent: Flags | None) -> Islands:
    """The islands of a network whose elements have conductance ``g``."""
    at, tail = network.spans, network.solved_tail
    alive = np.zeros(network.size, bool)
    alive[at["sources"]] = True
    alive[at["limited"]] = states.limited != Regulation.BLOCKED
    if absent is not None:
        alive &= ~absent
    return islands(network.pattern.links(g), tail[alive], tail[at["sources"]])


@dataclass(frozen=True, eq=False)
class RunningLoads:
    """The loads that are not on a line, and the current each takes at a voltage."""

    network: Network
    running: Flags
    unfed: Flags
    is_power: Flags

    @classmethod
    def of(cls, network: Network, states: States, absent: Flags | None, pieces: Islands) -> "RunningLoads":
        """The loads that run: connected at both ends to one fed island, not absent, not starved."""
        span = network.spans["loads"]
        tail, head = network.solved_tail[span], network.solved_head[span]
        unfed = ~((pieces.label[tail] == pieces.label[head]) & pieces.node_fed[tail])
        running = ~unfed & ~states.starved
        if absent is not None:
            running &= ~absent[span]
        return cls(network, running, unfed, network.loads.is_power > 0)

    @cached_property
    def bends(self) -> bool:
        """Whether any running load is of constant power, so that one solution is not enough."""
        return bool((self.is_power & self.running).any())

    @cached_property
    def tail(self) -> Indices:
        """Tail node of every load after merging."""
        return self.network.solved_tail[self.network.spans["loads"]]

    @cached_property
    def head(self) -> Indices:
        """Head node of every load after merging."""
        return self.network.solved_head[self.network.spans["loads"]]

    def across(self, v: Floats) -> Floats:
        """Load voltages."""
        return v[self.tail] - v[self.head]

    def amount(self, v: Floats, g: Floats, e: Floats) -> Floats:
        """Amperes or watts of each load; a converter's input follows its output."""
        converters, amount = self.network.converters, self.network.loads.amount
        if not len(converters):
            return amount
        amount, at = amount.copy(), self.network.spans["limited"].start + converters.output
        across = v[self.network.solved_tail[at]] - v[self.network.solved_head[at]]
        out_w = np.maximum(-across * g[at] * (across + e[at]), 0.0)
        amount[converters.load] = out_w / converters.efficiency + converters.idle_w
        return amount

    def current(self, v: Floats, g: Floats, e: Floats) -> Floats:
        """Currents at node voltages ``v``; zero for loads that do not run."""
        amount = self.amount(v, g, e)
        power_a = amount / np.where(self.is_power, np.maximum(self.across(v), 1e-3), 1.0)
        return np.where(self.running, power_a, 0.0)

    def slope(self, v: Floats, g: Floats, e: Floats) -> Floats:
        """Rise of each load's current with its voltage: -P/V² for constant power."""
        slope = -self.amount(v, g, e) / np.maximum(self.across(v), 1e-3) ** 2
        return np.where(self.running & self.is_power, slope, 0.0)

    def into_nodes(self, current: Floats) -> Floats:
        """The load currents that leave each node."""
        nodes = self.network.nodes
        leaving, arriving = np.bincount(self.tail, current, nodes), np.bincount(self.head, current, nodes)
        return np.subtract(leaving, arriving, dtype=np.float64)


@dataclass(frozen=True, eq=False)
class System:
    """The linear part of a network in one set of states."""

    network: Network
    g: Floats
    e: Floats
    grounded: Floats

    def factor(self) -> Factor:
        """The factorised matrix."""
        return factorise(self.network.pattern.matrix(self.g, self.grounded))

    def newton_factor(self, slope: Floats) -> Factor:
        """The matrix with the loads' slopes, factorised; no longer definite."""
        steep = self.g.copy()
        steep[self.network.spans["loads"]] += slope
        return factorise(self.network.pattern.matrix(steep, self.grounded), definite=False)

    def imbalance(self, v: Floats) -> Floats:
        """Current that leaves each node through the linear elements."""
        pattern = self.network.pattern
        across = v[pattern.tail] - v[pattern.head]
        return pattern.into_nodes(self.g * (across + self.e)) + self.grounded * v


def _voltages(system: System, loads: RunningLoads) -> tuple[Floats, bool, Flags]:
    """Node voltages, whether they settled, and the loads that fell below their cut-out."""
    factor, g, e = system.factor(), system.g, system.e
    fixed = -system.network.pattern.into_nodes(g * e)
    fixed -= loads.into_nodes(np.where(loads.running & ~loads.is_power, system.network.loads.amount, 0.0))
    v, none = factor.solve(fixed), np.zeros(len(loads.running), bool)
    if not loads.bends:
        return v, True, none
    bent = np.flatnonzero(loads.is_power & loads.running)
    tail, head, cut_out = loads.tail[bent], loads.head[bent], system.network.loads.cut_out_v[bent]
    across, last = v[tail] - v[head], float(np.abs(v).max()) / SLOW
    while not (starving := across < cut_out).any():
        drawn = loads.amount(v, g, e)[bent] / np.maximum(across, 1e-3)
        leaving, arriving = np.bincount(tail, drawn, len(v)), np.bincount(head, drawn, len(v))
        new = factor.solve(fixed - leaving + arriving)
        step, size = float(np.abs(new - v).max()), float(np.abs(new).max())
        ratio = step / last
        v, last, across = new, step, new[tail] - new[head]
        if _is_settled(step, ratio, size):
            starving = across < cut_out
            break
        if not ratio <= SLOW:  # steps that are halved at least come to an end
            return newton(system, loads, v)
    none[bent] = starving
    return v, True, none


def _is_settled(step: Volt, ratio: float, size: Volt) -> bool:
    """Whether the steps to come, a geometric series, are below the wanted error or only rounding."""
    if ratio >= SLOW:
        return step <= ROUNDING * size
    return step * max(ratio, ROUNDING) <= SETTLED * size


def newton(system: System, loads: RunningLoads, v: Floats) -> tuple[Floats, bool, Flags]:
    """Newton's method: the matrix takes each load's slope anew at every step."""
    g, e = system.g, system.e
    cut_out = np.where(loads.running & loads.is_power, system.network.loads.cut_out_v, -np.inf)
    last = np.inf
    for _ in range(MOST_STEPS):
        starving = loads.across(v) < cut_out
        if starving.any():
            return v, True, starving
        wrong = system.imbalance(v) + loads.into_nodes(loads.current(v, g, e))
        try:
            change = system.newton_factor(loads.slope(v, g, e)).solve(-wrong)
        except RuntimeError:  # exactly singular: the tip of the curve, where the running solutions end
            break
        v = v + change
        step, size = float(np.abs(change).max()), float(np.abs(v).max())
        if step <= SETTLED * size or (step <= ROUNDING * size and step > SLOW * last):
            return v, True, loads.across(v) < cut_out
        last = step
    return v, False, np.zeros(len(cut_out), bool)

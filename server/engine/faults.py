"""Fault currents of a bolted short circuit: the highest a device must break, the lowest that must open it.

By Thévenin's theorem (any textbook on circuits): the open-circuit voltage between the two points over the
resistance seen from them, loads taken off. The two ends are computed apart because they are asked for
different reasons: the highest with batteries new, warm and full, conductors cold, joints good, every charging
source at its limit, and a return of no resistance; the lowest with batteries old, cold and half flat,
conductors hot, joints poor, by the load's own way out and back, and no charging source.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from scipy.sparse import coo_array

from server.boat.boat import Boat
from server.boat.modes import Conditions, Mode, PositionSetting, Running
from server.boat.parts import Alternator, Battery, Charger, Combiner, Contact, Outboard, Solar
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Level
from server.engine.islands import pieces
from server.engine.netlist import Netlist, netlist
from server.engine.netlist_rows import Terminal
from server.engine.network import SHORTEST_OHM
from server.engine.system import Factor, factorise
from server.engine.topology import Topology
from server.practice.assumptions import default
from server.practice.materials import temperature_ratio
from server.units import Ampere

End = Literal["highest", "lowest"]
PER_CENT = 100.0


def conditions_of(end: End) -> Conditions:
    """New, warm and full; or old, cold and half flat: the ends of the built-in assumptions."""
    charge, warmth, age = (
        default(key) for key in ("battery_state_of_charge", "battery_temperature", "battery_age_factor")
    )
    if end == "highest":
        return Conditions(
            state_of_charge=charge.high / PER_CENT, temperature_c=warmth.high, age_factor=age.low
        )
    return Conditions(state_of_charge=charge.low / PER_CENT, temperature_c=warmth.low, age_factor=age.high)


@dataclass(frozen=True, eq=False)
class FaultNetwork:
    """A boat in a mode without its loads, every figure at the end that matters."""

    boat: Boat
    mode: Mode
    end: End

    @cached_property
    def net(self) -> Netlist:
        """The network in the conditions of this end."""
        return netlist(self.boat, self.mode, conditions_of(self.end))

    @cached_property
    def node_of(self) -> Indices:
        """Every node as solved: merged where elements are too short (highest: the negative side too)."""
        merged = self.net.network.node_of
        if self.end == "lowest":
            return merged
        first = np.flatnonzero(self.negative)[:1]
        return np.where(self.negative, first, merged) if len(first) else merged

    @cached_property
    def negative(self) -> Flags:
        """Copper that reaches a battery's negative post and no positive one."""
        sources = self.net.network.sources
        metal = Topology(self.boat, self.net).metal
        negative: Flags = np.isin(metal, metal[sources.tail]) & ~np.isin(metal, metal[sources.head])
        return negative

    @cached_property
    def conductance(self) -> Floats:
        """Conductance of every element at this end, loads taken off.

        For the highest current relays have closed and isolators conduct without their forward drop; for the
        lowest both are open.
        """
        net, highest = self.net, self.end == "highest"
        network, spans = net.network, net.network.spans
        g = np.zeros(network.size)
        g[spans["resistors"]] = 1 / np.maximum(self._resistor_ohm, SHORTEST_OHM)
        g[spans["sources"]] = 1 / self._source_ohm
        g[spans["diodes"]] = 1 / network.diodes.ohm if highest else 0.0
        g[spans["relays"]] = 1 / network.relays.ohm if highest else 0.0
        g[network.merged] = 0.0
        return g

    @cached_property
    def _resistor_ohm(self) -> Floats:
        levels, used = self.net.figures.levels, self.net.figures.used
        values = np.array([self._end_of(level) for level in levels])
        for number, one in enumerate(used):
            if one is not None and one.key.startswith("conductor_temperature"):
                values[number] = self._copper
        ohm: Floats = (self.net.coefficient * values[self.net.figure_number]).sum(axis=1)
        return ohm

    @cached_property
    def _copper(self) -> float:
        """Copper's resistance over that at 20 °C: cold for the highest current, hot for the lowest."""
        if self.end == "highest":
            return temperature_ratio(default("fault_conductor_temperature_cold").value)
        return temperature_ratio(default("fault_conductor_temperature_hot").value)

    def _end_of(self, level: Level) -> float:
        """Resistances are low where the current shall be highest."""
        return level.low if self.end == "highest" else level.high

    @cached_property
    def _source_ohm(self) -> Floats:
        """Internal resistances; a maker's short-circuit figure goes before everything for the highest."""
        net, start = self.net, self.net.network.spans["sources"].start
        ohm = net.network.sources.ohm.copy()
        for row, figure, level in net.bands:
            if figure == "ohm" and start <= row < start + len(ohm):
                ohm[row - start] *= self._end_of(level) / level.value
        if self.end == "highest":
            batteries = {part.id: part for part in self.boat.parts if isinstance(part, Battery)}
            for row in range(len(ohm)):
                stated = batteries[net.labels[start + row].element].short_circuit_a
                if stated is not None:
                    ohm[row] = net.network.sources.emf_v[row] / stated
        return ohm

    @cached_property
    def _ends(self) -> tuple[Indices, Indices]:
        network = self.net.network
        return self.node_of[network.tail], self.node_of[network.head]

    @cached_property
    def _piece(self) -> Indices:
        """Nodes of one number are joined by elements, as solved."""
        tail, head = self._ends
        joined = self.conductance > 0
        return pieces(self.net.network.nodes, tail[joined], head[joined])

    @cached_property
    def ground(self) -> Indices:
        """The zero of each piece that a battery feeds: for the highest current the negative side."""
        if self.end == "highest":
            return np.unique(self.node_of[self.negative])
        posts = self.node_of[self.net.network.sources.tail]
        _, first = np.unique(self._piece[posts], return_index=True)
        grounds: Indices = posts[first]
        return grounds

    @cached_property
    def _reached(self) -> Flags:
        """Nodes that a battery feeds, as solved."""
        reached: Flags = np.isin(self._piece, self._piece[self.ground])
        return reached

    @cached_property
    def _factor(self) -> tuple[Factor, Indices]:
        """The factorised matrix of the reached nodes but the grounds, and where each node stands in it."""
        nodes = self.net.network.nodes
        kept = self._reached & (self.node_of == np.arange(nodes))
        kept[self.ground] = False
        place = np.full(nodes, -1, np.intp)
        place[kept] = np.arange(int(kept.sum()))
        tail, head = (place[ends] for ends in self._ends)
        g = self.conductance
        rows, columns, values = [], [], []
        for a, b, sign in ((tail, tail, 1), (head, head, 1), (tail, head, -1), (head, tail, -1)):
            stands = (a >= 0) & (b >= 0) & (g > 0)
            rows.append(a[stands])
            columns.append(b[stands])
            values.append(sign * g[stands])
        size = int(kept.sum())
        matrix = coo_array(
            (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(size, size)
        ).tocsc()
        return factorise(matrix), place

    @cached_property
    def open_circuit_v(self) -> Floats:
        """Node voltages with nothing connected, each island against its own zero; nan where not reached."""
        network, (factor, place) = self.net.network, self._factor
        injected = np.zeros(network.nodes)
        sources, at = network.sources, network.spans["sources"]
        driven = sources.emf_v * self.conductance[at]
        np.add.at(injected, self.node_of[sources.head], driven)
        np.add.at(injected, self.node_of[sources.tail], -driven)
        if self.end == "highest":
            limited = network.limited
            on = ~self.net.off[network.spans["limited"]]
            np.add.at(injected, self.node_of[limited.head], np.where(on, limited.limit_a, 0.0))
            np.add.at(injected, self.node_of[limited.tail], np.where(on, -limited.limit_a, 0.0))
        return self._spread(factor.solve(injected[place >= 0]), place)

    def _spread(self, solved: Floats, place: Indices) -> Floats:
        """Solved values at all nodes: zero at the grounds, nan where no battery reaches."""
        at = place[self.node_of]
        spread: Floats = np.where(at >= 0, np.append(solved, 0.0)[at], 0.0)
        spread[~self._reached[self.node_of]] = np.nan
        return spread

    def currents(self, plus: Indices, minus: Indices) -> Floats:
        """Currents of bolted short circuits, each alone, between pairs of nodes; 0 where nothing feeds."""
        ohm, volts = self.thevenin(plus, minus)
        fed = ~np.isnan(volts) & (ohm > 0)
        return np.divide(np.abs(volts), ohm, out=np.zeros(len(ohm)), where=fed)

    def thevenin(self, plus: Indices, minus: Indices) -> tuple[Floats, Floats]:
        """Resistance seen and open-circuit voltage between pairs of nodes; nan where nothing feeds them."""
        _, place = self._factor
        p, m, pair = self.node_of[plus], self.node_of[minus], np.arange(len(plus))
        solved, volts = self._unit_solved(plus, minus), self.open_circuit_v
        ohm = solved[place[p], pair] - solved[place[m], pair]
        across = volts[p] - volts[m]
        return np.where(np.isnan(across), np.nan, ohm), across

    def unit_volts(self, plus: Indices, minus: Indices) -> Floats:
        """Voltages of all nodes (rows) while 1 A goes in at plus and out at minus, for each pair (columns).

        Against the zero of each piece; 0 where no battery reaches.
        """
        _, place = self._factor
        volts: Floats = self._unit_solved(plus, minus)[place[self.node_of]]
        return volts

    def _unit_solved(self, plus: Indices, minus: Indices) -> Floats:
        """The same for the rows of the matrix alone; a last row of noughts stands for the zeros."""
        factor, place = self._factor
        pair = np.arange(len(plus))
        unit = np.zeros((int((place >= 0).sum()) + 1, len(pair)), order="F")
        np.add.at(unit, (place[self.node_of[plus]], pair), 1.0)
        np.add.at(unit, (place[self.node_of[minus]], pair), -1.0)
        return np.vstack([factor.solve(np.asfortranarray(unit[:-1])), np.zeros(len(pair))])


def highest_fault_a(
    boat: Boat, mode: Mode, terminals: Iterable[Terminal] | None = None
) -> Mapping[Terminal, Ampere]:
    """The highest current of a bolted short circuit at ungrounded terminals, back without any resistance.

    Of all of them where none are named; terminals of the negative side are left out.
    """
    faults = FaultNetwork(boat, mode, "highest")
    nodes = faults.net.nodes
    asked = nodes if terminals is None else terminals
    live = {one: int(faults.node_of[nodes[one]]) for one in asked if not faults.negative[nodes[one]]}
    at = np.unique(np.fromiter(live.values(), np.intp))
    if not len(faults.ground):
        return dict.fromkeys(live, 0.0)
    amps = faults.currents(at, np.repeat(faults.ground, len(at)))
    return {terminal: float(amps[np.searchsorted(at, node)]) for terminal, node in live.items()}


def lowest_fault_a(boat: Boat, mode: Mode) -> Mapping[Terminal, Ampere]:
    """The lowest current of a bolted short circuit at the terminals of every load's input."""
    faults = FaultNetwork(boat, mode, "lowest")
    network, rows = faults.net.network, np.fromiter(faults.net.inputs.values(), np.intp)
    amps = faults.currents(network.tail[rows], network.head[rows])
    return dict(zip(faults.net.inputs, amps.tolist(), strict=True))


def most_joined(boat: Boat) -> Mode:
    """A mode with every contact where it joins most, relays closed, all sources on: what feeds a fault most.

    Where several positions join equally many pairs the first is taken.
    """
    positions = [
        PositionSetting(part=part.id, position=max(part.positions, key=lambda one: len(one.closed)).id)
        if isinstance(part, Contact)
        else PositionSetting(part=part.id, position="closed")
        for part in boat.parts
        if isinstance(part, (Contact, Combiner))
    ]
    sources = (Alternator, Charger, Solar, Outboard)
    on = [Running(part=part.id) for part in boat.parts if isinstance(part, sources)]
    return Mode(id="most-joined", name="Everything joined", positions=tuple(positions), on=tuple(on))

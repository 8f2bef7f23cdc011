"""How the inputs of an event stand to its heavy load, for all of them at once.

The network between sources and loads is reciprocal: what an ampere drawn at one port does to another, an
ampere drawn there does to the first. One solution from the heavy load's side, or from an element's, so
answers for every input; only the whole split of a sag needs a solution for the input itself.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.answer import CommonWire
from server.engine.arrays import Flags, Floats, Indices
from server.engine.solution import EventSolution

LARGELY = 0.5
"""A wire is called common to an input and the heavy load if it carries more than half of either's current."""
SMALLEST_LOSS_V = 1e-3
"""A wire in which an input loses less in an event is left out."""


@dataclass(frozen=True, eq=False)
class EventPorts:
    """The inputs of an event, seen from the heavy load, from the batteries and from single wires."""

    solved: EventSolution

    @cached_property
    def is_fed(self) -> bool:
        """Whether a source reaches the heavy load."""
        return bool(self.solved.source_network.reaches(self._heavy)[0])

    @cached_property
    def transfer_ohm(self) -> Floats:
        """Volts lost at each input per ampere that the heavy load draws; zero where they share no island."""
        if not self.is_fed:
            return np.zeros(len(self.solved.elements))
        transfer = self._lost(self._heavy, np.ones((1, 1)))[:, 0]
        return np.where(self._reached, transfer, 0.0)

    @cached_property
    def floor_v(self) -> Floats:
        """What the posts of the batteries that feed each input offer it; nan where no source feeds it.

        In a string the voltages add up; batteries side by side count by their share of the load's current.
        """
        network, g = self.solved.present.network, self.solved.source_network.conductance
        rows = np.arange(network.size)[network.spans["sources"]]
        rows = rows[g[rows] > 0]
        volts = -self.solved.present.element_v[rows]
        floor = -self._lost(rows, (g[rows] * volts)[:, None])[:, 0]
        return np.where(self._reached, floor, np.nan)

    @cached_property
    def common_wires(self) -> tuple[tuple[CommonWire, ...], ...]:
        """For each input the wires that carry most of its current and most of the heavy load's, one way.

        Those in which it loses most come first.
        """
        rows = self._main_wires
        if not len(rows):
            return ((),) * len(self.solved.elements)
        g = self.solved.source_network.conductance[rows]
        carried = -g * self._lost(rows, np.eye(len(rows)))
        change = self.solved.present.element_v[rows] - self.solved.absent.element_v[rows]
        lost = carried * np.nan_to_num(change)
        heavy = self._heavy_currents[rows]
        with_heavy = carried * np.sign(heavy)
        names = [self.solved.net.labels[row].element for row in rows.tolist()]
        told = (with_heavy > LARGELY) & (np.abs(lost) > SMALLEST_LOSS_V)
        found: list[list[CommonWire]] = [[] for _ in range(len(told))]
        for column, at in np.argwhere(told).tolist():
            share, of_load = float(lost[column, at]), float(with_heavy[column, at])
            found[column].append(CommonWire(names[at], share, of_load, abs(float(heavy[at]))))
        return tuple(tuple(sorted(one, key=lambda wire: (-wire.share_v, wire.element))) for one in found)

    @cached_property
    def _heavy(self) -> Indices:
        return np.array([self.solved.heavy_element], np.intp)

    @cached_property
    def _reached(self) -> Flags:
        return self.solved.source_network.reaches(self.solved.elements)

    @cached_property
    def _heavy_currents(self) -> Floats:
        currents: Floats = self.solved.source_network.unit_currents(self._heavy)[:, 0]
        return currents

    @cached_property
    def _main_wires(self) -> Indices:
        """The wires that carry most of the heavy load's current."""
        if not self.is_fed:
            return np.zeros(0, np.intp)
        labels = self.solved.net.labels
        rows = np.flatnonzero(np.abs(self._heavy_currents) > LARGELY).tolist()
        return np.array([row for row in rows if labels[row].kind == "wire"], np.intp)

    def _lost(self, elements: Indices, amperes: Floats) -> Floats:
        """Volts lost at each input (row) for sets of currents drawn at some elements (columns)."""
        network = self.solved.present.network
        rhs = np.zeros((network.nodes, amperes.shape[1]), order="F")
        np.add.at(rhs, network.solved_tail[elements], -amperes)
        np.add.at(rhs, network.solved_head[elements], amperes)
        v = self.solved.source_network.factor.solve(rhs)
        at = self.solved.elements
        lost: Floats = v[network.solved_head[at]] - v[network.solved_tail[at]]
        return lost

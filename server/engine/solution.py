"""A mode and its events, solved: the numbers from which all answers are read."""

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import starmap

import numpy as np

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.modes import Conditions, Event, Mode
from server.boat.parts import AnyPart
from server.engine.answer import Band
from server.engine.arrays import Flags, Indices
from server.engine.bands import Uncertain
from server.engine.linearised import Linearised
from server.engine.naming import Names
from server.engine.netlist import Netlist, netlist
from server.engine.netlist_rows import Terminal
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.places import Places
from server.engine.shared_path import SagSplit, SourceNetwork, sag_split
from server.engine.sites import Grounds
from server.engine.topology import Topology


class UnknownModeError(LookupError):
    """The boat has no such mode, event or input."""


@dataclass(frozen=True, eq=False)
class EventSolution:
    """The first instant of a heavy load's start, beside the same mode without that load.

    Combining relays stand as they stood before: they take seconds to move.
    """

    event: Event
    net: Netlist
    absent: OperatingPoint
    present: OperatingPoint

    @property
    def heavy(self) -> Terminal:
        """Part and input that start."""
        return self.event.heavy.part, self.event.heavy.input

    @cached_property
    def heavy_element(self) -> int:
        """The element that stands for the heavy load at the first instant."""
        return self.net.stalled[self.heavy]

    @cached_property
    def inputs(self) -> tuple[Terminal, ...]:
        """The inputs on and fed, before and while the heavy load starts; itself left out, coils too."""
        off = self.present.absent
        return tuple(
            key
            for key, element in self.net.inputs.items()
            if (off is None or not off[element])
            and self.net.labels[element].kind != "coil"
            and not np.isnan(self.absent.element_v[element])
            and not np.isnan(self.present.element_v[element])
        )

    @cached_property
    def elements(self) -> Indices:
        """The elements of ``inputs``."""
        return np.array([self.net.inputs[key] for key in self.inputs], np.intp)

    def split_of(self, elements: Indices) -> SagSplit:
        """The sag of some inputs, by their elements, and what each element of the network adds to it."""
        return sag_split(self.absent, self.present, elements, self.heavy_element)

    @cached_property
    def source_network(self) -> SourceNetwork:
        """The network without the heavy load, between sources and loads."""
        return SourceNetwork(self.absent)

    @cached_property
    def linear(self) -> Linearised:
        """The network of the first instant, linearised."""
        return Linearised(self.present)

    @cached_property
    def absent_linear(self) -> Linearised:
        """The network without the heavy load, linearised."""
        return Linearised(self.absent)

    @cached_property
    def uncertain(self) -> Uncertain:
        """Its uncertain figures."""
        return Uncertain.of(self.net, self.present)

    @cached_property
    def lowest(self) -> tuple[Band, ...]:
        """The voltage of every input with its band."""
        volts = self.present.element_v[self.elements]
        below, above = self.uncertain.widths(self.linear, self.elements)
        ends = (volts - below).tolist(), volts.tolist(), (volts + above).tolist()
        return tuple(starmap(Band, zip(*ends, strict=True)))


@dataclass(frozen=True, eq=False)
class Solution:
    """A boat in one mode."""

    boat: Boat
    mode: Mode

    @classmethod
    def of(cls, boat: Boat, mode_id: str) -> "Solution":
        """The solution of a mode by its id.

        Raises:
            UnknownModeError: the boat has no such mode.
        """
        for kept in tuple(_RECENT):
            if kept.boat is boat and kept.mode.id == mode_id:
                return kept
        mode = next((mode for mode in boat.modes if mode.id == mode_id), None)
        if mode is None:
            raise UnknownModeError(f"no mode “{mode_id}”")
        solution = cls(boat, mode)
        _RECENT.append(solution)
        return solution

    @cached_property
    def parts(self) -> Mapping[str, AnyPart]:
        """The parts by id."""
        return {part.id: part for part in self.boat.parts}

    @cached_property
    def net(self) -> Netlist:
        """The mode's network in its own conditions."""
        return netlist(self.boat, self.mode)

    @cached_property
    def topology(self) -> Topology:
        """What is joined to what."""
        return Topology(self.boat, self.net)

    @cached_property
    def steady(self) -> OperatingPoint:
        """The steady state of the mode."""
        return operating_point(self.net.network, self.net.off)

    @cached_property
    def steady_linear(self) -> Linearised:
        """The steady network, linearised."""
        return Linearised(self.steady)

    @cached_property
    def places(self) -> Places:
        """The places where leads may land."""
        return Places(self.boat)

    @cached_property
    def grounds(self) -> Grounds:
        """Where they may land in this mode."""
        return Grounds(self.topology, self.places)

    @cached_property
    def names(self) -> Names:
        """What things are called."""
        return Names(self.boat)

    @cached_property
    def source_network(self) -> SourceNetwork:
        """The steady network between sources and loads."""
        return SourceNetwork(self.steady)

    @cached_property
    def inputs(self) -> tuple[Terminal, ...]:
        """All inputs of all loads, on or off."""
        return tuple(self.net.inputs)

    @cached_property
    def elements(self) -> Indices:
        """The elements of ``inputs``."""
        return np.array([self.net.inputs[key] for key in self.inputs], np.intp)

    @cached_property
    def events(self) -> tuple[Event, ...]:
        """The events of this mode."""
        return tuple(event for event in events_of(self.boat) if event.mode == self.mode.id)

    def event(self, event_id: str) -> EventSolution:
        """One event solved.

        Raises:
            UnknownModeError: the mode has no such event.
        """
        if event_id not in self._solved:
            self._solved[event_id] = self._solve(event_id)
        return self._solved[event_id]

    def _solve(self, event_id: str) -> EventSolution:
        found = next((event for event in self.events if event.id == event_id), None)
        if found is None:
            raise UnknownModeError(f"mode “{self.mode.id}” has no event “{event_id}”")
        net = self.net_for(found.conditions)
        without, with_heavy = event_states(net, (found.heavy.part, found.heavy.input))
        absent = operating_point(net.network, without)
        start = absent.states
        present = operating_point(net.network, with_heavy, start.relays, start)
        return EventSolution(found, net, absent, present)

    def solved_events(self, chosen: tuple[str, ...] | None = None) -> Iterator[EventSolution]:
        """The chosen events solved; all of the mode where none is chosen."""
        for event in self.events:
            if chosen is None or event.id in chosen:
                yield self.event(event.id)

    def net_for(self, conditions: Conditions | None) -> Netlist:
        """The network in an event's conditions."""
        if conditions is None:
            return self.net
        key = conditions.model_dump_json()
        if key not in self._nets:
            self._nets[key] = netlist(self.boat, self.mode, conditions)
        return self._nets[key]

    @cached_property
    def _solved(self) -> dict[str, EventSolution]:
        return {}

    @cached_property
    def _nets(self) -> dict[str, Netlist]:
        return {}

    def nominal_v(self, part: AnyPart) -> float:
        """Nominal voltage of a part's island."""
        return self.boat.nominal_voltage_v if part.island is None else self._island_v[part.island]

    @cached_property
    def _island_v(self) -> Mapping[str, float]:
        return {island.id: island.nominal_voltage_v for island in self.boat.islands}


_RECENT: deque[Solution] = deque(maxlen=12)
"""Solutions of boats still held by someone: a frozen boat has only one, so this changes no answer."""


def event_states(net: Netlist, heavy: Terminal) -> tuple[Flags, Flags]:
    """What is out of the circuit without and with a heavy load's start.

    Its running element is out of both, except for an outboard, where that is the electronics beside the
    starter.
    """
    without = net.off.copy()
    running = net.inputs[heavy]
    without[running] = net.labels[running].kind != "outboard"
    with_heavy = without.copy()
    with_heavy[net.stalled[heavy]] = False
    return without, with_heavy

"""Short circuits and the devices before them in one mode, worked out once for all checks that ask."""

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.modes import Mode
from server.checks.feeds import Between, Device, between, devices_of, feeding, feeds_into, pieces
from server.checks.paths import Node, Paths, Pieces, node, source_posts
from server.engine.answer import ModeAnswer
from server.engine.fault_ways import FaultWays, OnWay
from server.engine.faults import highest_fault_a, most_joined
from server.practice.time_current import NEVER, Band, BandPoint, any_band, class_band
from server.units import Ampere


@dataclass(frozen=True, slots=True)
class Protected:
    """A wire, the largest device that feeds it, and the lowest and highest fault it may see."""

    conductor: Conductor
    device: Device
    rating_a: Ampere
    lowest_a: Ampere
    highest_a: Ampere


@dataclass(frozen=True, eq=False)
class Shorts:
    """A boat in a mode, its copper between devices, and the currents of short circuits."""

    boat: Boat
    mode: Mode

    @classmethod
    def of(cls, boat: Boat, answer: ModeAnswer) -> "Shorts":
        """Those of the mode that was answered, the same ones again while they are in use."""
        mode = next(mode for mode in boat.modes if mode.id == answer.mode)
        for kept in tuple(_RECENT):
            if kept.boat is boat and kept.mode is mode:
                return kept
        shorts = cls(boat, mode)
        _RECENT.append(shorts)
        return shorts

    @cached_property
    def piece(self) -> Pieces:
        """Every terminal's piece of copper, with all fuses and breakers taken out."""
        return pieces(Paths.of(self.boat, self.mode))

    @cached_property
    def devices(self) -> tuple[Device, ...]:
        """Every fuse and breaker."""
        return devices_of(self.boat)

    @cached_property
    def joins(self) -> list[Between]:
        """Each device with the pieces that it joins."""
        return between(self.devices, self.piece)

    @cached_property
    def sources(self) -> set[int]:
        """The pieces with a source of their own."""
        return {self.piece[post] for _, post in source_posts(self.boat, "positive")}

    @cached_property
    def feeds(self) -> tuple[tuple[Device, int, int], ...]:
        """Each device with a piece that it feeds, and the piece from which."""
        return tuple(feeds_into(self.joins, self.sources))

    @cached_property
    def fed(self) -> Mapping[int, Device]:
        """For every other piece the largest device through which a source feeds it."""
        return feeding(self.joins, self.sources)

    @cached_property
    def highest(self) -> Mapping[Node, Ampere]:
        """The highest fault right behind each device; behind one that stands alone whichever end that is."""
        ends = [device.load for device in self.devices]
        ends += [device.line for device in self.devices if device.line[1] == "line"]
        return highest_fault_a(self.boat, most_joined(self.boat), ends)

    @cached_property
    def _fault_ways(self) -> FaultWays:
        return FaultWays(self.boat, self.mode)

    @cached_property
    def ways(self) -> tuple[OnWay, ...]:
        """The conductors on the way of every load, out and back."""
        return tuple(self._fault_ways.ways())

    @cached_property
    def devices_on_way(self) -> frozenset[tuple[str, Node]]:
        """The devices that most of each load's current runs through."""
        return self._fault_ways.devices()

    @cached_property
    def wires(self) -> Mapping[str, Conductor]:
        """The wires with both ends landed, by id."""
        wires = (one for one in self.boat.conductors if one.kind == "wire")
        return {one.id: one for one in wires if one.tail is not None and one.head is not None}

    def piece_of(self, wire: Conductor) -> int:
        """The piece that a landed wire belongs to."""
        return -1 if wire.tail is None else self.piece[node(wire.tail)]

    @cached_property
    def lowest(self) -> Mapping[str, Ampere]:
        """The lowest fault that runs through each wire and that its own device has to open.

        The fault sits at the far end of the last wire on a load's way before the next device.
        """
        ends: dict[tuple[int, Node], Ampere] = {}
        outward = [(one, self.piece_of(self.wires[one.conductor])) for one in self.ways if not one.is_return]
        for one, piece in outward:
            ends[piece, one.load] = min(ends.get((piece, one.load), one.fault_a), one.fault_a)
        lowest: dict[str, Ampere] = {}
        for one, piece in outward:
            amps = ends[piece, one.load]
            lowest[one.conductor] = min(lowest.get(one.conductor, amps), amps)
        return lowest

    def protected(self) -> Iterator[Protected]:
        """Every wire on a load's way with the device that has to protect it, where its rating is stated."""
        for name, lowest_a in self.lowest.items():
            wire = self.wires[name]
            device = self.fed.get(self.piece_of(wire))
            if device is not None and device.rating_a is not None:
                ends = [
                    end for end in (device.line, device.load) if self.piece.get(end) == self.piece_of(wire)
                ]
                highest_a = max((self.highest.get(end, 0.0) for end in ends), default=0.0)
                yield Protected(wire, device, device.rating_a, lowest_a, max(highest_a, lowest_a))


_RECENT: deque[Shorts] = deque(maxlen=8)
"""Asked for last: a frozen boat has only one in a mode, so this changes no answer."""


def band_of(device: Device) -> Band:
    """The time-current band of a device: its own where one was entered, else its class's."""
    figures = device.figures
    if figures is not None and figures.curve:
        points = tuple(
            BandPoint(one.multiple, one.shortest_s, NEVER if one.longest_s is None else one.longest_s)
            for one in figures.curve
        )
        return Band(points, figures.curve_source or "time-current curve as entered", is_assumed=False)
    if figures is not None and figures.device_class is not None:
        return class_band(figures.device_class) or any_band()
    return any_band()

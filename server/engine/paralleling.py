"""The current between banks at the first instant after a switch has joined them.

With nothing else connected it is, for two banks, the difference of their open-circuit voltages over the
resistance of the loop (any textbook on circuits); here it comes from the solution of the whole network, so
strings, several banks and every joint count.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.boat.modes import Conditions, Mode, PositionSetting
from server.boat.parts import Battery
from server.engine.arrays import Indices
from server.engine.faults import PER_CENT
from server.engine.netlist import Netlist, netlist
from server.engine.netlist_batteries import is_unknown
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.switching import Positions, Switching
from server.engine.topology import Topology
from server.practice.assumptions import default
from server.units import Ampere, Volt

LEAST_A: Ampere = 1e-6
"""Less than this is rounding."""


@dataclass(frozen=True, slots=True)
class Paralleling:
    """Banks joined by a turn, and what flows between them before anything else is on.

    ``groups`` are the sets of batteries that were apart, ``from_group`` those that discharge. ``rest_v`` are
    the voltages of the groups before. ``current_a`` flows as the batteries are stated, ``worst_a`` with one
    group full and another as low as is assumed, new and warm; ``through_a`` is the worst current in every
    part and conductor. ``unknown`` names batteries of which nothing tells the resistance.
    """

    groups: tuple[frozenset[str], ...]
    rest_v: tuple[Volt, ...]
    from_group: frozenset[str]
    current_a: Ampere
    worst_a: Ampere
    through_a: Mapping[str, Ampere]
    worst_through_a: Mapping[str, Ampere]
    unknown: tuple[str, ...]


def joined_groups(
    switching: Switching, before: Positions, after: Positions
) -> tuple[tuple[frozenset[str], ...], ...]:
    """For each group of batteries side by side after a turn: what it was made of, where that was apart."""
    were = switching.state(before).side_by_side
    found = []
    for group in sorted(switching.state(after).side_by_side, key=sorted):
        parts = tuple(sorted((one for one in were if one <= group), key=sorted))
        if len(parts) > 1:
            found.append(parts)
    return tuple(found)


def paralleling(
    switching: Switching, before: Positions, after: Positions, groups: tuple[frozenset[str], ...]
) -> Paralleling:
    """What flows between groups of batteries that a turn joins."""
    at_rest = _Rest(switching.boat, _mode(switching, before), None)
    joined = _Rest(switching.boat, _mode(switching, after), None)
    out = {group: joined.given_a(group) for group in groups}
    full, low = _charges()
    worst = max(
        (
            _Rest(_charged(switching.boat, group, full, low), _mode(switching, after), _new_and_warm())
            for group in groups
        ),
        key=lambda one: one.between_a(groups),
    )
    every = frozenset().union(*groups)
    return Paralleling(
        groups=groups,
        rest_v=tuple(at_rest.voltage(group) for group in groups),
        from_group=max(groups, key=out.__getitem__),
        current_a=joined.between_a(groups),
        worst_a=worst.between_a(groups),
        through_a=joined.through_a,
        worst_through_a=worst.through_a,
        unknown=tuple(
            part.name
            for part in switching.boat.parts
            if isinstance(part, Battery) and part.id in every and is_unknown(part)
        ),
    )


def _mode(switching: Switching, positions: Positions) -> Mode:
    """The mode with the battery switches as told and nothing on."""
    switches = {one.id: at for one, at in zip(switching.switches, positions, strict=True)}
    others = tuple(one for one in switching.mode.positions if one.part not in switches)
    settings = tuple(PositionSetting(part=part, position=at) for part, at in switches.items())
    return switching.mode.model_copy(update={"positions": (*others, *settings), "on": ()})


def _charges() -> tuple[float, float]:
    charge = default("battery_state_of_charge")
    return charge.high / PER_CENT, charge.low / PER_CENT


def _new_and_warm() -> Conditions:
    return Conditions(
        temperature_c=default("battery_temperature").high, age_factor=default("battery_age_factor").low
    )


def _charged(boat: Boat, some: frozenset[str], full: float, low: float) -> Boat:
    """The boat with some batteries full and all others low."""
    parts = tuple(
        part.model_copy(update={"state_of_charge": full if part.id in some else low, "rest_voltage_v": None})
        if isinstance(part, Battery)
        else part
        for part in boat.parts
    )
    return boat.model_copy(update={"parts": parts})


@dataclass(frozen=True, eq=False)
class _Rest:
    """A boat with nothing on, all relays open."""

    boat: Boat
    mode: Mode
    conditions: Conditions | None

    @cached_property
    def net(self) -> Netlist:
        return netlist(self.boat, self.mode, self.conditions)

    @cached_property
    def point(self) -> OperatingPoint:
        network = self.net.network
        absent = np.zeros(network.size, bool)
        for kind in ("limited", "resistive", "loads", "diodes", "relays"):
            absent[network.spans[kind]] = True
        return operating_point(network, absent, np.zeros(len(network.relays), bool))

    @cached_property
    def batteries(self) -> Mapping[str, int]:
        """The element of each battery."""
        at = self.net.network.spans["sources"]
        return {self.net.labels[row].element: row for row in range(at.start, at.stop)}

    @cached_property
    def metal(self) -> Indices:
        """The piece of copper of every node."""
        return Topology(self.boat, self.net).metal

    def tops(self, group: frozenset[str]) -> list[int]:
        """The elements of the batteries at the positive ends of a group's strings."""
        network, rows = self.net.network, [self.batteries[name] for name in group]
        inner = {self.metal[network.tail[row]] for row in rows}
        return [row for row in rows if self.metal[network.head[row]] not in inner]

    def bottoms(self, group: frozenset[str]) -> list[int]:
        """The elements of the batteries at the negative ends of a group's strings."""
        network, rows = self.net.network, [self.batteries[name] for name in group]
        inner = {self.metal[network.head[row]] for row in rows}
        return [row for row in rows if self.metal[network.tail[row]] not in inner]

    def given_a(self, group: frozenset[str]) -> Ampere:
        """What a group of batteries gives, less what it takes: at the positive ends of its strings."""
        return float(self.point.current_a[self.tops(group)].sum())

    def between_a(self, groups: tuple[frozenset[str], ...]) -> Ampere:
        """What flows from the groups that give to those that take."""
        return sum(max(self.given_a(group), 0.0) for group in groups)

    def voltage(self, group: frozenset[str]) -> Volt:
        """The voltage between the ends of a group's strings, the mean of them."""
        network, v = self.net.network, self.point.node_v
        top, bottom = v[network.head[self.tops(group)]], v[network.tail[self.bottoms(group)]]
        return float(top.mean() - bottom.mean())

    @cached_property
    def through_a(self) -> Mapping[str, Ampere]:
        """The current in every part and conductor that carries any."""
        amps = abs(self.point.current_a)
        found = {name: float(max(amps[row] for row in rows)) for name, rows in self.net.rows_of.items()}
        return {name: current for name, current in found.items() if current > LEAST_A}

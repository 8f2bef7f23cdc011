"""A boat fed by a published starting profile: the wave stands at the posts of every battery, in its place.

Batteries of a series string take their part of the wave by their nominal voltage. Whatever charges is off,
and so is every heavy load: the wave is what an engine's start leaves of the supply, on a test bench.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.boat.parts import Battery
from server.engine.arrays import Flags, Indices
from server.engine.figures import Level
from server.engine.netlist import Netlist
from server.engine.netlist_batteries import BatterySource
from server.engine.network import Network
from server.engine.operating_point import operating_point
from server.engine.solution import EventSolution, Solution
from server.engine.transient.circuit import TransientCircuit, TransientError
from server.engine.transient.draw import NOMINAL, Draw
from server.engine.transient.followed_part import Followed
from server.engine.transient.profiles import LEVELS, profile_wave
from server.engine.transient.supply import Supply
from server.engine.transient.unpressed import UnpressedModel, heavy_out, without_heavy
from server.engine.transient.waves import Wave
from server.practice.supply import StartingLevel, StartingProfile, starting_profile
from server.units import Ohm, Ratio, Second, Volt

POST_OHM: Ohm = 1e-6
"""The wave stands behind this: a hundred amperes move it by 0.1 mV."""
AFTERWARDS_S: Second = 0.5
"""How long to look on after the profile's end."""


@dataclass(frozen=True, slots=True)
class Post:
    """What stands in the place of one battery: its part of the profile of its island's voltage."""

    system_v: Volt
    share: Ratio
    profile: StartingProfile

    @property
    def wave(self) -> Wave:
        """The whole wave of the system voltage."""
        return profile_wave(self.profile, self.system_v)


def levels_for(boat: Boat) -> tuple[StartingLevel, ...]:
    """The levels with a verified profile for the system voltage of every battery."""
    systems = {_system_v(boat, part) for part in boat.parts if isinstance(part, Battery)}
    return tuple(level for level in LEVELS if systems and all(_verified(one, level) for one in systems))


def _system_v(boat: Boat, part: Battery) -> Volt:
    islands = {island.id: island.nominal_voltage_v for island in boat.islands}
    return boat.nominal_voltage_v if part.island is None else islands[part.island]


def _verified(system_v: Volt, level: StartingLevel) -> StartingProfile | None:
    found = starting_profile(system_v, level)
    return found if found is not None and found.status == "verified" else None


@dataclass(frozen=True, eq=False)
class FedSolution(EventSolution):
    """A mode fed by a starting profile: ``absent`` before it, ``present`` held at its lowest voltage."""

    level: StartingLevel
    posts: tuple[Post, ...]

    @classmethod
    def of(cls, solution: Solution, level: StartingLevel) -> "FedSolution":
        """A mode of a boat, fed.

        Raises:
            TransientError: some battery's system voltage has no verified profile of this level.
        """
        net = solution.net
        posts = tuple(_posts(solution, level))
        out = _left_out(net)
        rested = _with_posts(net, out, [one.share * one.system_v for one in posts])
        lowest = _with_posts(net, out, [one.share * one.profile.lowest_v for one in posts])
        before = operating_point(rested.network, out)
        held = operating_point(lowest.network, out, before.states.relays, before.states)
        name = f"ISO 16750-2 starting profile, level {level}"
        return cls(without_heavy(solution, name), rested, before, held, level, posts)


def _posts(solution: Solution, level: StartingLevel) -> Iterator[Post]:
    net = solution.net
    for row in range(*net.network.spans["sources"].indices(net.network.size)):
        part = solution.parts[net.labels[row].element]
        system_v = solution.nominal_v(part)
        profile = _verified(system_v, level)
        if profile is None or not isinstance(part, Battery):
            raise TransientError(
                f"{part.name}: there is no starting profile of level {level} for {system_v:g} V"
            )
        yield Post(system_v, part.nominal_voltage_v / system_v, profile)


def _with_posts(net: Netlist, out: Flags, volts: list[Volt]) -> Netlist:
    """The network with sources of these voltages in the place of the batteries."""
    emf_v, ohm = np.array(volts), np.full(len(volts), POST_OHM)
    sources = replace(net.network.sources, emf_v=emf_v, ohm=ohm)
    exactly = Level(POST_OHM, POST_OHM, POST_OHM)
    batteries = tuple(BatterySource(Level(one, one, one), (exactly,)) for one in volts)
    return replace(net, network=replace(net.network, sources=sources), batteries=batteries, off=out)


def _left_out(net: Netlist) -> Flags:
    """What is out of the circuit: what is off in the mode, heavy loads, and whatever charges."""
    out, start = heavy_out(net), net.network.spans["limited"].start
    outputs = np.isin(np.arange(len(net.network.limited)), net.network.converters.output)
    out[start + np.flatnonzero(~outputs)] = True
    return out


@dataclass(frozen=True, eq=False)
class FedModel(UnpressedModel):
    """A boat fed by a starting profile as a circuit in time."""

    solved: FedSolution

    def circuit(self, draw: Draw = NOMINAL) -> TransientCircuit:
        """The circuit at a draw of the uncertain figures; the wave begins at zero."""
        whole = super().circuit(draw)
        henry = whole.branches.henry.copy()
        henry[self._post_branches] = 0.0
        return replace(whole, branches=replace(whole.branches, henry=henry), supplies=self.supplies)

    @property
    def _end_s(self) -> Second:
        return max(float(one.time_s[-1]) for one in self.supplies) + AFTERWARDS_S

    @cached_property
    def _post_branches(self) -> Indices:
        """The branches in the place of the batteries, in their order."""
        span = self.network.spans["sources"]
        return np.array([self.place[row] for row in range(span.start, span.stop)], np.intp)

    @cached_property
    def supplies(self) -> tuple[Supply, ...]:
        """One supply for each system voltage, in the batteries' order."""
        posts, branches = self.solved.posts, self._post_branches
        found = []
        for system_v in dict.fromkeys(one.system_v for one in posts):
            own = [number for number, one in enumerate(posts) if one.system_v == system_v]
            share = np.array([posts[number].share for number in own])
            wave = posts[own[0]].wave
            found.append(Supply(branches[own], share, wave.time_s, wave.values - system_v))
        return tuple(found)

    def _followed(self, network: Network, draw: Draw) -> tuple[Followed, ...]:
        """Without the packs, whose batteries the supply stands for."""
        return tuple(one for one in super()._followed(network, draw) if one.kind != "pack")

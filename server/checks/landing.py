"""What landing a held lead at a place would bring, by the rules that judge the wiring as it lies.

An answer here is what the checks would say of the boat after the move, asked without making the move. A lead
ends in a load, so only the way to its tap changes; for the lead of a source all feeds are worked out anew.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import networkx as nx

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.leads import Lead
from server.boat.modes import Mode
from server.boat.parts import (
    Alternator,
    AnyPart,
    Battery,
    Bonding,
    Breaker,
    Charger,
    Contact,
    Converter,
    EngineBlock,
    Fuse,
    Load,
    MeasuringShunt,
    Outboard,
    Solar,
)
from server.boat.value import Known
from server.checks.currents import lead_current
from server.checks.feeders import SENSITIVE
from server.checks.feeds import Between, Device, between, capacity, devices_of, feeding, pieces
from server.checks.leads import monitored_negatives
from server.checks.paths import Node, Paths, node, source_posts
from server.checks.protection import cranking_leads, is_short, is_too_large
from server.engine.answer import Break
from server.units import Ampere, Metre

ENGINE_ROLES = frozenset({"engine-control", "stop-solenoid", "glow-plugs", "starter"})
"""Loads of an engine, whose negative may lie on its block (common practice, no source)."""


@dataclass(frozen=True)
class Landed:
    """What would hold at a place: what breaks, and what the checks would find of this lead there.

    ``device_a`` is the rating of the largest device before the lead; ``is_judged`` is false where nobody can
    say whether it fits the lead, and ``is_monitored`` where the bank that feeds the load has no shunt.
    """

    breaks: tuple[Break, ...]
    faults: frozenset[str]
    device_a: Ampere | None
    is_judged: bool
    is_monitored: bool


@dataclass(frozen=True)
class Ground:
    """A boat in a mode, as far as every lead needs it; worked out once."""

    boat: Boat
    mode: Mode

    @cached_property
    def paths(self) -> Paths:
        """What is joined to what."""
        return Paths(self.boat, self.mode)

    @cached_property
    def parts(self) -> dict[str, AnyPart]:
        """The parts by id."""
        return {part.id: part for part in self.boat.parts}

    @cached_property
    def conductors(self) -> dict[str, Conductor]:
        """The conductors by id."""
        return {one.id: one for one in self.boat.conductors}

    @cached_property
    def piece(self) -> dict[Node, int]:
        """Pieces of copper between fuses and breakers."""
        return pieces(self.paths)

    @cached_property
    def devices(self) -> tuple[Device, ...]:
        """All fuses and breakers."""
        return devices_of(self.boat)

    @cached_property
    def joins(self) -> list[Between]:
        """All fuses and breakers with the pieces that they join."""
        return between(self.devices, self.piece)

    def is_too_large(self, conductor: Conductor, device: Device, length_m: Known | None) -> bool | None:
        """Whether a device is above a conductor that it has to protect; None where that is not known."""
        if conductor.kind != "wire" or conductor.id in self.cranking:
            return False
        if is_short(self.boat, conductor, length_m):
            return False
        key = conductor.id, device.rating_a
        if key not in self._too_large:
            self._too_large[key] = is_too_large(self.boat, conductor, device)
        return self._too_large[key]

    @cached_property
    def _too_large(self) -> dict[tuple[str, Ampere | None], bool | None]:
        return {}

    @cached_property
    def fed(self) -> dict[int, Device]:
        """The largest device that feeds each piece."""
        return feeding(self.joins, self.live)

    @cached_property
    def live(self) -> set[int]:
        """Pieces that a source feeds without any device."""
        return {self.piece[post] for _, post in source_posts(self.boat, "positive")}

    @cached_property
    def capacity(self) -> dict[int, Ampere]:
        """What the devices let through from a battery to each piece; where none feeds it, from any source."""
        posts = source_posts(self.boat, "positive")
        batteries = {self.piece[post] for part, post in posts if isinstance(part, Battery)}
        return capacity(self.joins, self.live) | capacity(self.joins, batteries)

    @cached_property
    def cranking(self) -> set[str]:
        """Conductors of cranking leads, which are exempt."""
        return cranking_leads(self.boat)

    @cached_property
    def alive(self) -> set[Node]:
        """Terminals that a battery keeps alive with every battery switch off."""
        if not any(isinstance(part, Contact) and part.is_battery_switch for part in self.boat.parts):
            return set()
        posts = source_posts(self.boat, "positive")
        return _reached(
            self.paths.without_switches, {post for part, post in posts if isinstance(part, Battery)}
        )

    @cached_property
    def monitored(self) -> set[Node]:
        """Negative posts of the batteries that a shunt counts."""
        shunts = [part for part in self.boat.parts if isinstance(part, MeasuringShunt)]
        return {post for shunt in shunts for post in monitored_negatives(self.boat, shunt)}

    @cached_property
    def uncounted(self) -> set[Node]:
        """Terminals from which a current comes back to a monitored bank past its shunt."""
        return _reached(self.paths.without_shunts, self.monitored) if self.monitored else set()

    @cached_property
    def unmonitored(self) -> set[Node]:
        """Terminals that batteries feed of which no shunt counts any."""
        found: set[Node] = set()
        batteries = {part.id for part in self.boat.parts if isinstance(part, Battery)}
        for joined in nx.connected_components(self.paths.closed):
            feeding_it = {part for part, name in joined if part in batteries and name == "positive"}
            if feeding_it and not any((part, "negative") in self.monitored for part in feeding_it):
                found |= joined
        return found


def _reached(graph: "nx.Graph[Node]", posts: set[Node]) -> set[Node]:
    found: set[Node] = set()
    for post in posts - found:
        if post not in found:
            found |= nx.node_connected_component(graph, post)
    return found


@dataclass(frozen=True)
class Landing:
    """One lead in the hand on a boat in a mode."""

    ground: Ground
    held: Lead

    def at(self, to: Node, length_m: Metre | None) -> Landed:
        """What would hold with the lead on a terminal, its last conductor so long."""
        if self.held.polarity == "negative":
            breaks, faults = tuple(self._negative_breaks(to)), frozenset(self._negative_faults(to))
            return Landed(breaks, faults, None, is_judged=True, is_monitored=self._is_monitored)
        nearest = self._before_own_devices(to, length_m)
        faults = frozenset(self._positive_faults(to, [*nearest, *self._behind_own_devices]))
        device = self.ground.fed.get(self.ground.piece[to])
        return Landed(
            tuple(self._positive_breaks(to, length_m, faults)),
            faults,
            None if device is None else device.rating_a,
            is_judged=None not in nearest,
            is_monitored=not self.ground.monitored or to not in self.ground.unmonitored,
        )

    @cached_property
    def present_device_a(self) -> Ampere | None:
        """Rating of the largest device before the lead as it lies."""
        tap = self.held.tap
        device = None if tap is None else self.ground.fed.get(self.ground.piece[node(tap)])
        return None if device is None else device.rating_a

    # -- positive leads ------------------------------------------------------------------------------------

    def _positive_breaks(self, to: Node, length_m: Metre | None, faults: frozenset[str]) -> Iterator[Break]:
        if self._is_starter:
            if "unprotected" in faults - self._present_faults:
                yield "unprotected"
            if "alive" in faults - self._present_faults:
                yield "always-live"
        if self._gives_current and self._would_feed_unprotected(to):
            yield "unprotected"
        if self.ground.capacity.get(self.ground.piece[to], self._current_a) < self._current_a:
            yield "device-too-small"
        if True in self._before_own_devices(to, length_m) or (
            self._gives_current and self._would_feed_above(to, length_m)
        ):
            yield "device-too-large"

    def _positive_faults(self, to: Node, verdicts: list[bool | None]) -> Iterator[str]:
        """What the checks would find of the lead: ``unprotected`` and ``alive`` also where it is exempt."""
        if True in verdicts:
            yield "device-above-conductor"
        if self._is_source:
            return
        if not self._has_device and self._is_live(to):
            yield "unprotected"
        if to in self.ground.alive and not self._has_switch and self._must_be_switched:
            yield "alive"

    def _is_live(self, to: Node) -> bool:
        """Whether a source other than the part itself feeds a place without any device."""
        if not isinstance(self._held_part, Outboard):
            return self.ground.piece[to] in self.ground.live
        others = [
            post for part, post in source_posts(self.ground.boat, "positive") if part.id != self.held.part
        ]
        return self._taken_off[to] in {self._taken_off[post] for post in others}

    def _before_own_devices(self, to: Node, length_m: Metre | None) -> list[bool | None]:
        """Whether the largest device that feeds a place is above each conductor up to the lead's own."""
        device = self.ground.fed.get(self.ground.piece[to])
        if device is None or self.ground.piece[to] in self.ground.live or self._is_source:
            return []
        return [
            self.ground.is_too_large(one, device, self._length(one, length_m)) for one in self._segments[-1]
        ]

    @cached_property
    def _behind_own_devices(self) -> list[bool | None]:
        """The same for the conductors behind each of the lead's own devices, which stay as they are."""
        found: list[bool | None] = []
        own = [part for name in self.held.inline if isinstance(part := self._part(name), (Fuse, Breaker))]
        for part, conductors in zip(own, self._segments, strict=False):
            device = Device(part.name, (part.id, "line"), (part.id, "load"), part.rating_a)
            found += [self.ground.is_too_large(one, device, one.length_m) for one in conductors]
        return found

    @cached_property
    def _segments(self) -> list[list[Conductor]]:
        """The lead's conductors, parted by its own fuses and breakers, from the load on."""
        found: list[list[Conductor]] = [[]]
        for at, name in enumerate(self.held.conductors):
            if at and isinstance(self._part(self.held.inline[at - 1]), (Fuse, Breaker)):
                found.append([])
            found[-1].append(self.ground.conductors[name])
        return found

    def _length(self, conductor: Conductor, moved_m: Metre | None) -> Known | None:
        return moved_m if conductor.id == self.held.last else conductor.length_m

    # -- leads of sources ----------------------------------------------------------------------------------

    def _would_feed_unprotected(self, to: Node) -> bool:
        """Whether the source would feed a load at this place without any device between."""
        here = self.ground.piece[to]
        if self._has_device or here in self.ground.live:
            return False
        return any(
            self.ground.piece[part.id, one.id] == here
            for part in self.ground.boat.parts
            if isinstance(part, Load) and part.role != "starter"
            for one in part.inputs
        )

    def _would_feed_above(self, to: Node, length_m: Metre | None) -> bool:
        """Whether a conductor of the boat would get a device above it that it has not now."""
        here = self._taken_off[to]
        if here not in self._fed_after:
            self._fed_after[here] = self._fed(here)
            self._brings_above[here] = self._is_any_above(self._fed_after[here])
        device, last = self._fed_after[here].get(here), self.ground.conductors[str(self.held.last)]
        own = device is not None and self.ground.is_too_large(last, device, length_m)
        return self._brings_above[here] or own is True

    def _is_any_above(self, fed: dict[int, Device]) -> bool:
        now = self._fed_now
        return any(
            self.ground.is_too_large(one, device, one.length_m) is True
            and (piece not in now or self.ground.is_too_large(one, now[piece], one.length_m) is not True)
            for piece, device in fed.items()
            if now.get(piece) is not device
            for one in self._wires_in.get(piece, ())
        )

    @cached_property
    def _fed_after(self) -> dict[int, dict[int, Device]]:
        return {}

    @cached_property
    def _brings_above(self) -> dict[int, bool]:
        return {}

    @cached_property
    def _fed_now(self) -> dict[int, Device]:
        tap = self.held.tap
        return {} if tap is None else self._fed(self._taken_off[node(tap)])

    def _fed(self, here: int) -> dict[int, Device]:
        """The largest device that feeds each piece, with the lead landed on one of them."""
        kept = self._taken_off[self._kept_end]
        piece = {one: here if at == kept else at for one, at in self._ends_of_devices.items()}
        posts = source_posts(self.ground.boat, "positive")
        sources = {here if (at := self._taken_off[post]) == kept else at for _, post in posts}
        fed = feeding(between(self.ground.devices, piece), sources)
        return fed | {kept: fed[here]} if here in fed else fed

    @cached_property
    def _ends_of_devices(self) -> dict[Node, int]:
        ends = {end for one in self.ground.devices for end in (one.line, one.load)}
        return {end: self._taken_off[end] for end in ends}

    @cached_property
    def _wires_in(self) -> dict[int, list[Conductor]]:
        """The conductors of each piece, the one that is moved left out."""
        found: dict[int, list[Conductor]] = {}
        for one in self.ground.boat.conductors:
            if one.tail is not None and one.id != self.held.last:
                found.setdefault(self._taken_off[node(one.tail)], []).append(one)
        return found

    @cached_property
    def _kept_end(self) -> Node:
        last = self.ground.conductors[str(self.held.last)]
        kept = last.head if self.held.far == "tail" else last.tail
        return (self.held.part, self.held.terminal) if kept is None else node(kept)

    @cached_property
    def _taken_off(self) -> dict[Node, int]:
        """The pieces with the last conductor of the lead taken off."""
        graph = self.ground.paths.without_devices.copy()
        last = self.ground.conductors[str(self.held.last)]
        if last.tail is not None and last.head is not None:
            graph.remove_edge(node(last.tail), node(last.head))
        return {one: at for at, joined in enumerate(nx.connected_components(graph)) for one in joined}

    # -- negative leads ------------------------------------------------------------------------------------

    def _negative_breaks(self, to: Node) -> Iterator[Break]:
        if isinstance(self._part(to[0]), EngineBlock | Bonding) and not self._is_of_engine:
            yield "engine-return"
        if to in self.ground.uncounted:
            yield "uncounted"

    def _negative_faults(self, to: Node) -> Iterator[str]:
        part = self._held_part
        is_sensitive = isinstance(part, Load) and part.role in SENSITIVE
        if is_sensitive and isinstance(self._part(to[0]), EngineBlock):
            yield "returned-to-block"
        if to in self.ground.uncounted and not self._is_source and not self._is_starter:
            yield "uncounted"

    @cached_property
    def _is_monitored(self) -> bool:
        part = self._held_part
        if not self.ground.monitored or self._is_source:
            return True
        inputs = [one.id for one in part.inputs] if isinstance(part, Load) else ["positive"]
        return any((part.id, name) not in self.ground.unmonitored for name in inputs)

    # -- the part ------------------------------------------------------------------------------------------

    def _part(self, name: str) -> AnyPart:
        return self.ground.parts[name]

    @cached_property
    def _held_part(self) -> AnyPart:
        return self._part(self.held.part)

    @cached_property
    def _is_starter(self) -> bool:
        part = self._held_part
        return isinstance(part, Outboard) or (isinstance(part, Load) and part.role == "starter")

    @cached_property
    def _is_of_engine(self) -> bool:
        part = self._held_part
        is_load = isinstance(part, Load) and part.role in ENGINE_ROLES
        return is_load or isinstance(part, Outboard | Alternator)

    @cached_property
    def _is_source(self) -> bool:
        part = self._held_part
        is_output = isinstance(part, Converter) and self.held.terminal == "output"
        return is_output or isinstance(part, Alternator | Charger | Solar)

    @cached_property
    def _gives_current(self) -> bool:
        part = self._held_part
        return self._is_source or (isinstance(part, Outboard) and part.charging_a is not None)

    @cached_property
    def _must_be_switched(self) -> bool:
        return getattr(self._held_part, "bypasses_switch", None) is None

    @cached_property
    def _has_device(self) -> bool:
        return any(isinstance(self._part(name), Fuse | Breaker) for name in self.held.inline)

    @cached_property
    def _has_switch(self) -> bool:
        inline = (self._part(name) for name in self.held.inline)
        return any(isinstance(part, Contact) and part.is_battery_switch for part in inline)

    @cached_property
    def _current_a(self) -> Ampere:
        return lead_current(self.ground.boat, self._held_part, self.held.terminal)

    @cached_property
    def _present_faults(self) -> frozenset[str]:
        tap = self.held.tap
        return frozenset() if tap is None else frozenset(self._positive_faults(node(tap), []))

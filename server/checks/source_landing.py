"""What landing the lead of a source would bring: it feeds, so all feeds are worked out anew."""

from dataclasses import dataclass
from functools import cached_property

import networkx as nx

from server.boat.conductors import Conductor
from server.boat.parts import Load
from server.checks.feeds import Device, between, feeding
from server.checks.hand import Hand
from server.checks.paths import Node, node, source_posts
from server.units import Metre


@dataclass(frozen=True)
class SourceLanding:
    """The lead of a source, or of what gives current as well as it takes."""

    hand: Hand

    def would_feed_unprotected(self, to: Node) -> bool:
        """Whether the source would feed a load at this place without any device between."""
        here = self.hand.ground.piece[to]
        if self.hand.has_device or here in self.hand.ground.live:
            return False
        return any(
            self.hand.ground.piece[part.id, one.id] == here
            for part in self.hand.ground.boat.parts
            if isinstance(part, Load) and part.role != "starter"
            for one in part.inputs
        )

    def would_feed_above(self, to: Node, length_m: Metre | None) -> bool:
        """Whether a conductor of the boat would get a device above it that it has not now."""
        here = self.taken_off[to]
        if here not in self._fed_after:
            self._fed_after[here] = self._fed(here)
            self._brings_above[here] = self._is_any_above(self._fed_after[here])
        device, last = self._fed_after[here].get(here), self.hand.ground.conductors[str(self.hand.lead.last)]
        own = device is not None and self.hand.ground.is_too_large(last, device, length_m)
        return self._brings_above[here] or own is True

    def _is_any_above(self, fed: dict[int, Device]) -> bool:
        now = self._fed_now
        return any(
            self.hand.ground.is_too_large(one, device, one.length_m) is True
            and (piece not in now or self.hand.ground.is_too_large(one, now[piece], one.length_m) is not True)
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
        tap = self.hand.lead.tap
        return {} if tap is None else self._fed(self.taken_off[node(tap)])

    def _fed(self, here: int) -> dict[int, Device]:
        """The largest device that feeds each piece, with the lead landed on one of them."""
        kept = self.taken_off[self._kept_end]
        piece = {one: here if at == kept else at for one, at in self._ends_of_devices.items()}
        posts = source_posts(self.hand.ground.boat, "positive")
        sources = {here if (at := self.taken_off[post]) == kept else at for _, post in posts}
        fed = feeding(between(self.hand.ground.devices, piece), sources)
        return fed | {kept: fed[here]} if here in fed else fed

    @cached_property
    def _ends_of_devices(self) -> dict[Node, int]:
        ends = {end for one in self.hand.ground.devices for end in (one.line, one.load)}
        return {end: self.taken_off[end] for end in ends}

    @cached_property
    def _wires_in(self) -> dict[int, list[Conductor]]:
        """The conductors of each piece, the one that is moved left out."""
        found: dict[int, list[Conductor]] = {}
        for one in self.hand.ground.boat.conductors:
            if one.tail is not None and one.id != self.hand.lead.last:
                found.setdefault(self.taken_off[node(one.tail)], []).append(one)
        return found

    @cached_property
    def _kept_end(self) -> Node:
        last = self.hand.ground.conductors[str(self.hand.lead.last)]
        kept = last.head if self.hand.lead.far == "tail" else last.tail
        return (self.hand.lead.part, self.hand.lead.terminal) if kept is None else node(kept)

    @cached_property
    def taken_off(self) -> dict[Node, int]:
        """The pieces with the last conductor of the lead taken off."""
        graph = self.hand.ground.paths.without_devices.copy()
        last = self.hand.ground.conductors[str(self.hand.lead.last)]
        if last.tail is not None and last.head is not None:
            graph.remove_edge(node(last.tail), node(last.head))
        return {one: at for at, joined in enumerate(nx.connected_components(graph)) for one in joined}

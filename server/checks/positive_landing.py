"""What landing a positive lead would bring: what protects it, what keeps it alive, what it may carry."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from server.boat.parts import Breaker, Fuse, Outboard
from server.checks.feeds import Device
from server.checks.ground import Ground
from server.checks.hand import Hand
from server.checks.own_devices import lost_device, own_device
from server.checks.paths import Node, node, source_posts
from server.checks.source_landing import SourceLanding
from server.engine.answer import Break
from server.units import Metre


@dataclass(frozen=True)
class PositiveLanding:
    """A positive lead in the hand."""

    hand: Hand

    @property
    def _ground(self) -> Ground:
        return self.hand.ground

    @cached_property
    def _source(self) -> SourceLanding:
        return SourceLanding(self.hand)

    def breaks(self, to: Node, length_m: Metre | None, faults: frozenset[str]) -> Iterator[Break]:
        """What landing there breaks, the lead having these faults there."""
        if self.hand.is_starter:
            if "unprotected" in faults - self._present_faults:
                yield "unprotected"
            if "alive" in faults - self._present_faults:
                yield "always-live"
        if self.hand.gives_current and self._source.would_feed_unprotected(to):
            yield "unprotected"
        current_a = self.hand.current_a
        if self._ground.capacity.get(self._ground.piece[to], current_a) < current_a:
            yield "device-too-small"
        if True in self.before_own_devices(to, length_m) or (
            self.hand.gives_current and self._source.would_feed_above(to, length_m)
        ):
            yield "device-too-large"

    def faults(self, to: Node, verdicts: list[bool | None]) -> Iterator[str]:
        """What the checks would find of the lead: ``unprotected`` and ``alive`` also where it is exempt."""
        if True in verdicts:
            yield "device-above-conductor"
        if self.hand.is_source:
            return
        if not self.hand.has_device and self._is_live(to):
            yield "unprotected"
        if to in self._ground.alive and not self.hand.has_switch and self.hand.must_be_switched:
            yield "alive"

    def loses(self, to: Node) -> str:
        """The lead's own device, where a larger one or none would stand for it; else empty."""
        return lost_device(self._own_device, self._ground, to)

    @cached_property
    def _own_device(self) -> Device | None:
        return own_device(self.hand)

    def _is_live(self, to: Node) -> bool:
        """Whether a source other than the part itself feeds a place without any device."""
        if not isinstance(self.hand.part, Outboard):
            return self._ground.piece[to] in self._ground.live
        others = [
            post
            for part, post in source_posts(self._ground.boat, "positive")
            if part.id != self.hand.lead.part
        ]
        return self._source.taken_off[to] in {self._source.taken_off[post] for post in others}

    def before_own_devices(self, to: Node, length_m: Metre | None) -> list[bool | None]:
        """Whether the largest device that feeds a place is above each conductor up to the lead's own."""
        device = self._ground.fed.get(self._ground.piece[to])
        if device is None or self._ground.piece[to] in self._ground.live or self.hand.is_source:
            return []
        return [
            self._ground.is_too_large(one, device, self.hand.length(one, length_m))
            for one in self.hand.segments[-1]
        ]

    @cached_property
    def behind_own_devices(self) -> list[bool | None]:
        """The same for the conductors behind each of the lead's own devices, which stay as they are."""
        found: list[bool | None] = []
        own = [
            part
            for name in self.hand.lead.inline
            if isinstance(part := self.hand.part_of(name), (Fuse, Breaker))
        ]
        for part, conductors in zip(own, self.hand.segments, strict=False):
            device = Device(part.name, (part.id, "line"), (part.id, "load"), part.rating_a)
            found += [self._ground.is_too_large(one, device, one.length_m) for one in conductors]
        return found

    @cached_property
    def _present_faults(self) -> frozenset[str]:
        tap = self.hand.lead.tap
        return frozenset() if tap is None else frozenset(self.faults(node(tap), []))

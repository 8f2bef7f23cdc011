"""What landing a negative lead would bring: on whose metal it lies, and whether a shunt counts it."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from server.boat.parts import Bonding, EngineBlock, Load
from server.checks.feeders import SENSITIVE
from server.checks.hand import Hand
from server.checks.paths import Node
from server.engine.answer import Break


@dataclass(frozen=True)
class NegativeLanding:
    """A negative lead in the hand."""

    hand: Hand

    def breaks(self, to: Node) -> Iterator[Break]:
        """What landing there breaks."""
        if isinstance(self.hand.part_of(to[0]), EngineBlock | Bonding) and not self.hand.is_of_engine:
            yield "engine-return"
        if to in self.hand.ground.uncounted:
            yield "uncounted"

    def faults(self, to: Node) -> Iterator[str]:
        """What the checks would find of the lead there."""
        part = self.hand.part
        is_sensitive = isinstance(part, Load) and part.role in SENSITIVE
        if is_sensitive and isinstance(self.hand.part_of(to[0]), EngineBlock):
            yield "returned-to-block"
        if to in self.hand.ground.uncounted and not self.hand.is_source and not self.hand.is_starter:
            yield "uncounted"

    @cached_property
    def is_monitored(self) -> bool:
        """Whether a bank that feeds the part has a shunt."""
        part = self.hand.part
        if not self.hand.ground.monitored or self.hand.is_source:
            return True
        inputs = [one.id for one in part.inputs] if isinstance(part, Load) else ["positive"]
        return any((part.id, name) not in self.hand.ground.unmonitored for name in inputs)

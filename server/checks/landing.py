"""What landing a held lead at a place would bring, by the rules that judge the wiring as it lies.

An answer here is what the checks would say of the boat after the move, asked without making the move. A lead
ends in a load, so only the way to its tap changes; for the lead of a source all feeds are worked out anew.
"""

from dataclasses import dataclass
from functools import cached_property

from server.boat.leads import Lead
from server.checks.ground import Ground
from server.checks.hand import Hand
from server.checks.negative_landing import NegativeLanding
from server.checks.paths import Node, node
from server.checks.positive_landing import PositiveLanding
from server.engine.answer import Break
from server.units import Ampere, Metre


@dataclass(frozen=True)
class Landed:
    """What would hold at a place: what breaks, and what the checks would find of this lead there.

    ``device_a`` is the rating of the largest device before the lead; ``is_judged`` is false where nobody can
    say whether it fits the lead, ``loses`` names the lead's own device that a larger one or none would stand
    for, and ``is_monitored`` where the bank that feeds the load has no shunt.
    """

    breaks: tuple[Break, ...]
    faults: frozenset[str]
    device_a: Ampere | None
    is_judged: bool
    is_monitored: bool
    loses: str = ""


@dataclass(frozen=True)
class Landing:
    """One lead in the hand on a boat in a mode."""

    ground: Ground
    held: Lead

    @cached_property
    def _hand(self) -> Hand:
        return Hand(self.ground, self.held)

    @cached_property
    def _negative(self) -> NegativeLanding:
        return NegativeLanding(self._hand)

    @cached_property
    def _positive(self) -> PositiveLanding:
        return PositiveLanding(self._hand)

    def at(self, to: Node, length_m: Metre | None) -> Landed:
        """What would hold with the lead on a terminal, its last conductor so long."""
        if self.held.polarity == "negative":
            negative = self._negative
            return Landed(
                tuple(negative.breaks(to)),
                frozenset(negative.faults(to)),
                None,
                is_judged=True,
                is_monitored=negative.is_monitored,
            )
        positive = self._positive
        nearest = positive.before_own_devices(to, length_m)
        faults = frozenset(positive.faults(to, [*nearest, *positive.behind_own_devices]))
        return Landed(
            tuple(positive.breaks(to, length_m, faults)),
            faults,
            self._device_a(to),
            is_judged=None not in nearest,
            is_monitored=not self.ground.monitored or to not in self.ground.unmonitored,
            loses=positive.loses(to),
        )

    def breaks_at(self, to: Node, length_m: Metre | None) -> tuple[Break, ...]:
        """What landing on a terminal would break."""
        if self.held.polarity == "negative":
            return tuple(self._negative.breaks(to))
        return self.at(to, length_m).breaks

    @cached_property
    def present_device_a(self) -> Ampere | None:
        """Rating of the largest device before the lead as it lies."""
        return None if self.held.tap is None else self._device_a(node(self.held.tap))

    def _device_a(self, to: Node) -> Ampere | None:
        device = self.ground.fed.get(self.ground.piece[to])
        return None if device is None else device.rating_a

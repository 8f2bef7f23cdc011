"""A lead in the hand: what it is made of, and what the part is that it belongs to."""

from dataclasses import dataclass
from functools import cached_property

from server.boat.conductors import Conductor
from server.boat.leads import Lead
from server.boat.parts import (
    Alternator,
    AnyPart,
    Breaker,
    Charger,
    Contact,
    Converter,
    Fuse,
    Load,
    Outboard,
    Solar,
)
from server.boat.value import Known
from server.checks.currents import lead_current
from server.checks.ground import Ground
from server.units import Ampere, Metre

ENGINE_ROLES = frozenset({"engine-control", "stop-solenoid", "glow-plugs", "starter"})
"""Loads of an engine, whose negative may lie on its block (common practice, no source)."""


@dataclass(frozen=True)
class Hand:
    """One lead in the hand on a boat in a mode."""

    ground: Ground
    lead: Lead

    @cached_property
    def segments(self) -> list[list[Conductor]]:
        """The lead's conductors, parted by its own fuses and breakers, from the load on."""
        found: list[list[Conductor]] = [[]]
        for at, name in enumerate(self.lead.conductors):
            if at and isinstance(self.part_of(self.lead.inline[at - 1]), (Fuse, Breaker)):
                found.append([])
            found[-1].append(self.ground.conductors[name])
        return found

    def length(self, conductor: Conductor, moved_m: Metre | None) -> Known | None:
        """Length of one of its conductors, the last being so long."""
        return moved_m if conductor.id == self.lead.last else conductor.length_m

    def part_of(self, name: str) -> AnyPart:
        """A part by its id."""
        return self.ground.parts[name]

    @cached_property
    def part(self) -> AnyPart:
        """The part on which the lead begins."""
        return self.part_of(self.lead.part)

    @cached_property
    def is_starter(self) -> bool:
        """Whether it cranks an engine."""
        part = self.part
        return isinstance(part, Outboard) or (isinstance(part, Load) and part.role == "starter")

    @cached_property
    def is_of_engine(self) -> bool:
        """Whether its negative may lie on the engine."""
        part = self.part
        is_load = isinstance(part, Load) and part.role in ENGINE_ROLES
        return is_load or isinstance(part, Outboard | Alternator)

    @cached_property
    def is_source(self) -> bool:
        """Whether the lead feeds the boat."""
        part = self.part
        is_output = isinstance(part, Converter) and self.lead.terminal == "output"
        return is_output or isinstance(part, Alternator | Charger | Solar)

    @cached_property
    def gives_current(self) -> bool:
        """Whether the part feeds the boat, beside what it takes."""
        part = self.part
        return self.is_source or (isinstance(part, Outboard) and part.charging_a is not None)

    @cached_property
    def must_be_switched(self) -> bool:
        """Whether nothing states why it bypasses the battery switch."""
        return getattr(self.part, "bypasses_switch", None) is None

    @cached_property
    def has_device(self) -> bool:
        """Whether the lead has a fuse or breaker of its own."""
        return any(isinstance(self.part_of(name), Fuse | Breaker) for name in self.lead.inline)

    @cached_property
    def has_switch(self) -> bool:
        """Whether the lead has a battery switch of its own."""
        inline = (self.part_of(name) for name in self.lead.inline)
        return any(isinstance(part, Contact) and part.is_battery_switch for part in inline)

    @cached_property
    def current_a(self) -> Ampere:
        """What the lead carries."""
        return lead_current(self.ground.boat, self.part, self.lead.terminal)

"""The places where a lead may land, and what stands on them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from server.boat.boat import Boat
from server.boat.leads import Landings, Lead, leads
from server.boat.lengths import Allowance
from server.boat.parts import (
    AnyPart,
    Breaker,
    Busbar,
    Contact,
    EngineBlock,
    Fuse,
    MeasuringShunt,
    Panel,
    Post,
)
from server.boat.routes import Routes
from server.boat.terminals import terminals
from server.boat.value import TerminalRef
from server.engine.netlist_rows import Terminal
from server.units import OhmPerMetre

MOST_LUGS = 4
"""ABYC E-11: no more than four conductors on one stud (as carried by the rules table, ``e11-stud``)."""


@dataclass(frozen=True, eq=False)
class Places:
    """Terminals as places for leads."""

    boat: Boat

    @cached_property
    def landings(self) -> Landings:
        """What lands where."""
        return Landings.of(self.boat)

    @cached_property
    def leads(self) -> Mapping[Terminal, Lead]:
        """The leads of all loads, coils and sources."""
        return {(found.part, found.terminal): found for found in leads(self.boat, self.landings)}

    @cached_property
    def in_other_leads(self) -> frozenset[str]:
        """In-line parts of leads: the middle of another load's lead is no place to land."""
        return frozenset(part for found in self.leads.values() for part in found.inline)

    @cached_property
    def allowance(self) -> Allowance:
        """How much longer a lead is than the straight line."""
        return Allowance.of(self.boat)

    @property
    def routes(self) -> Routes:
        """The ways that conductors take through the runs."""
        return Routes.of(self.boat)

    @cached_property
    def blocks(self) -> frozenset[str]:
        """Engine blocks, on which joints are of their own kind."""
        return frozenset(part.id for part in self.boat.parts if isinstance(part, EngineBlock))

    def is_on_block(self, end: TerminalRef | None) -> bool:
        """Whether a conductor's end lands on an engine block."""
        return end is not None and end.part in self.blocks

    @cached_property
    def cable_ohm_per_m(self) -> Mapping[str, OhmPerMetre]:
        """Cables that state a resistance of their own."""
        return {one.id: one.ohm_per_m for one in self.boat.cables if one.ohm_per_m is not None}

    @cached_property
    def ways(self) -> frozenset[Terminal]:
        """Panel ways: each takes one branch."""
        return frozenset(
            (part.id, f"{section.id}-{way.id}")
            for part in self.boat.parts
            if isinstance(part, Panel)
            for section in part.sections
            for way in section.ways
        )

    @cached_property
    def terminals(self) -> tuple[Terminal, ...]:
        """Every terminal that could take some lead, in document order."""
        return tuple(
            (part.id, name)
            for part in self.boat.parts
            if part.id not in self.in_other_leads
            for name in _places_of(part)
        )

    def ref(self, terminal: Terminal) -> TerminalRef:
        """A terminal as the document names it; the same value whenever it is asked for again."""
        found = self._refs.get(terminal)
        if found is None:
            found = self._refs[terminal] = TerminalRef(part=terminal[0], terminal=terminal[1])
        return found

    @cached_property
    def _refs(self) -> dict[Terminal, TerminalRef]:
        return {}

    @cached_property
    def bars(self) -> frozenset[str]:
        """Parts made for landing leads: bars, posts, panels, blocks."""
        kinds = (Busbar, Post, Panel, EngineBlock)
        return frozenset(part.id for part in self.boat.parts if isinstance(part, kinds))

    @cached_property
    def lugs(self) -> Mapping[Terminal, int]:
        """How many conductor ends stand on each of them."""
        ends = self.landings.ends
        return {terminal: len(ends.get(terminal, ())) for terminal in self.terminals}

    def candidates(self, lead: Lead) -> Iterator[Terminal]:
        """Terminals that could take a lead, in document order; neither occupied ways nor its own parts."""
        own = {lead.part, *lead.inline}
        tap = None if lead.tap is None else (lead.tap.part, lead.tap.terminal)
        for terminal in self.terminals:
            occupied = terminal != tap and terminal in self.ways and self.lugs[terminal] > 0
            if terminal[0] not in own and not occupied:
                yield terminal


def _places_of(part: AnyPart) -> tuple[str, ...]:
    """The terminals of a part on which a lead may land; a battery's post is not one of them."""
    match part:
        case Fuse() | Breaker() | MeasuringShunt() | Busbar() | Post() | EngineBlock() | Panel():
            return terminals(part)
        case Contact():
            return part.terminals
        case _:
            return ()

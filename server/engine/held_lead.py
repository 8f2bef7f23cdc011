"""A lead in the hand: where it could land, what that would break, and what cable it takes.

The moved conductor comes from the move edit's own function, its length rule included.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from server.boat.conductors import Conductor
from server.boat.edit_wiring import moved_conductor
from server.boat.leads import End, Lead
from server.boat.parts import Charger, Converter, Load
from server.boat.routes import Route
from server.boat.value import Place, TerminalRef, nominal
from server.engine.answer import Break
from server.engine.bands import LeadOhm
from server.engine.breaks import Breaking
from server.engine.drop import lead_rows, return_terminal, up_to_panel
from server.engine.naming import Names
from server.engine.netlist import Netlist
from server.engine.netlist_conductors import conductor_figures, length_bands
from server.engine.netlist_rows import Terminal
from server.engine.places import Places
from server.engine.sites import Site
from server.engine.solution import EventSolution, Solution
from server.engine.topology import Topology
from server.units import OhmPerMetre


@dataclass(frozen=True, eq=False)
class Target:
    """One target: the terminal to land on, others of the same node, the moved conductor."""

    terminal: Terminal
    same: tuple[Terminal, ...]
    node: int
    present: bool
    breaks: tuple[Break, ...]
    length_m: float | None
    length_basis: str
    conductor: Conductor


@dataclass(frozen=True, eq=False)
class HeldLead:
    """A lead in the hand."""

    solution: Solution
    solved: EventSolution | None
    places: Places
    held: Lead

    @cached_property
    def net(self) -> Netlist:
        """The mode's netlist."""
        return self.solution.net

    @cached_property
    def topology(self) -> Topology:
        """What is joined to what."""
        return self.solution.topology

    @property
    def names(self) -> Names:
        """What things are called."""
        return self.solution.names

    @cached_property
    def end(self) -> End:
        """The end that a move takes."""
        conductor = self.names.conductors[str(self.held.last)]
        return End(conductor, "tail" if self.held.far == "tail" else "head")

    @cached_property
    def row(self) -> int | None:
        """The element of the last conductor; None while it hangs loose."""
        rows = self.net.rows_of.get(str(self.held.last))
        return rows[0] if rows else None

    @cached_property
    def kept_node(self) -> int | None:
        """The node on which the other end of the last conductor stays."""
        kept = self.end.other.terminal
        return None if kept is None else self.net.node(kept.part, kept.terminal)

    @cached_property
    def own_rows(self) -> set[int]:
        """The elements of the lead."""
        return lead_rows(self.net, self.held)

    @cached_property
    def other_terminal(self) -> str:
        """The terminal of the part's other pole."""
        part, terminal = self.solution.parts[self.held.part], self.held.terminal
        if self.held.polarity == "positive":
            return return_terminal(part, terminal)
        if self.inputs:
            return self.inputs[0][1]
        if isinstance(part, Converter):
            return "output"
        return "output-1" if isinstance(part, Charger) else "positive"

    @cached_property
    def other_node(self) -> int:
        """The node of the part's other pole."""
        return self.net.node(self.held.part, self.other_terminal)

    def behind_panel(self, tap: int) -> set[int] | None:
        """The elements from a panelboard to the load with the lead at a tap, the held lead left out."""
        if self.held.polarity == "positive":
            found = up_to_panel(self.topology, tap, self.own_rows)
        else:
            found = up_to_panel(self.topology, self.other_node)
        if found is None:
            return None
        other = self.places.leads[self.held.part, self.other_terminal]
        return (found | lead_rows(self.net, other)) - self.own_rows

    @cached_property
    def inputs(self) -> tuple[Terminal, ...]:
        """The inputs whose current the lead carries."""
        part = self.solution.parts[self.held.part]
        if isinstance(part, Load):
            return tuple(
                (part.id, one.id) for one in part.inputs if self.held.terminal in {one.id, one.returns_to}
            )
        return tuple(key for key in self.net.inputs if key[0] == part.id)

    # -- the places ---------------------------------------------------------------------------------------

    def places_to_land(self) -> list[Target]:
        """All targets, one for each node of each part."""
        return [self._target(site, self._breaks(site)) for site in self._sites]

    def admissible_places(self) -> Iterator[Target]:
        """The targets on which the lead breaks nothing."""
        return (self._target(site, ()) for site in self._sites if not self._breaks(site))

    @cached_property
    def occupied_ways(self) -> int:
        """How many panel ways are left out because another lead has them."""
        return len(self.solution.grounds.of(self.held.polarity).occupied_ways - {self._present})

    @cached_property
    def _present(self) -> Terminal | None:
        tap = self.held.tap
        return None if tap is None else (tap.part, tap.terminal)

    @cached_property
    def _sites(self) -> list[Site]:
        """The sites that are not on the lead's own parts; the present tap stands for its own site."""
        own, present = {self.held.part, *self.held.inline}, self._present
        sites = [site for site in self.solution.grounds.of(self.held.polarity).free if site.part not in own]
        if present is None:
            return sites
        node, ends = self.net.node(*present), self.places.landings.at(*present)
        lugs = sum(end.conductor.id not in self.held.conductors for end in ends)
        here = next((at for at, site in enumerate(sites) if site[:2] == (present[0], node)), None)
        if here is None:
            return [*sites, Site(present[0], node, (present,), present, lugs)]
        terminals = tuple(dict.fromkeys((*sites[here].terminals, present)))
        sites[here] = Site(present[0], node, terminals, present, lugs)
        return sites

    def _breaks(self, site: Site) -> tuple[Break, ...]:
        """What landing on a site would break."""
        return tuple(self._breaking.at(site.node, site.lugs, lambda: self._moved_to(site.emptiest)))

    def breaks_at(self, terminal: Terminal) -> tuple[Break, ...]:
        """What landing on one terminal of the boat would break, whether or not it is offered as a place."""
        node, ends = self.net.node(*terminal), self.places.landings.at(*terminal)
        lugs = sum(end.conductor.id not in self.held.conductors for end in ends)
        if lugs and terminal in self.places.ways:
            return ("way-occupied",)
        if self.solution.grounds.is_of("positive" if self.held.polarity == "negative" else "negative", node):
            return ("other-polarity",)
        return tuple(self._breaking.at(node, lugs, lambda: self._moved_to(terminal)))

    def _target(self, site: Site, breaks: tuple[Break, ...]) -> Target:
        """The target of one site."""
        moved = self._moved_to(site.emptiest)
        return Target(
            terminal=site.emptiest,
            same=tuple(terminal for terminal in site.terminals if terminal != site.emptiest),
            node=site.node,
            present=site.emptiest == self._present,
            breaks=breaks,
            length_m=None if moved.length_m is None else nominal(moved.length_m),
            length_basis=moved.length_basis or "not stated",
            conductor=moved,
        )

    def _moved_to(self, terminal: Terminal) -> Conductor:
        """The last conductor landed on a terminal; made once for all terminals of a part."""
        if terminal == self._present:
            return self.end.conductor
        found = self._moved.get(terminal[0])
        if found is None:
            found = self._moved[terminal[0]] = moved_conductor(
                self.end,
                TerminalRef(part=terminal[0], terminal=terminal[1]),
                (self._place_of_kept, self.solution.parts[terminal[0]].place),
                self.places.allowance,
                self._route_to(terminal[0]),
            )
        return found

    def _route_to(self, part: str) -> Route | None:
        kept = self.end.other.terminal
        return None if kept is None else self.places.routes.between(kept.part, part)

    @cached_property
    def _moved(self) -> dict[str, Conductor]:
        return {}

    @cached_property
    def _breaking(self) -> Breaking:
        return Breaking(self.solution, self.held, bool(self.inputs))

    @cached_property
    def _place_of_kept(self) -> Place | None:
        kept = self.end.other.terminal
        return None if kept is None else self.solution.parts[kept.part].place

    def ohm_of(self, conductor: Conductor, net: Netlist) -> LeadOhm:
        """A conductor's resistance in the figures of a netlist."""
        key = id(conductor), id(net)
        if key not in self._ohms:
            own = self.places.cable_ohm_per_m.get(conductor.cable or "")
            self._ohms[key] = conductor, net, _lead_ohm(self, conductor, net, own)
        return self._ohms[key][2]

    @cached_property
    def _ohms(self) -> dict[tuple[int, int], tuple[Conductor, Netlist, LeadOhm]]:
        """By conductor and netlist, kept beside so that no other takes their identity."""
        return {}


def _lead_ohm(
    held: HeldLead, conductor: Conductor, net: Netlist, cable_ohm_per_m: OhmPerMetre | None
) -> LeadOhm:
    figures = net.figures
    tail, head = (held.places.is_on_block(end) for end in (conductor.tail, conductor.head))
    parts = conductor_figures(figures, conductor, cable_ohm_per_m, (tail, head))
    made_of = [(figures.levels[number], factor) for number, factor in parts]
    lengths = length_bands(figures, conductor, cable_ohm_per_m)
    swings = [
        (one.number, factor * (one.low - one.value), factor * (one.high - one.value))
        for one, factor in made_of
    ]
    swings += [(one.number, one.low - one.value, one.high - one.value) for one in lengths]
    ohm = sum(level.value * factor for level, factor in made_of)
    return LeadOhm(ohm, tuple(one for one in swings if one[1] or one[2]))

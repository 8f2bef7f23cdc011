"""A lead in the hand: where it could land, what that would break, and what cable it takes.

The moved conductor comes from the move edit's own function, its length rule included.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.conductors import Conductor
from server.boat.edit_wiring import moved_conductor
from server.boat.leads import End, Lead, lead
from server.boat.lengths import Allowance
from server.boat.parts import Breaker, Charger, EngineBlock, Fuse, Load
from server.boat.value import Place, TerminalRef, nominal
from server.engine.answer import Break
from server.engine.drop import lead_rows, return_terminal, up_to_panel
from server.engine.naming import Names
from server.engine.netlist import Netlist
from server.engine.netlist_conductors import conductor_figures
from server.engine.netlist_rows import Rows, Terminal
from server.engine.outcome import is_heavy
from server.engine.places import MOST_LUGS, Places
from server.engine.solution import EventSolution, Solution
from server.engine.topology import Topology
from server.units import OhmPerMetre

OTHER_VOLTAGE = 0.3
"""A place whose voltage is off the load's nominal one by more than this share belongs to another system."""


@dataclass(frozen=True, eq=False)
class Target:
    """One target: the terminal to land on, others of the same node, the lead's new length and resistance."""

    terminal: Terminal
    same: tuple[Terminal, ...]
    node: int
    present: bool
    breaks: tuple[Break, ...]
    length_m: float | None
    length_basis: str
    conductor: Conductor
    figures: tuple[tuple[int, float], ...]


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

    @cached_property
    def names(self) -> Names:
        """What things are called."""
        return Names(self.solution.boat)

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
        other = lead(self.solution.boat, self.held.part, self.other_terminal, self.places.landings)
        return (found | lead_rows(self.net, other)) - self.own_rows

    @cached_property
    def has_device(self) -> bool:
        """Whether a fuse or breaker is part of the lead."""
        return any(isinstance(self.solution.parts[name], (Fuse, Breaker)) for name in self.held.inline)

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
        groups: dict[tuple[str, int], list[Terminal]] = {}
        tap = self.held.tap
        present = None if tap is None else (tap.part, tap.terminal)
        candidates = list(self.places.candidates(self.held))
        if present is not None and present not in candidates:
            candidates.append(present)
        for terminal in candidates:
            node = self.net.node(*terminal)
            if terminal == present or self._is_admissible(node):
                groups.setdefault((terminal[0], node), []).append(terminal)
        return [self._target(node, terminals, present) for (_, node), terminals in groups.items()]

    def _is_admissible(self, node: int) -> bool:
        """Joined by copper and closed switches to a post of the lead's polarity."""
        piece = int(self.topology.metal[node])
        pieces = self._negative_pieces if self.held.polarity == "negative" else self._positive_pieces
        return piece in pieces

    @cached_property
    def _source_pieces(self) -> tuple[set[int], set[int]]:
        network, metal = self.net.network, self.topology.metal
        spans = [network.spans[kind] for kind in ("sources", "limited")]
        plus = {int(piece) for span in spans for piece in metal[network.head[span]]}
        minus = {int(piece) for span in spans for piece in metal[network.tail[span]]}
        return plus, minus

    @cached_property
    def _positive_pieces(self) -> set[int]:
        return self._source_pieces[0] - {self.topology.ground_piece}

    @cached_property
    def _negative_pieces(self) -> set[int]:
        plus, minus = self._source_pieces
        return (minus - plus) | {self.topology.ground_piece}

    def _target(self, node: int, terminals: list[Terminal], present: Terminal | None) -> Target:
        """The target of one node: the present tap, else the terminal with the most room."""
        here = (
            present if present in terminals else min(terminals, key=lambda t: self.places.lugs(t, self.held))
        )
        same = tuple(terminal for terminal in terminals if terminal != here)
        old = self.end.conductor
        if here == present:
            moved = old
        else:
            moved = moved_conductor(
                self.end,
                TerminalRef(part=here[0], terminal=here[1]),
                (self._place_of_kept, self.solution.parts[here[0]].place),
                Allowance.of(self.solution.boat),
            )
        return Target(
            terminal=here,
            same=same,
            node=node,
            present=here == present,
            breaks=tuple(self._breaks(here, node)),
            length_m=None if moved.length_m is None else nominal(moved.length_m),
            length_basis=moved.length_basis or "not stated",
            conductor=moved,
            figures=self.figures_of(moved, self.net),
        )

    @cached_property
    def _place_of_kept(self) -> Place | None:
        kept = self.end.other.terminal
        return None if kept is None else self.solution.parts[kept.part].place

    def figures_of(self, conductor: Conductor, net: Netlist) -> tuple[tuple[int, float], ...]:
        """What a conductor's resistance is made of, in the numbers of a netlist."""
        scratch = Rows(self.solution.boat, self.solution.mode, None, net.figures, frozenset())
        return conductor_figures(scratch, conductor, self._cable_ohm_per_m, self._blocks)

    @cached_property
    def _cable_ohm_per_m(self) -> OhmPerMetre | None:
        cable = self.end.conductor.cable
        return next((one.ohm_per_m for one in self.solution.boat.cables if one.id == cable), None)

    @cached_property
    def _blocks(self) -> frozenset[str]:
        return frozenset(part.id for part in self.solution.boat.parts if isinstance(part, EngineBlock))

    def _breaks(self, terminal: Terminal, node: int) -> Iterator[Break]:
        part = self.solution.parts[self.held.part]
        topology = self.topology
        if self.held.polarity == "positive":
            starter = isinstance(part, Load) and part.role == "starter"
            if not (self.has_device or starter or topology.is_protected(node)):
                yield "unprotected"
            excused = getattr(part, "bypasses_switch", None) is not None
            if not excused and not starter and topology.is_alive_when_off(node):
                yield "always-live"
            if self._is_other_voltage(node):
                yield "other-voltage"
        elif not is_heavy(part) and topology.is_uncounted(node):
            yield "uncounted"
        if self.places.lugs(terminal, self.held) >= MOST_LUGS:
            yield "stud-full"

    def _is_other_voltage(self, node: int) -> bool:
        """Whether the place stands at another system voltage than the load is made for."""
        v = self.solution.steady.node_v
        negative = np.flatnonzero(self.topology.negative_nodes)
        if not len(negative) or np.isnan(v[node]) or np.isnan(v[negative[0]]):
            return False
        nominal_v = self.solution.nominal_v(self.solution.parts[self.held.part])
        return bool(abs(v[node] - v[negative[0]] - nominal_v) > OTHER_VOLTAGE * nominal_v)

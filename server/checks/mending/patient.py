"""A boat with one finding that is to be mended, and what every kind of mend asks of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import networkx as nx

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Finding
from server.boat.leads import Landings, Lead, Side, leads
from server.boat.listed import GROUPS
from server.boat.modes import Mode
from server.boat.parts import AnyPart, Inverter, Load, Outboard
from server.checks.currents import INRUSH_SHARE, lead_current
from server.checks.feeds import Device, between, devices_of, feeding
from server.checks.paths import Node, Paths, node, source_posts
from server.engine.answer import ModeAnswer
from server.units import Ampere

LONGEST_ID = 32


@dataclass(frozen=True, eq=False)
class Patient:
    """A boat with one finding, and its modes as answered."""

    boat: Boat
    finding: Finding
    modes: tuple[ModeAnswer, ...]

    @cached_property
    def parts(self) -> dict[str, AnyPart]:
        """The parts by id."""
        return {part.id: part for part in self.boat.parts}

    @cached_property
    def any_mode(self) -> Mode:
        """A mode that sets nothing, for questions about copper alone."""
        return Mode(id="any", name="Any switch closed")

    @cached_property
    def conductors(self) -> dict[str, Conductor]:
        """The conductors by id."""
        return {one.id: one for one in self.boat.conductors}

    @cached_property
    def landings(self) -> Landings:
        """Which conductor ends land where."""
        return Landings.of(self.boat)

    @cached_property
    def lead_of(self) -> dict[str, Lead]:
        """The lead that each conductor is a part of."""
        return {name: one for one in leads(self.boat) for name in one.conductors}

    def leads_of(self, part: str) -> Iterator[Lead]:
        """The leads that begin on a part and can be followed."""
        return (one for one in leads(self.boat) if one.part == part and one.conductors)

    @cached_property
    def _most(self) -> dict[str, Ampere]:
        found: dict[str, Ampere] = {}
        for answer in self.modes:
            for flow in answer.flows:
                amps = max(abs(flow.current_a), INRUSH_SHARE * abs(flow.event_current_a or 0.0))
                found[flow.element] = max(found.get(flow.element, 0.0), amps)
        return found

    def carried_a(self, element: str) -> Ampere:
        """The least rating of a device that is to carry what runs here: steady, or a share of a start."""
        return self._most.get(element, 0.0)

    def is_of_load(self, conductor: str) -> bool:
        """Whether a conductor is part of a load's lead, so that what it carries is known."""
        lead = self.lead_of.get(conductor)
        return lead is not None and isinstance(self.parts[lead.part], Load | Inverter | Outboard)

    def is_own(self, device: Device, conductor: str) -> bool:
        """Whether a device stands before the lead of one load alone."""
        lead = self.lead_of.get(conductor)
        if lead is None or not self.is_of_load(conductor):
            return False
        return device.load[0] in lead.inline or (lead.tap is not None and node(lead.tap) == device.load)

    def needed_a(self, conductor: str) -> Ampere:
        """The least rating of a device before a conductor."""
        lead = self.lead_of.get(conductor)
        own = 0.0 if lead is None else lead_current(self.boat, self.parts[lead.part], lead.terminal)
        return max(own, self.carried_a(conductor))

    def feeding_side(self, conductor: Conductor) -> Side:
        """The end of a conductor that is nearer to a source."""
        steps = self._steps
        tail, head = (
            len(steps) if end is None else steps.get(node(end), len(steps))
            for end in (conductor.tail, conductor.head)
        )
        return "tail" if tail <= head else "head"

    @cached_property
    def _steps(self) -> dict[Node, int]:
        """How many steps of copper lie between each terminal and the nearest positive post of a source."""
        graph: nx.Graph[Node] = nx.Graph(Paths.of(self.boat, self.any_mode).without_devices)
        graph.add_edges_from((one.line, one.load) for one in devices_of(self.boat))
        posts = {post for _, post in source_posts(self.boat, "positive")}
        near, steps = dict.fromkeys(posts, 0), 0
        edge = set(posts)
        while edge:
            steps += 1
            edge = {beyond for here in edge for beyond in graph.adj[here]} - near.keys()
            near |= dict.fromkeys(edge, steps)
        return near

    def device_before(self, conductor: Conductor) -> Device | None:
        """The largest device that feeds a conductor."""
        piece = Paths.of(self.boat, self.any_mode).pieces_without_devices
        sources = {piece[post] for _, post in source_posts(self.boat, "positive")}
        fed = feeding(between(devices_of(self.boat), piece), sources)
        ends = (end for end in (conductor.tail, conductor.head) if end is not None)
        return next((fed[piece[node(end)]] for end in ends if piece[node(end)] in fed), None)

    def fresh_id(self, wanted: str) -> str:
        """An id like the wanted one that nothing on the boat has."""
        used = {str(one.id) for group in GROUPS for one in getattr(self.boat, group)}
        numbers = ("", *(f"-{number}" for number in range(2, len(used) + 3)))
        return next(name for end in numbers if (name := wanted[: LONGEST_ID - len(end)] + end) not in used)

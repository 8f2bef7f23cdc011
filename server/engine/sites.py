"""Where leads of one polarity may land in a mode: the terminals of each part, node by node."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from server.boat.leads import Polarity
from server.engine.netlist_rows import Terminal
from server.engine.places import Places
from server.engine.topology import Topology


class Site(NamedTuple):
    """The terminals of one part that are one node; ``lugs`` conductor ends stand on the emptiest."""

    part: str
    node: int
    terminals: tuple[Terminal, ...]
    emptiest: Terminal
    lugs: int


class Sites(NamedTuple):
    """The sites of one polarity in document order, and the panel ways left out because a lead has them."""

    free: tuple[Site, ...]
    occupied_ways: frozenset[Terminal]


@dataclass(frozen=True, eq=False)
class Grounds:
    """The sites of a boat in a mode: joined by copper and closed switches to a post of their polarity."""

    topology: Topology
    places: Places

    def of(self, polarity: Polarity) -> Sites:
        """The sites for leads of one polarity."""
        return self.negative if polarity == "negative" else self.positive

    def is_of(self, polarity: Polarity, node: int) -> bool:
        """Whether a node is joined to a post of a polarity."""
        return int(self.topology.metal[node]) in self._pieces(polarity)

    @cached_property
    def positive(self) -> Sites:
        """Sites joined to a source's positive post, the negative side left out."""
        return self._sites(self._pieces("positive"))

    @cached_property
    def negative(self) -> Sites:
        """Sites of the negative side; a post that is also positive of a string is none."""
        return self._sites(self._pieces("negative"))

    def _pieces(self, polarity: Polarity) -> set[int]:
        plus, minus = self._posts
        ground = {self.topology.ground_piece}
        return (minus - plus) | ground if polarity == "negative" else plus - ground

    @cached_property
    def _posts(self) -> tuple[set[int], set[int]]:
        """The pieces of copper with a positive and with a negative post of a source."""
        network, metal = self.topology.net.network, self.topology.metal
        spans = [network.spans[kind] for kind in ("sources", "limited")]
        plus = {int(piece) for span in spans for piece in metal[network.head[span]]}
        minus = {int(piece) for span in spans for piece in metal[network.tail[span]]}
        return plus, minus

    def _sites(self, pieces: Iterable[int]) -> Sites:
        nodes, places = self.topology.net.nodes, self.places
        landing = np.isin(self.topology.metal, np.array(sorted(pieces), np.intp)).tolist()
        joined = [terminal for terminal in places.terminals if landing[nodes[terminal]]]
        occupied = frozenset(spot for spot in joined if spot in places.ways and places.lugs[spot])
        groups: dict[tuple[str, int], list[Terminal]] = {}
        for terminal in joined:
            if terminal not in occupied:
                groups.setdefault((terminal[0], nodes[terminal]), []).append(terminal)
        free = []
        for (part, node), terminals in groups.items():
            emptiest = min(terminals, key=places.lugs.__getitem__)
            free.append(Site(part, node, tuple(terminals), emptiest, places.lugs[emptiest]))
        return Sites(tuple(free), occupied)

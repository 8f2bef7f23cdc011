"""Questions to the graph: what copper joins, what is protected, switched and counted.

A piece is named by a number for each node: two nodes with the same number are joined.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.boat.parts import Battery, Contact, MeasuringShunt
from server.engine.arrays import Flags, Indices
from server.engine.islands import pieces
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Label, Terminal
from server.engine.operating_point import OperatingPoint

DEVICES = frozenset({"fuse", "breaker"})


@dataclass(frozen=True, eq=False)
class Topology:
    """What is joined to what on a boat in a mode. Loads and sources are never a way through."""

    boat: Boat
    net: Netlist

    @cached_property
    def metal(self) -> Indices:
        """Joined by copper, fuses and switches as the mode sets them."""
        return self._pieces(lambda label: label.kind != "load")

    def metal_with_states(self, point: OperatingPoint) -> Indices:
        """Joined by copper, and by relays and diodes that conduct at an operating point."""
        network = self.net.network
        conducts = point.conductance > 0
        for kind in ("sources", "limited", "resistive", "loads"):
            conducts[network.spans[kind]] = False
        conducts |= network.merged
        tail, head = network.tail[conducts], network.head[conducts]
        return pieces(network.nodes, tail, head)

    @cached_property
    def could_join(self) -> Indices:
        """The same with every switch and device closed, relays and diodes taken as a way through."""
        return self._pieces(lambda _: True, opened=lambda _: True, piecewise=True)

    @cached_property
    def without_devices(self) -> Indices:
        """With all fuses and breakers taken out and every switch closed that can be."""
        copper: Callable[[Label], bool] = lambda label: label.kind not in DEVICES  # noqa: E731
        return self._pieces(copper, opened=copper, piecewise=True)

    @cached_property
    def switched_off(self) -> Indices:
        """With every battery switch off."""
        switches = {
            part.id for part in self.boat.parts if isinstance(part, Contact) and part.is_battery_switch
        }
        return self._pieces(lambda label: label.element not in switches)

    @cached_property
    def without_shunts(self) -> Indices:
        """With the measuring shunts taken out."""
        return self._pieces(lambda label: label.kind != "measuring-shunt")

    @cached_property
    def has_battery_switch(self) -> bool:
        """Whether there is any battery switch to be off."""
        return any(isinstance(part, Contact) and part.is_battery_switch for part in self.boat.parts)

    @cached_property
    def live_posts(self) -> Indices:
        """Ungrounded terminals of all sources, whether on or off."""
        return self.net.network.head[self._source_rows]

    @cached_property
    def battery_posts(self) -> Indices:
        """Positive posts of the batteries."""
        return self.net.network.head[self.net.network.spans["sources"]]

    @cached_property
    def ground_piece(self) -> int:
        """The piece on which most loads return: the negative side; -1 on a boat without loads."""
        elements = np.fromiter(self.net.inputs.values(), np.intp, len(self.net.inputs))
        pieces = self.metal[self.net.network.head[elements]]
        return int(np.bincount(pieces).argmax()) if len(pieces) else -1

    @cached_property
    def counted_posts(self) -> Indices:
        """Negative posts of the batteries that a measuring shunt counts."""
        return np.array([node for _, node in self._counted()], np.intp)

    @cached_property
    def protected_nodes(self) -> Flags:
        """Nodes with a fuse or breaker between them and every source."""
        return ~_joined(self.without_devices, self.live_posts)

    def protected_from_others(self, source: str, lead: Sequence[str]) -> Flags:
        """The same for a source's own lead: with it taken off, from all sources but that one."""

        def without(label: Label) -> bool:
            return label.kind not in DEVICES and label.element not in lead

        others = [self.net.labels[row].element != source for row in self._source_rows.tolist()]
        label = self._pieces(without, opened=without, piecewise=True)
        return ~_joined(label, self.live_posts[np.array(others, bool)])

    @cached_property
    def _source_rows(self) -> Indices:
        at, size = self.net.network.spans, self.net.network.size
        return np.concatenate([np.arange(size)[at["sources"]], np.arange(size)[at["limited"]]])

    @cached_property
    def alive_nodes(self) -> Flags:
        """Nodes that a battery keeps alive with every battery switch off."""
        return _joined(self.switched_off, self.battery_posts)

    @cached_property
    def uncounted_nodes(self) -> Flags:
        """Nodes from which a current comes back to a counted bank past its measuring shunt."""
        return _joined(self.without_shunts, self.counted_posts)

    def live_posts_among(self, nodes: set[int]) -> bool:
        """Whether any of the nodes is a source's ungrounded terminal."""
        return not nodes.isdisjoint(self._live_posts)

    @cached_property
    def _live_posts(self) -> frozenset[int]:
        return frozenset(self.live_posts.tolist())

    @staticmethod
    def among(pieces: Indices, node: int, posts: Indices) -> bool:
        """Whether a node is joined to any of some posts."""
        return bool((pieces[posts] == pieces[node]).any())

    @cached_property
    def negative_nodes(self) -> Flags:
        """Nodes of the negative side."""
        negative: Flags = self.metal == self.ground_piece
        return negative

    @cached_property
    def terminals_of_node(self) -> Mapping[int, tuple[Terminal, ...]]:
        """The terminals that are one node."""
        found: dict[int, list[Terminal]] = {}
        for terminal, node in self.net.nodes.items():
            found.setdefault(node, []).append(terminal)
        return {node: tuple(terminals) for node, terminals in found.items()}

    @cached_property
    def adjacent(self) -> Mapping[int, tuple[tuple[int, int], ...]]:
        """For each node, the resistors that land on it and the node at their other end."""
        found: dict[int, list[tuple[int, int]]] = {}
        resistors = self.net.network.resistors
        for row, (a, b) in enumerate(zip(resistors.tail.tolist(), resistors.head.tolist(), strict=True)):
            found.setdefault(a, []).append((row, b))
            found.setdefault(b, []).append((row, a))
        return {node: tuple(edges) for node, edges in found.items()}

    def _counted(self) -> Iterator[tuple[str, int]]:
        shunts = [part for part in self.boat.parts if isinstance(part, MeasuringShunt)]
        for part in self.boat.parts:
            if isinstance(part, Battery):
                for shunt in shunts:
                    if part.bank == shunt.bank or (shunt.bank is None and part.use == "house"):
                        yield part.id, self.net.node(part.id, "negative")

    def _pieces(
        self,
        keep: Callable[[Label], bool],
        opened: Callable[[Label], bool] = lambda _: False,
        *,
        piecewise: bool = False,
    ) -> Indices:
        network, labels = self.net.network, self.net.labels
        count = len(network.resistors)
        kept = np.fromiter((keep(label) for label in labels[:count]), bool, count)
        tail, head = [network.tail[:count][kept]], [network.head[:count][kept]]
        pairs = [(a, b) for a, b, label in self.net.open_pairs if opened(label)]
        if pairs:
            ends = np.array(pairs, np.intp)
            tail.append(ends[:, 0])
            head.append(ends[:, 1])
        if piecewise:
            for kind in ("diodes", "relays"):
                tail.append(network.tail[network.spans[kind]])
                head.append(network.head[network.spans[kind]])
        tails, heads = np.concatenate(tail), np.concatenate(head)
        return pieces(network.nodes, tails, heads)


def _joined(label: Indices, posts: Indices) -> Flags:
    """The nodes that are of one piece with any of some posts."""
    joined: Flags = np.isin(label, label[posts])
    return joined

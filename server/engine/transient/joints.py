"""Branches of an event beside the elements of its network, and the nodes that only they need.

Pairs that contacts may join; a contact of its own for every load that steps turn on or off; a switch behind
the output of every converter.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.netlist_rows import Terminal
from server.engine.transient.circuit import Branches
from server.engine.transient.pairs import LEAST_OHM, Ends, Pair
from server.units import Ohm

NO_ELEMENT = -1
SWITCH_OHM: Ohm = 1e-4
"""Of a converter's output resistance so much lies in its switch."""


@dataclass(frozen=True, eq=False)
class Joints:
    """They follow each other from branch ``first`` and from node ``nodes`` on.

    ``pair_ends`` (rows: tails, heads), ``supplies`` of the loads' contacts and ``outputs`` of the converters
    are nodes of the circuit; ``sources`` are the branches of the converters' outputs.
    """

    pairs: tuple[Pair, ...]
    own: tuple[Terminal, ...]
    pair_ends: Indices
    supplies: Indices
    outputs: Indices
    sources: Indices
    first: int
    nodes: int

    @property
    def count(self) -> int:
        """How many branches there are."""
        return len(self.pairs) + len(self.own) + len(self.outputs)

    @property
    def new_nodes(self) -> int:
        """How many nodes there are."""
        return len(self.own) + len(self.outputs)

    @cached_property
    def of_pair(self) -> Mapping[tuple[str, Ends], int]:
        """The branch of every pair of a contact."""
        return {(pair.part, pair.ends): self.first + k for k, pair in enumerate(self.pairs)}

    @cached_property
    def own_contact(self) -> Mapping[Terminal, int]:
        """The branch of the contact of every load that has one of its own."""
        return {key: self.first + len(self.pairs) + k for k, key in enumerate(self.own)}

    @property
    def behind_contacts(self) -> Indices:
        """The nodes at which the loads with contacts of their own stand."""
        return self.nodes + np.arange(len(self.own))

    @property
    def within(self) -> Indices:
        """The nodes between the converters' regulators and their switches."""
        return self.nodes + len(self.own) + np.arange(len(self.outputs))

    @property
    def switches(self) -> Indices:
        """The branches of the converters' switches."""
        return self.first + len(self.pairs) + len(self.own) + np.arange(len(self.outputs))

    def added_to(self, branches: Branches, pair_ohms: Floats) -> Branches:
        """The branches with these as the last; converters give into their switches."""
        if not self.count:
            return branches
        head, ohm = branches.head.copy(), branches.ohm.copy()
        head[self.sources] = self.within
        ohm[self.sources] = without_switch(ohm[self.sources])
        own_ohms, nothing = np.full(len(self.own), LEAST_OHM), np.zeros(self.count)
        return Branches(
            np.concatenate([branches.tail, self.pair_ends[0], self.supplies, self.within]),
            np.concatenate([head, self.pair_ends[1], self.behind_contacts, self.outputs]),
            np.concatenate([ohm, pair_ohms, own_ohms, np.full(len(self.outputs), SWITCH_OHM)]),
            np.concatenate([branches.henry, nothing]),
            np.concatenate([branches.emf_v, nothing]),
        )

    def element_added_to(self, elements: Indices) -> Indices:
        """The elements of the branches; these stand for none."""
        return np.append(elements, np.full(self.count, NO_ELEMENT, np.intp))


def without_switch(ohm: Floats) -> Floats:
    """Resistances of converters' outputs without that of their switches."""
    rest: Floats = np.maximum(ohm - SWITCH_OHM, LEAST_OHM)
    return rest

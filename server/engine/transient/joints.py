"""Branches of an event beside the elements of its network: pairs of contacts to come, loads' own contacts."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.netlist_rows import Terminal
from server.engine.transient.circuit import Branches
from server.engine.transient.pairs import LEAST_OHM, Ends, Pair

NO_ELEMENT = -1


@dataclass(frozen=True, eq=False)
class Joints:
    """They follow each other from branch ``first`` on: the pairs, then the contacts of the loads ``own``."""

    pairs: tuple[Pair, ...]
    own: tuple[Terminal, ...]
    first: int

    @cached_property
    def of_pair(self) -> Mapping[tuple[str, Ends], int]:
        """The branch of every pair of a contact."""
        return {(pair.part, pair.ends): self.first + k for k, pair in enumerate(self.pairs)}

    @cached_property
    def own_contact(self) -> Mapping[Terminal, int]:
        """The branch of the contact of every load that has one of its own."""
        return {key: self.first + len(self.pairs) + k for k, key in enumerate(self.own)}

    def added_to(
        self, branches: Branches, numbers: Indices, supplies: Indices, pair_ohms: Floats
    ) -> Branches:
        """The branches with these as the last.

        A load behind its own contact stands at a node that comes after all others; ``supplies`` are the nodes
        before the contacts.
        """
        if not (self.pairs or self.own):
            return branches
        nodes = int(numbers.max()) + 1
        tail = numbers[[pair.tail for pair in self.pairs]] if self.pairs else supplies[:0]
        head = numbers[[pair.head for pair in self.pairs]] if self.pairs else supplies[:0]
        count = len(self.pairs) + len(self.own)
        return Branches(
            np.concatenate([branches.tail, tail, supplies]),
            np.concatenate([branches.head, head, nodes + np.arange(len(self.own))]),
            np.concatenate([branches.ohm, pair_ohms, np.full(len(self.own), LEAST_OHM)]),
            np.concatenate([branches.henry, np.zeros(count)]),
            np.concatenate([branches.emf_v, np.zeros(count)]),
        )

    def element_added_to(self, elements: Indices) -> Indices:
        """The elements of the branches; these stand for none."""
        return np.append(elements, np.full(len(self.pairs) + len(self.own), NO_ELEMENT, np.intp))

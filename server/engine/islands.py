"""The separate pieces of a network, asked of the graph before the matrix."""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from server.engine.arrays import Flags, Indices


@dataclass(frozen=True, eq=False)
class Islands:
    """The separate pieces of a network: each is grounded at one node of its own."""

    label: Indices
    ground: Indices
    fed: Flags

    @property
    def node_fed(self) -> Flags:
        """Which nodes a source reaches."""
        return self.fed[self.label]


def pieces(nodes: int, tail: Indices, head: Indices) -> Indices:
    """A number for each node: joined nodes have the same."""
    links = csr_array((np.ones(len(tail)), (tail, head)), shape=(nodes, nodes))
    return connected_components(links, directed=False)[1].astype(np.intp)


def islands(links: csr_array, sources: Indices, preferred: Indices) -> Islands:
    """The pieces of a symmetric graph of joined nodes.

    ``sources`` are nodes of live sources; ``preferred`` are grounds to prefer (battery negatives),
    best first. In a symmetric graph the strongly connected pieces are the pieces; they need no transpose.
    """
    count, label = connected_components(links, directed=True, connection="strong")
    ground = np.empty(count, np.intp)
    ground[label[::-1]] = np.arange(len(label))[::-1]
    best = preferred[::-1]
    ground[label[best]] = best
    fed = np.zeros(count, bool)
    fed[label[sources]] = True
    return Islands(label.astype(np.intp), ground, fed)

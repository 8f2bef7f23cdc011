"""The graph of an event: what is one node, what a source reaches, and a spanning tree with its loops."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree

from server.engine.arrays import Flags, Floats, Indices
from server.engine.islands import pieces


@dataclass(frozen=True, eq=False)
class Forest:
    """A spanning tree of every piece of a graph: for each node its parent and the element that leads there.

    ``sign`` is +1 where the element's tail is the node, so that v_node - v_parent = sign·v_element.
    """

    elements: int
    parent: Indices
    via: Indices
    sign: Floats
    depth: Indices
    piece: Indices

    @classmethod
    def of(cls, nodes: int, tail: Indices, head: Indices, weight: Floats) -> "Forest":
        """The lightest trees: an element left out closes a loop in which it is the heaviest."""
        order = np.argsort(weight, kind="stable")
        order = order[tail[order] != head[order]]
        low, high = np.minimum(tail[order], head[order]), np.maximum(tail[order], head[order])
        _, first = np.unique(low * nodes + high, return_index=True)
        rank = first + 1.0
        graph = csr_array((rank, (low[first], high[first])), shape=(nodes, nodes))
        tree = minimum_spanning_tree(graph).tocoo()
        piece = pieces(nodes, tail, head)
        parent, depth = np.arange(nodes), [0] * nodes
        roots, sizes = np.unique(piece, return_index=True, return_counts=True)[1:]
        for root in roots[sizes > 1].tolist():
            visited, before = breadth_first_order(tree, root, directed=False)
            parent[visited[1:]] = before[visited[1:]]
            for node, above in zip(visited[1:].tolist(), parent[visited[1:]].tolist(), strict=True):
                depth[node] = depth[above] + 1
        element = order[np.rint(tree.data).astype(np.intp) - 1]
        child = np.where(parent[tree.col] == tree.row, tree.col, tree.row)
        via, sign = np.full(nodes, -1, np.intp), np.zeros(nodes)
        via[child] = element
        sign[child] = np.where(tail[element] == child, 1.0, -1.0)
        return cls(len(tail), parent, via, sign, np.array(depth, np.intp), piece)

    def paths(self, tail: Indices, head: Indices) -> csr_array:
        """For each pair of nodes the tree path π (a row), with v_tail - v_head = π·v_elements."""
        a, b = tail.copy(), head.copy()
        rows: list[Indices] = []
        columns: list[Indices] = []
        values: list[Floats] = []
        while (apart := np.flatnonzero(a != b)).size:
            from_tail = self.depth[a[apart]] >= self.depth[b[apart]]
            for end, climbing, direction in ((a, apart[from_tail], 1.0), (b, apart[~from_tail], -1.0)):
                node = end[climbing]
                rows.append(climbing)
                columns.append(self.via[node])
                values.append(direction * self.sign[node])
                end[climbing] = self.parent[node]
        shape = (len(tail), self.elements)
        if not rows:
            return csr_array(shape)
        where = (np.concatenate(rows), np.concatenate(columns))
        return csr_array((np.concatenate(values), where), shape=shape)

    @cached_property
    def in_tree(self) -> Flags:
        """Which elements are in a tree; each of the others closes one loop."""
        found = np.zeros(self.elements, bool)
        found[self.via[self.via >= 0]] = True
        return found


def closing(nodes: int, tail: Indices, head: Indices, among: Indices) -> int | None:
    """An element that closes a loop made of some elements alone, or None where they make no loop."""
    if not among.size or len(np.unique(pieces(nodes, tail[among], head[among]))) == nodes - among.size:
        return None
    forest = Forest.of(nodes, tail[among], head[among], np.zeros(among.size))
    return int(among[np.flatnonzero(~forest.in_tree)[0]])


def rows_named(kind: str, rows: Sequence[int]) -> str:
    """Rows in words: “draw 3”, “draws 3 and 5”, “draws 3, 5 and 7”."""
    if len(rows) == 1:
        return f"{kind} {rows[0]}"
    return f"{kind}s {', '.join(map(str, rows[:-1]))} and {rows[-1]}"

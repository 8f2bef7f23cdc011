"""What takes part in an event: ideal ties merged, parts without a source left out, the rest refused."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array, vstack

from server.engine.arrays import Flags, Floats, Indices
from server.engine.islands import pieces
from server.engine.network import SHORTEST_OHM
from server.engine.transient.circuit import TransientCircuit, TransientError
from server.engine.transient.graph import Forest, closing, rows_named
from server.engine.transient.modes import Modes


@dataclass(frozen=True, eq=False)
class Wiring:
    """The part of a circuit that a source reaches, or will when switched parts close.

    Elements are the live branches, then the live capacitors; their nodes are numbered after merging.
    ``branch``, ``capacitor``, ``draw`` and ``motor`` are the rows of the circuit that are live; ``movable``
    are the motors that may be, now or later.
    ``draw_at`` is the live capacitor across each live draw, ``draw_sign`` -1 where that one points the other
    way. ``arc_rows`` gives for motors that stand for an arc its branch.
    A branch under 1 µΩ without inductance or EMF is no element: its two nodes are one.
    """

    circuit: TransientCircuit
    node_of: Indices
    fed_piece: Indices
    merged: Indices
    branch: Indices
    capacitor: Indices
    draw: Indices
    draw_at: Indices
    draw_sign: Floats
    motor: Indices
    movable: Indices
    troubles: tuple[str, ...]
    arc_rows: Mapping[int, int] = field(default_factory=dict)
    like: "Wiring | None" = field(default=None, repr=False)
    """One of the same graph whose trees serve here too."""
    modes: list[Modes] = field(default_factory=list, repr=False)
    """Those of its own figures: the same matrices have them with others too."""
    _paths: dict[tuple[bytes, bytes], csr_array] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, circuit: TransientCircuit) -> "Wiring":
        """Ask the graph what can be solved.

        Raises:
            TransientError: a draw has no capacitor across it, or a loop has nothing that limits its current.
        """
        branches, capacitors = circuit.branches, circuit.capacitors
        stands, may_close = ~circuit.open_at_first, circuit.may_close
        tie = stands & (branches.ohm < SHORTEST_OHM) & (branches.henry <= 0) & (branches.emf_v == 0)
        node_of = _lowest(circuit.nodes, branches.tail[tie], branches.head[tie])
        reach = _pieces(circuit, node_of, may_close)
        fed = np.isin(reach, reach[branches.tail[may_close & (branches.emf_v > 0)]])
        piece = np.where(fed, _pieces_at_first(circuit, node_of, stands), -1)
        idle = (node_of[branches.tail] == node_of[branches.head]) & (branches.emf_v == 0)
        live = _Live(node_of, piece)
        capacitor = np.flatnonzero(live.between(capacitors.tail, capacitors.head) & (capacitors.farad > 0))
        draw = np.flatnonzero(live.between(circuit.draws.tail, circuit.draws.head))
        ends = np.array([(motor.tail, motor.head) for motor in circuit.motors], np.intp).reshape(-1, 2)
        may_run = _Live(node_of, np.where(fed, reach, -1)).joined(ends[:, 0], ends[:, 1])
        draw_at, sign = _capacitors_across(circuit, node_of, draw, capacitor)
        wiring = cls(
            circuit=circuit,
            node_of=node_of,
            fed_piece=piece,
            merged=np.flatnonzero(tie),
            branch=np.flatnonzero(stands & fed[branches.tail] & ~idle),
            capacitor=capacitor,
            draw=draw,
            draw_at=draw_at,
            draw_sign=sign,
            motor=np.flatnonzero(live.joined(ends[:, 0], ends[:, 1])),
            movable=np.flatnonzero(may_run),
            troubles=tuple(_troubles(circuit, fed, live, may_run)),
        )
        wiring.refuse_unlimited_loops()
        return wiring

    def changed(self, circuit: TransientCircuit, is_open: Flags, arc_rows: Mapping[int, int]) -> "Wiring":
        """The same wiring with other branches open, and some motors that stand for arcs.

        Motors are left out while they are cut off from what would feed them. What a source reached before
        stays in the answer, also where none reaches it now: its capacitors still hold their charge.
        """
        branches, node_of = circuit.branches, self.node_of
        tail, head = node_of[branches.tail], node_of[branches.head]
        reached = self.fed_piece >= 0
        stands = ~is_open & reached[branches.tail] & reached[branches.head]
        stands &= (tail != head) | (branches.emf_v != 0)
        caps = circuit.capacitors
        ends = np.concatenate([tail[stands], node_of[caps.tail[self.capacitor]]])
        others = np.concatenate([head[stands], node_of[caps.head[self.capacitor]]])
        piece = np.where(reached, pieces(circuit.nodes, ends, others)[node_of], -1)
        motor = np.concatenate([self.movable, np.array(sorted(arc_rows), np.intp)])
        drives = [circuit.motors[k] for k in motor.tolist()]
        joined = [piece[drive.tail] == piece[drive.head] for drive in drives]
        wiring = replace(
            self,
            circuit=circuit,
            fed_piece=piece,
            branch=np.flatnonzero(stands),
            motor=motor[np.array(joined, bool)],
            arc_rows=arc_rows,
            like=None,
            modes=[],
            _paths={},
        )
        wiring.refuse_unlimited_loops()
        return wiring

    def with_figures_of(self, circuit: TransientCircuit) -> "Wiring":
        """The same for a circuit of the same graph; for any other circuit its own.

        Raises:
            TransientError: as ``of``.
        """
        if _graph_of(circuit) != _graph_of(self.circuit):
            return Wiring.of(circuit)
        wiring = replace(self, circuit=circuit, like=self.like or self)
        wiring.refuse_unlimited_loops()
        return wiring

    @cached_property
    def tail(self) -> Indices:
        """Tail of every element."""
        both = (self.circuit.branches.tail[self.branch], self.circuit.capacitors.tail[self.capacitor])
        return self.node_of[np.concatenate(both)]

    @cached_property
    def head(self) -> Indices:
        """Head of every element."""
        both = (self.circuit.branches.head[self.branch], self.circuit.capacitors.head[self.capacitor])
        return self.node_of[np.concatenate(both)]

    @cached_property
    def ohm(self) -> Floats:
        """Series resistance of every element."""
        both = (self.circuit.branches.ohm[self.branch], self.circuit.capacitors.ohm[self.capacitor])
        return np.concatenate(both)

    @cached_property
    def henry(self) -> Floats:
        """Inductance of every element; capacitors have none."""
        return np.concatenate([self.circuit.branches.henry[self.branch], np.zeros(len(self.capacitor))])

    @cached_property
    def emf(self) -> Floats:
        """EMF of every element."""
        return np.concatenate([self.circuit.branches.emf_v[self.branch], np.zeros(len(self.capacitor))])

    @cached_property
    def forest(self) -> Forest:
        """Spanning trees with as little inductance in them as can be."""
        if self.like is not None:
            return self.like.forest
        return Forest.of(self.circuit.nodes, self.tail, self.head, self.henry)

    @cached_property
    def links(self) -> Indices:
        """The elements that close a loop each, those without inductance first."""
        links = np.flatnonzero(~self.forest.in_tree)
        still = self.henry[links] <= 0
        return np.concatenate([links[still], links[~still]])

    @cached_property
    def slack(self) -> int:
        """How many of the links have no inductance."""
        return int((self.henry[self.links] <= 0).sum())

    @cached_property
    def loops(self) -> csr_array:
        """The loops (rows) over the elements: of every link, then of every live motor without the motor."""
        if self.like is not None:
            return self.like.loops
        links = self.links
        closed = self.one_by_one(links) - self.forest.paths(self.tail[links], self.head[links])
        return csr_array(vstack([closed, -self.motor_paths]))

    @cached_property
    def stored(self) -> Floats:
        """The capacitors in the loops."""
        return np.asarray(self.loops[:, len(self.branch) :].todense(), np.float64)

    @cached_property
    def loop_henry(self) -> Floats:
        """The loops' inductances and what they share."""
        return self.products(self.henry)

    @cached_property
    def _through(self) -> Floats:
        """Which loops (columns) go through each element."""
        return self.like._through if self.like is not None else self.loops.T.toarray()

    def products(self, figure: Floats) -> Floats:
        """B·diag(figure)·Bᵀ with the loops B."""
        loops = self.loops
        weighed = csr_array((loops.data * figure[loops.indices], loops.indices, loops.indptr), loops.shape)
        return np.asarray(weighed @ self._through, np.float64)

    @cached_property
    def dead(self) -> Flags:
        """Which live draws no branches join yet: only capacitors do."""
        count, draws = len(self.branch), self.circuit.draws
        piece = pieces(self.circuit.nodes, self.tail[:count], self.head[:count])[self.node_of]
        apart: Flags = piece[draws.tail[self.draw]] != piece[draws.head[self.draw]]
        return apart

    def joined(self, tail: Indices, head: Indices) -> Flags:
        """Which pairs of nodes are on one piece that a source reaches."""
        found: Flags = _Live(self.node_of, self.fed_piece).joined(tail, head)
        return found

    def paths(self, tail: Indices, head: Indices) -> csr_array:
        """Tree paths between pairs of joined nodes, one a row over the elements."""
        key = (tail.tobytes(), head.tobytes())
        if key not in self._paths:
            self._paths[key] = self.forest.paths(self.node_of[tail], self.node_of[head])
        return self._paths[key]

    def one_by_one(self, elements: Indices, sign: Floats | float = 1.0) -> csr_array:
        """Paths of one element each."""
        weight = sign * np.ones(len(elements))
        return csr_array(
            (weight, (np.arange(len(elements)), elements)), shape=(len(elements), len(self.tail))
        )

    @cached_property
    def motor_paths(self) -> csr_array:
        """The tree paths between the two sides of each live motor."""
        motors = [self.circuit.motors[k] for k in self.motor.tolist()]
        tail = np.array([motor.tail for motor in motors], np.intp)
        return self.paths(tail, np.array([motor.head for motor in motors], np.intp))

    def refuse_unlimited_loops(self) -> None:
        """Raise where a loop has neither resistance nor inductance, or would carry a current for ever."""
        nodes, tail, head = self.circuit.nodes, self.tail, self.head
        count = len(self.branch)
        bare = np.flatnonzero((self.henry <= 0) & (self.ohm <= 0))
        lossless = np.flatnonzero(self.ohm[:count] <= 0)
        for rows, lack in ((bare, "resistance or inductance"), (lossless, "resistance")):
            found = closing(nodes, tail, head, rows)
            if found is not None:
                raise TransientError(f"{self.element_name(found)} closes a loop without {lack}")
        through = self.motor_paths
        for row, number in enumerate(self.motor.tolist()):
            motor = self.circuit.motors[number]
            series = motor.main_henry if motor.eddy_ohm is None else 0.0
            on_path = through[[row]].indices
            if motor.leakage_henry + series <= 0 and not (self.henry[on_path] > 0).any():
                raise TransientError(f"{motor.name}: nothing in its circuit has inductance")
            if motor.inertia_j <= 0:
                raise TransientError(f"{motor.name}: its inertia is not above zero")

    def element_name(self, element: int) -> str:
        """An element in words."""
        count = len(self.branch)
        if element < count:
            return f"branch {self.branch[element]}"
        return f"capacitor {self.capacitor[element - count]}"


def _graph_of(circuit: TransientCircuit) -> tuple[object, ...]:
    """What a circuit's trees and merged nodes follow: its ends, and which figures are nothing."""
    branches, capacitors, draws = circuit.branches, circuit.capacitors, circuit.draws
    ends = [one for record in (branches, capacitors, draws) for one in (record.tail, record.head)]
    flags = [
        branches.ohm < SHORTEST_OHM,
        branches.henry > 0,
        branches.emf_v > 0,
        branches.emf_v == 0,
        circuit.open_at_first,
        circuit.may_close,
        capacitors.farad > 0,
    ]
    motors = tuple((motor.tail, motor.head) for motor in circuit.motors)
    return circuit.nodes, motors, *(one.tobytes() for one in (*ends, *flags))


@dataclass(frozen=True, eq=False)
class _Live:
    node_of: Indices
    piece: Indices

    def joined(self, tail: Indices, head: Indices) -> Flags:
        joined: Flags = (self.piece[tail] == self.piece[head]) & (self.piece[tail] >= 0)
        return joined

    def between(self, tail: Indices, head: Indices) -> Flags:
        apart: Flags = self.joined(tail, head) & (self.node_of[tail] != self.node_of[head])
        return apart


def _pieces(circuit: TransientCircuit, node_of: Indices, closed: Flags) -> Indices:
    """The piece of every node, by the branches that are closed."""
    tail, head = (node_of[ends[closed]] for ends in (circuit.branches.tail, circuit.branches.head))
    found: Indices = pieces(circuit.nodes, tail, head)[node_of]
    return found


def _pieces_at_first(circuit: TransientCircuit, node_of: Indices, stands: Flags) -> Indices:
    """The same before anything happens; what has no source yet is joined by its capacitors too."""
    branches, capacitors = circuit.branches, circuit.capacitors
    piece = _pieces(circuit, node_of, stands)
    has_source = np.isin(piece, piece[branches.tail[stands & (branches.emf_v > 0)]])
    bridges = (capacitors.farad > 0) & ~(has_source[capacitors.tail] & has_source[capacitors.head])
    tail = np.concatenate([branches.tail[stands], capacitors.tail[bridges]])
    head = np.concatenate([branches.head[stands], capacitors.head[bridges]])
    joined: Indices = pieces(circuit.nodes, node_of[tail], node_of[head])[node_of]
    return joined


def _lowest(nodes: int, tail: Indices, head: Indices) -> Indices:
    """For every node the lowest one it is merged with."""
    if not tail.size:
        return np.arange(nodes)
    label = pieces(nodes, tail, head)
    lowest: Indices = np.unique(label, return_index=True)[1][label]
    return lowest


def _capacitors_across(
    circuit: TransientCircuit, node_of: Indices, draw: Indices, capacitor: Indices
) -> tuple[Indices, Floats]:
    """The live capacitor across each live draw, and whether it points the same way."""
    ends = zip(
        node_of[circuit.capacitors.tail[capacitor]].tolist(),
        node_of[circuit.capacitors.head[capacitor]].tolist(),
        strict=True,
    )
    across: dict[tuple[int, int], tuple[int, float]] = {}
    for row, (tail, head) in enumerate(ends):
        across.setdefault((tail, head), (row, 1.0))
        across.setdefault((head, tail), (row, -1.0))
    found = []
    for row in draw.tolist():
        pair = (int(node_of[circuit.draws.tail[row]]), int(node_of[circuit.draws.head[row]]))
        if pair not in across:
            raise TransientError(f"draw {row} has no capacitor across its two nodes")
        found.append(across[pair])
    return np.array([row for row, _ in found], np.intp), np.array([sign for _, sign in found], np.float64)


def _troubles(circuit: TransientCircuit, fed: Flags, live: _Live, connected: Flags) -> list[str]:
    """What no source reaches, in words."""
    troubles = []
    if not fed.all():
        troubles.append(f"{rows_named('node', np.flatnonzero(~fed).tolist())}: no source reaches there")
    for kind, record in (("capacitor", circuit.capacitors), ("draw", circuit.draws)):
        loose = np.flatnonzero(~live.joined(record.tail, record.head)).tolist()
        if loose:
            troubles.append(f"{rows_named(kind, loose)}: left out, not connected to one source on both sides")
    for motor, is_connected in zip(circuit.motors, connected.tolist(), strict=True):
        if not is_connected:
            troubles.append(f"{motor.name}: left out, not connected to one source on both sides")
    return troubles

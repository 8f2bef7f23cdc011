"""What makes up the voltage of every branch at instants of a stretch: resistance, inductance, source."""

from typing import NamedTuple

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.segment import Segment


class BranchParts(NamedTuple):
    """Branches (rows) at instants (columns): v_tail - v_head is the sum of the three; nan where unknown."""

    resistance_v: Floats
    inductance_v: Floats
    source_v: Floats


def branch_parts(circuit: TransientCircuit, segment: Segment, times: Floats) -> BranchParts:
    """The parts of all branches; ``circuit`` is the one before any switched part changed its state.

    A source counts with the EMF that it had then: what else a changed line or an open contact holds is the
    resistance's. Pieces that no branch joins any more have a zero of their own each, which no sum over
    a way from node to node notices.
    """
    system, branches = segment.system, circuit.branches
    wiring, count = system.wiring, len(branches)
    parts = BranchParts(*np.full((3, count, len(times)), np.nan))
    for part in parts:
        part[wiring.merged] = 0.0
    live, now = wiring.branch, wiring.circuit.branches
    elements = np.arange(len(live))
    whole = segment.values(system.voltages(wiring.one_by_one(elements)), times)
    ohmic = now.ohm[live, None] * segment.values(system.currents(elements), times)
    rise = branches.emf_v[live, None] - now.emf_v[live, None]
    parts.source_v[live] = -branches.emf_v[live, None]
    for one in circuit.supplies:
        parts.source_v[live] -= np.outer(one.shares(count)[live], one.line_since(segment.start_s, times))
    parts.resistance_v[live] = ohmic + rise
    parts.inductance_v[live] = whole - (ohmic + rise) - parts.source_v[live]
    opened = np.array([row for one in circuit.switched for row in one.rows], np.intp)
    opened = opened[~np.isin(opened, live) & (wiring.fed_piece[branches.tail[opened]] >= 0)]
    if opened.size:
        pieces, roots = np.unique(wiring.forest.piece, return_index=True)
        tail, head = (wiring.node_of[ends[opened]] for ends in (branches.tail, branches.head))
        root = [roots[np.searchsorted(pieces, wiring.forest.piece[ends])] for ends in (tail, head)]
        path = wiring.paths(tail, root[0]) - wiring.paths(head, root[1])
        parts.source_v[opened] = -branches.emf_v[opened, None]
        parts.inductance_v[opened] = 0.0
        parts.resistance_v[opened] = segment.values(system.voltages(path), times) - parts.source_v[opened]
    return parts

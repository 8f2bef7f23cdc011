"""Currents of all branches, also of ideal ties: those follow from Kirchhoff's current law alone."""

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.transient.equations import Lines, Outputs, System


def branch_currents(system: System, lines: Lines, rows: Indices) -> Outputs:
    """Currents of branches by their rows, tail to head, arcs included; nan where no source reaches."""
    wiring = system.wiring
    place = np.full(len(wiring.circuit.branches), -1, np.intp)
    place[wiring.branch] = np.arange(len(wiring.branch))
    found = system.currents(np.maximum(place[rows], 0))
    state, direct = found.state.copy(), found.direct.copy()
    tied = np.isin(rows, wiring.merged)
    state[place[rows] < 0], direct[place[rows] < 0] = 0.0, 0.0
    direct[(place[rows] < 0) & ~_is_reached(system, rows), 0] = np.nan
    for number, motor in zip(system.closed, system.places, strict=True):
        row = wiring.arc_rows.get(int(wiring.motor[number]))
        if row is not None:
            state[rows == row, motor.current] += 1.0
    if tied.any():
        ties = _tied(system, lines)
        at = np.searchsorted(wiring.merged, rows[tied])
        state[tied] += ties.state[at]
        direct[tied] += ties.direct[at]
    return system.outputs(state, direct)


def _is_reached(system: System, rows: Indices) -> Flags:
    wiring, branches = system.wiring, system.wiring.circuit.branches
    return wiring.joined(branches.tail[rows], branches.head[rows])


def _tied(system: System, lines: Lines) -> Outputs:
    """Currents of the ideal ties: on a tree the law alone decides, around a loop equal shares are taken."""
    wiring, circuit = system.wiring, system.wiring.circuit
    branches, capacitors, draws = circuit.branches, circuit.capacitors, circuit.draws
    count, caps = len(wiring.branch), len(wiring.capacitor)
    through = system.currents(np.arange(count + caps))
    drawn = _drawn(system, lines)
    motors = system.of_states([place.current for place in system.places])
    own = np.zeros((caps, len(wiring.draw)))
    own[wiring.draw_at, np.arange(len(wiring.draw))] = wiring.draw_sign
    state = np.vstack([through.state, drawn.state, motors.state])
    direct = np.vstack([through.direct, drawn.direct, motors.direct])
    state[count : count + caps] -= own @ drawn.state
    direct[count : count + caps] -= own @ drawn.direct
    drives = [circuit.motors[wiring.motor[k]] for k in system.closed]
    ends = [(branches, wiring.branch), (capacitors, wiring.capacitor), (draws, wiring.draw)]
    tail = np.concatenate([record.tail[live] for record, live in ends] + [_nodes([d.tail for d in drives])])
    head = np.concatenate([record.head[live] for record, live in ends] + [_nodes([d.head for d in drives])])
    tie_tail, tie_head = branches.tail[wiring.merged], branches.head[wiring.merged]
    nodes = np.unique(np.concatenate([tie_tail, tie_head]))
    leaving = _incidence(nodes, tail, head)
    share = -np.linalg.pinv(_incidence(nodes, tie_tail, tie_head)) @ leaving
    return system.outputs(share @ state, share @ direct)


def _drawn(system: System, lines: Lines) -> Outputs:
    """The draws' currents, tail to head."""
    wiring = system.wiring
    across = system.voltages(wiring.one_by_one(len(wiring.branch) + wiring.draw_at, wiring.draw_sign))
    direct = lines.conductance * across.direct
    direct[:, 0] += lines.offset_a[:, 0]
    direct[:, 1 : 1 + len(wiring.draw)] += np.eye(len(wiring.draw))
    return system.outputs(lines.conductance * across.state, direct)


def _incidence(nodes: Indices, tail: Indices, head: Indices) -> Floats:
    """+1 where an element leaves a node, -1 where it comes in."""
    leaves, comes_in = nodes[:, None] == tail, nodes[:, None] == head
    incidence: Floats = leaves.astype(np.float64) - comes_in
    return incidence


def _nodes(numbers: list[int]) -> Indices:
    return np.array(numbers, np.intp)

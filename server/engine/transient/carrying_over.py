"""The state of one system carried over into another after branches opened, closed or changed their line.

What inductances hold around every loop that is left is kept: with loops B over the elements,
``B L Bᵀ j = B L i`` (flux linkage; any textbook on switched networks). Where the currents before already obey
Kirchhoff's law after, they stay what they were; else the current that is cut goes where the flux sends it.
"""

from collections.abc import Mapping

import numpy as np
from scipy.sparse import diags_array

from server.engine.arrays import Floats, Indices
from server.engine.transient.equations import System


def carried_over(before: System, x: Floats, w: Floats, after: System, arc_rows: Mapping[int, int]) -> Floats:
    """The state after, at no time later; contacts that close begin without current.

    ``w`` are the inputs before; ``arc_rows`` gives for motors that stand for arcs their branch.
    """
    old, new, caps = before.wiring, after.wiring, len(before.wiring.capacitor)
    found = np.zeros(len(after.A))
    found[after.capacitor_state] = x[before.capacitor_state]
    places = {int(old.motor[k]): place for k, place in zip(before.closed, before.places, strict=True)}
    by_row = _currents(before, x, w)
    for motor, row in arc_rows.items():
        if motor in places:
            by_row[row] += x[places[motor].current]
    live = {int(new.motor[k]) for k in after.closed}
    in_arcs = {motor: float(by_row[row]) for motor, row in arc_rows.items() if motor in live}
    by_row[[arc_rows[motor] for motor in in_arcs]] = 0.0
    amps = np.concatenate([by_row[new.branch], by_row[len(by_row) - caps :]])
    through = after.loops[len(after.slack_state) :]
    linked = through @ (new.henry * amps)
    own = np.zeros(len(after.dynamic))
    loops = len(after.dynamic) - len(after.places)
    for k, (number, place) in enumerate(zip(after.closed, after.places, strict=True)):
        motor = int(new.motor[number])
        drive = new.circuit.motors[motor]
        own[loops + k] = drive.leakage_henry + (drive.main_henry if drive.eddy_ohm is None else 0.0)
        if motor in in_arcs:
            linked[loops + k] += own[loops + k] * in_arcs[motor]
        else:
            was = places[motor]
            linked[loops + k] += own[loops + k] * x[was.current]
            found[place.current + 1 : place.speed + 1] = x[was.current + 1 : was.speed + 1]
    mass = np.asarray((through @ diags_array(new.henry) @ through.T).todense()) + np.diag(own)
    found[after.dynamic] = np.linalg.solve(mass, linked)
    return found


def _currents(system: System, x: Floats, w: Floats) -> Floats:
    """The currents of all branches by their rows, then of the live capacitors."""
    wiring = system.wiring
    count, caps = len(wiring.branch), len(wiring.capacitor)
    read = system.currents(_all(count + caps))
    amps = read.state @ x + read.direct @ w
    found = np.zeros(len(wiring.circuit.branches) + caps)
    found[wiring.branch] = amps[:count]
    found[len(found) - caps :] = amps[count:]
    return found


def branch_amps(system: System, x: Floats, w: Floats, row: int) -> float:
    """The current of a branch."""
    return float(_currents(system, x, w)[row])


def _all(count: int) -> Indices:
    return np.arange(count)

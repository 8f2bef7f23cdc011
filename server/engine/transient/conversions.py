"""Converters at work in an event: what their inputs draw follows what their outputs give."""

from dataclasses import dataclass

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.wiring import Wiring


@dataclass(frozen=True, eq=False)
class Conversions:
    """What each draws: idling, and what it gives over its efficiency.

    It gives the least of its lines i = (E - v)/R at its output's voltage, or nothing. ``draw`` and ``output``
    are rows among the live draws; ``siemens`` and ``emf_v`` have a row for each line, and one converter after
    the other in a second axis; the rest are columns. One that is switched off has no siemens.
    """

    draw: Indices
    output: Indices
    siemens: Floats
    emf_v: Floats
    efficiency: Floats
    idle_w: Floats

    @classmethod
    def of(cls, wiring: Wiring) -> "Conversions | None":
        """Those whose input and output are live in a wiring; None where there are none."""
        circuit, place = wiring.circuit, {row: k for k, row in enumerate(wiring.draw.tolist())}
        found = [one for one in circuit.converters if {one.draw, one.output} <= place.keys()]
        if not found:
            return None
        lines = np.array([_lines(circuit, one.source) for one in found])
        switch = np.array([one.switch for one in found], np.intp)
        gives = np.isin(switch, wiring.branch)
        ohm = lines[:, :, 0] + circuit.branches.ohm[switch][:, None]
        return cls(
            np.array([place[one.draw] for one in found], np.intp),
            np.array([place[one.output] for one in found], np.intp),
            (gives[:, None] / ohm).T[:, :, None],
            lines[:, :, 1].T[:, :, None],
            np.array([[one.efficiency] for one in found]),
            np.array([[one.idle_w] for one in found]),
        )

    def power_w(self, v: Floats) -> Floats:
        """What their inputs draw at voltages of the draws."""
        across = v[self.output]
        amps = ((self.emf_v - across) * self.siemens).min(axis=0)
        drawn: Floats = np.maximum(across * amps, 0.0) / self.efficiency + self.idle_w
        return drawn


def _lines(circuit: TransientCircuit, source: int) -> list[tuple[float, float]]:
    """Resistance and EMF of a converter's output while it regulates, and while it is at its limit."""
    states = next(one.states for one in circuit.switched if one.follows and one.rows == (source,))
    return [(state.line.ohm, state.line.emf_v) for state in states if state.line is not None]

"""The equations of an event's circuit in any states of its switched parts, with any contacts arcing.

An arcing contact stands in as a motor without flux: the closed contact's resistance, next to no inductance,
and the arc, so that the arc's end is found as that of a motor's own contact is.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from server.engine.transient.circuit import MotorDrive, TransientCircuit
from server.engine.transient.equations import Equations, Lines
from server.engine.transient.switched import Arc
from server.engine.transient.wiring import Wiring

CONTACT_HENRY = 1e-9
"""Inductance of an arcing contact: a millimetre of lead, so that its loop has one of its own."""
GAP_OHM = 1e4
"""Beside an arc while it burns, so that its sides stay joined where nothing else joins them: milliamperes."""


@dataclass(frozen=True, slots=True)
class Setting:
    """The states of all switched parts, and the branches whose contact arcs, ascending."""

    states: tuple[int, ...]
    arcing: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Variants:
    """A circuit's equations for each setting, made when asked for; ``base`` is its wiring at first."""

    base: Wiring
    lines: Lines
    _made: dict[Setting, Equations] = field(default_factory=dict, repr=False)

    @cached_property
    def first(self) -> Setting:
        """The setting before anything happens."""
        return Setting(tuple(one.start for one in self.base.circuit.switched))

    def equations(self, setting: Setting) -> Equations:
        """The equations in a setting.

        Raises:
            TransientError: it has no solution.
        """
        if setting not in self._made:
            wiring = self.base if setting == self.first else self._wiring(setting)
            self._made[setting] = Equations(wiring, self.lines)
        return self._made[setting]

    def arc_motor(self, row: int) -> int:
        """The number of the motor that stands for a branch's arcing contact."""
        return len(self.base.circuit.motors) + self._arcing_rows.index(row)

    def arc_row(self, motor: int) -> int | None:
        """The branch whose arcing contact a motor stands for; None for a motor."""
        at = motor - len(self.base.circuit.motors)
        return self._arcing_rows[at] if at >= 0 else None

    @cached_property
    def _arcing_rows(self) -> list[int]:
        switched = self.base.circuit.switched
        return [row for one in switched if one.arc is not None for row in one.rows]

    @cached_property
    def drives(self) -> tuple[MotorDrive, ...]:
        """All motors, and those that stand for arcs."""
        circuit = self.base.circuit
        arcs = [
            _arc_drive(circuit, row, one.name, one.arc)
            for one in circuit.switched
            if one.arc is not None
            for row in one.rows
        ]
        return (*circuit.motors, *arcs)

    def _wiring(self, setting: Setting) -> Wiring:
        circuit, branches = self.base.circuit, self.base.circuit.branches
        is_open = np.zeros(len(branches), bool)
        ohm, henry, emf_v = branches.ohm.copy(), branches.henry.copy(), branches.emf_v.copy()
        for one, number in zip(circuit.switched, setting.states, strict=True):
            state, rows = one.states[number], list(one.rows)
            is_open[list(one.open_rows(number))] = True
            if state.line is not None:
                ohm[rows], emf_v[rows] = state.line.ohm, state.line.emf_v
        gaps = list(setting.arcing)
        is_open[gaps], ohm[gaps], henry[gaps] = False, GAP_OHM, 0.0
        lines = replace(branches, ohm=ohm, henry=henry, emf_v=emf_v)
        changed = replace(circuit, branches=lines, motors=self.drives)
        return self.base.changed(changed, is_open, {self.arc_motor(row): row for row in setting.arcing})


def _arc_drive(circuit: TransientCircuit, row: int, name: str, arc: Arc) -> MotorDrive:
    """The arc of a contact; a source's own breaks its current against its EMF too."""
    branches = circuit.branches
    return MotorDrive(
        name=name,
        tail=int(branches.tail[row]),
        head=int(branches.head[row]),
        ohm=float(branches.ohm[row]),
        leakage_henry=CONTACT_HENRY + float(branches.henry[row]),
        arc=replace(arc, volts=arc.volts - float(branches.emf_v[row])),
        press_s=0.0,
        release_s=0.0,
    )

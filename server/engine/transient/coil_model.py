"""A coil pressed and let go in the boat's own wiring: its control contact, and what lies beside it.

The contact that lets it go lies at the coil's positive; what suppresses the coil lies behind that, across
the coil: a diode or a varistor as a straight line beyond its voltage, a resistor as itself. The contact's gap
holds so much that the suppression alone decides; without any, what suppressor makers report of such coils.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from server.boat.devices import Suppression
from server.engine.operating_point import operating_point
from server.engine.solution import EventSolution, Solution
from server.engine.transient.circuit import Arc, Branches, MotorDrive, TransientCircuit
from server.engine.transient.coil_release import DIODE_V
from server.engine.transient.coils import CoilAt
from server.engine.transient.draw import NOMINAL, Draw
from server.engine.transient.switched import Border, State, Switched, Volts
from server.engine.transient.unpressed import UnpressedModel, heavy_out, without_heavy
from server.units import Ohm, Second, Volt

UNSUPPRESSED_V: Volt = 1500.0
"""What a contact's gap may hold against a coil: 1,000 to 1,500 V with bare coils of starters and contactors.

A maker of suppressors, a weak source; relay makers say hundreds to thousands.
"""
CLAMP_OHM: Ohm = 0.01
CONTACT_OHM: Ohm = 1e-4
CONTACT_HENRY = 1e-9
TIMES = 10
"""The coil is held, and looked at afterwards, for so many of its time constants."""
PASSED_V: Volt = 1e-6
OPEN, CONDUCTS = 0, 1


@dataclass(frozen=True, eq=False)
class CoilSolution(EventSolution):
    """A mode with nothing heavy on, and a coil that is pressed in it."""

    coil: CoilAt

    @classmethod
    def of(cls, solution: Solution, coil: CoilAt) -> "CoilSolution | None":
        """The mode at rest, the coil off; None where the coil is not fed in it."""
        out = heavy_out(solution.net)
        out[coil.row] = True
        net = replace(solution.net, off=out)
        rest = operating_point(net.network, out)
        if np.isnan(rest.node_v[[net.network.tail[coil.row], net.network.head[coil.row]]]).any():
            return None
        name = f"{solution.names.parts[coil.key[0]].name} is let go"
        return cls(without_heavy(solution, name), net, rest, rest, coil)


@dataclass(frozen=True, eq=False)
class CoilModel(UnpressedModel):
    """The circuit: the boat's, then the coil's own node, its contact as a motor without flux, its clamp."""

    solved: CoilSolution

    @cached_property
    def ohm(self) -> Ohm:
        """The coil's resistance."""
        start = self.network.spans["resistive"].start
        return float(self.network.resistive.ohm[self.solved.coil.row - start])

    @cached_property
    def henry(self) -> float:
        """Its inductance: as given, else by its time constant."""
        coil, part = self.solved.coil.coil, self.solved.coil.key[0]
        if coil.inductance_h is not None:
            return self.own.given(coil.inductance_h, part, "coil inductance").value
        return self.own.level("coil_inductance_time", part).value * self.ohm

    @property
    def release_s(self) -> Second:
        """When it is let go, counted from when it was pressed."""
        return TIMES * self.henry / self.ohm

    @property
    def _end_s(self) -> Second:
        return 2 * self.release_s

    @cached_property
    def across(self) -> tuple[int, int]:
        """The circuit's nodes of the coil itself: behind its contact, and its negative."""
        return super().circuit().nodes, int(self.numbers[self.network.head[self.solved.coil.row]])

    @cached_property
    def coil_branch(self) -> int:
        """The branch of the coil, in the circuit."""
        return len(super().circuit().branches)

    def circuit(self, draw: Draw = NOMINAL) -> TransientCircuit:
        """The circuit; the coil is pressed at zero."""
        whole, coil = super().circuit(draw), self.solved.coil
        behind, minus = self.across
        beside = coil.coil.suppression
        rows, clamp = _beside(beside, behind, minus, len(whole.branches) + 1)
        contact = MotorDrive(
            name="the contact of the coil",
            tail=int(self.numbers[self.network.tail[coil.row]]),
            head=behind,
            ohm=CONTACT_OHM,
            leakage_henry=CONTACT_HENRY,
            arc=Arc(UNSUPPRESSED_V, 0.0),
            press_s=0.0,
            release_s=self.release_s,
        )
        more = Branches.of([(behind, minus, self.ohm, self.henry, 0.0), *rows])
        branches = whole.branches.followed_by(more)
        own = np.full(len(more), -1, np.intp)
        return replace(
            whole,
            nodes=whole.nodes + 1,
            branches=branches,
            branch_element=np.concatenate([whole.branch_element, own]),
            motors=(contact,),
            switched=(*whole.switched, *clamp),
        )


def _beside(
    one: Suppression | None, behind: int, minus: int, row: int
) -> tuple[list[tuple[float, ...]], tuple[Switched, ...]]:
    """What lies across a coil: its branch, if it is of a stated figure, and its law as a diode's."""
    match one:
        case Suppression(kind="resistor", resistance_ohm=float(ohm)):
            return [(behind, minus, ohm, 0.0, 0.0)], ()
        case Suppression(kind="diode"):
            drop_v = DIODE_V
        case Suppression(kind="diode-and-zener", clamp_v=float(clamp_v)):
            drop_v = clamp_v + DIODE_V
        case Suppression(kind="varistor", clamp_v=float(clamp_v)):
            drop_v = clamp_v
        case _:
            return [], ()
    reading = Volts(((minus, behind),))
    states = (
        State((Border(reading, drop_v + PASSED_V, True, 0.0, CONDUCTS),), is_open=True),
        State((Border(reading, drop_v - PASSED_V, False, 0.0, OPEN),)),
    )
    clamp = Switched("what lies beside the coil", (row,), states, OPEN, follows=True)
    return [(minus, behind, CLAMP_OHM, 0.0, -drop_v)], (clamp,)

"""A boat's network as a circuit in time without any heavy load pressed; others add what moves it."""

from dataclasses import dataclass
from functools import cached_property

from server.boat.modes import Event, HeavyInput
from server.engine.arrays import Flags
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint
from server.engine.solution import Solution
from server.engine.transient.drained import Drained
from server.engine.transient.model import BoatModel
from server.engine.transient.preheat import NOTHING, Preheat
from server.engine.transient.schedule import Schedule

NO_HEAVY = HeavyInput(part="none", input="none")
"""What stands for the heavy load of an event: here nothing is pressed."""


def without_heavy(solution: Solution, name: str) -> Event:
    """An event of a mode in which no heavy load is pressed."""
    return Event(id="none", name=name, mode=solution.mode.id, heavy=NO_HEAVY)


def heavy_out(net: Netlist) -> Flags:
    """What is out of the circuit of a mode with every heavy load off."""
    out = net.off.copy()
    for key in net.stalled:
        running = net.inputs[key]
        out[running] |= net.labels[running].kind != "outboard"
    return out


@dataclass(frozen=True, eq=False)
class UnpressedModel(BoatModel):
    """The circuit of a mode at rest in the state ``solved.absent``."""

    @cached_property
    def schedule(self) -> Schedule:
        """Nothing is pressed."""
        return Schedule((), ())

    @cached_property
    def before(self) -> OperatingPoint:
        """The operating point at rest."""
        return self.solved.absent

    @cached_property
    def preheat(self) -> Preheat:
        """None."""
        return NOTHING

    @cached_property
    def drained(self) -> Drained:
        """Nothing was drawn before."""
        return Drained(self.solution, self.solved, (), None, 0.0)

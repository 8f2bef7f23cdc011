"""Preheating while the engine is started: glow plugs as they are wired, else a draw at the starter."""

from dataclasses import dataclass

import numpy as np

from server.boat.modes import Conditions
from server.boat.parts import Load
from server.engine.arrays import Indices
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal
from server.engine.operating_point import OperatingPoint
from server.engine.solution import Solution
from server.engine.transient.circuit import Branches
from server.units import Ohm

NO_ELEMENT = -1


@dataclass(frozen=True, slots=True)
class Preheat:
    """A resistance between two nodes of the network, beside its elements, or none; and a remark."""

    ends: tuple[int, int] | None
    ohm: Ohm
    remark: str

    def added_to(self, branches: Branches, numbers: Indices) -> Branches:
        """The branches with the preheating as the last."""
        if self.ends is None:
            return branches
        tail, head = self.ends
        return Branches(
            np.append(branches.tail, numbers[tail]),
            np.append(branches.head, numbers[head]),
            np.append(branches.ohm, self.ohm),
            np.append(branches.henry, 0.0),
            np.append(branches.emf_v, 0.0),
        )

    def element_added_to(self, rows: Indices) -> Indices:
        """The elements of the branches; the preheating stands for none."""
        return rows if self.ends is None else np.append(rows, NO_ELEMENT)


NOTHING = Preheat(None, 0.0, "")


def preheat(
    solution: Solution,
    net: Netlist,
    before: OperatingPoint,
    heavy: Terminal,
    conditions: tuple[Conditions, ...],
) -> Preheat:
    """What preheating during the start adds.

    Glow plugs that the mode lists as on are in the network already. Plugs that it does not list draw the
    stated current at their own terminals; where the boat has none, it is drawn at the starter.
    """
    amps = next((c.preheat_during_a for c in conditions if c.preheat_during_a), None)
    if amps is None:
        return NOTHING
    plugs = [
        (part.id, one.id)
        for part in solution.boat.parts
        if isinstance(part, Load) and part.role == "glow-plugs"
        for one in part.inputs
    ]
    if any(not net.off[net.inputs[key]] for key in plugs):
        return NOTHING
    fed = [key for key in plugs if not np.isnan(before.element_v[net.inputs[key]])]
    key = fed[0] if fed else heavy
    row = net.inputs[key]
    ohm = solution.nominal_v(solution.parts[key[0]]) / amps
    where = solution.names.input(*key)
    remark = f"preheating of {amps:g} A is drawn at {where} from before the press to the end"
    return Preheat((int(net.network.tail[row]), int(net.network.head[row])), ohm, remark)

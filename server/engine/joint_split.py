"""What of a conductor's volts is lost in its wire and what in the joint at either end."""

from collections.abc import Mapping
from typing import NamedTuple

from server.boat.conductors import Conductor
from server.engine.netlist import Netlist
from server.units import Volt


class JointSplit(NamedTuple):
    """Volts by wire and joints; None where the part is not there, not known, or measured with the others."""

    wire_v: Volt | None = None
    tail_joint_v: Volt | None = None
    head_joint_v: Volt | None = None


NO_SPLIT = JointSplit()


def joint_split(net: Netlist, conductors: Mapping[str, Conductor], row: int, volts: Volt) -> JointSplit:
    """An element's volts, split by resistance: one current passes wire and joints (Ohm's law)."""
    conductor = conductors.get(net.labels[row].element)
    if conductor is None or conductor.measured_resistance_ohm is not None:
        return NO_SPLIT
    parts = net.split_ohm[row].tolist()
    total = sum(parts)
    if total <= 0:
        return NO_SPLIT
    return JointSplit(*(volts * ohm / total if ohm > 0 else None for ohm in parts))

"""The coils that are fed in a mode: of relays and contactors, and loads that are coils themselves."""

from typing import NamedTuple

from server.boat.boat import Boat
from server.boat.devices import Coil
from server.boat.parts import Contact, Load
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal


class CoilAt(NamedTuple):
    """A coil, the input it is fed at, and its element in the network."""

    key: Terminal
    coil: Coil
    row: int


def coils(boat: Boat, net: Netlist) -> tuple[CoilAt, ...]:
    """The coils that are on, in document order."""
    found = []
    for part in boat.parts:
        match part:
            case Contact(coil=Coil() as coil):
                found.append(((part.id, "coil-positive"), coil))
            case Load():
                found += [((part.id, i.id), i.demand) for i in part.inputs if isinstance(i.demand, Coil)]
            case _:
                pass
    return tuple(CoilAt(key, coil, net.inputs[key]) for key, coil in found if not net.off[net.inputs[key]])

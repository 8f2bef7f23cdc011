"""The coils that are fed in a mode: of relays and contactors, and loads that are coils themselves."""

from typing import NamedTuple

from server.boat.boat import Boat
from server.boat.devices import Coil
from server.boat.parts import Contact, Load
from server.engine.figures import Figures, Level
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal


class CoilAt(NamedTuple):
    """A coil, the input it is fed at, and its element in the network."""

    key: Terminal
    coil: Coil
    row: int


def coil_of(part: Contact, coil: Coil, net: Netlist) -> CoilAt:
    """The coil of a contact."""
    key = part.id, "coil-positive"
    return CoilAt(key, coil, net.inputs[key])


def every_coil(boat: Boat, net: Netlist) -> tuple[CoilAt, ...]:
    """All coils, in document order."""
    found = []
    for part in boat.parts:
        match part:
            case Contact(coil=Coil() as coil):
                found.append(((part.id, "coil-positive"), coil))
            case Load():
                found += [((part.id, i.id), i.demand) for i in part.inputs if isinstance(i.demand, Coil)]
            case _:
                pass
    return tuple(CoilAt(key, coil, net.inputs[key]) for key, coil in found)


def coils(boat: Boat, net: Netlist) -> tuple[CoilAt, ...]:
    """Those that are on."""
    return tuple(one for one in every_coil(boat, net) if not net.off[one.row])


def hold_level(own: Figures, found: CoilAt) -> tuple[Level, bool]:
    """The voltage that holds a coil: as entered, else a share of its rated voltage; and whether assumed."""
    if found.coil.hold_v is not None:
        return own.given(found.coil.hold_v, found.key[0], "hold voltage"), False
    share = own.level("coil_hold_share", found.key[0])
    return share.scaled(found.coil.rated_voltage_v), True


def pull_in_level(own: Figures, found: CoilAt) -> Level:
    """The voltage that pulls a coil in: as entered, else a share of its rated voltage."""
    if found.coil.pull_in_v is not None:
        return own.given(found.coil.pull_in_v, found.key[0], "pull-in voltage")
    return own.level("coil_pull_in_share", found.key[0]).scaled(found.coil.rated_voltage_v)

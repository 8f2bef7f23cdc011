"""Short ways to make the commonest values, for demo boats and tests."""

from server.boat.conductors import Conductor, LengthBasis, Size
from server.boat.devices import ConstantPower, LoadInput
from server.boat.parts import Busbar, Fuse, Load, LoadRole
from server.boat.value import Known, Place, TerminalRef


def at(spot: str) -> TerminalRef:
    """A terminal from its part and name, joined by a dot.

    >>> at("main-bus.stud-3")
    TerminalRef(part='main-bus', terminal='stud-3')
    """
    part, terminal = spot.split(".")
    return TerminalRef(part=part, terminal=terminal)


def wire(  # noqa: PLR0913 - what a wire is bought by
    conductor_id: str,
    tail: str | None,
    head: str | None,
    size: Size | None = None,
    *,
    length_m: Known | None = None,
    basis: LengthBasis = "measured",
) -> Conductor:
    """A wire between two terminals given as ``part.terminal``."""
    return Conductor(
        id=conductor_id,
        kind="wire",
        tail=None if tail is None else at(tail),
        head=None if head is None else at(head),
        size=size,
        length_m=length_m,
        length_basis=None if length_m is None else basis,
    )


def link(conductor_id: str, tail: str, head: str) -> Conductor:
    """A bolted joint between two terminals given as ``part.terminal``."""
    return Conductor(id=conductor_id, kind="link", tail=at(tail), head=at(head))


def electronics(
    part_id: str,
    name: str,
    power_w: Known,
    minimum_voltage_v: Known | None = None,
    role: LoadRole = "electronics",
) -> Load:
    """A device behind a converter, with the input ``main`` and the terminal ``negative``."""
    demand = ConstantPower(kind="constant-power", power_w=power_w)
    only = LoadInput(id="main", demand=demand, minimum_voltage_v=minimum_voltage_v)
    return Load(kind="load", id=part_id, name=name, role=role, inputs=(only,))


def fuse(part_id: str, name: str, rating_a: float) -> Fuse:
    """A fuse with the terminals ``line`` and ``load``."""
    return Fuse(kind="fuse", id=part_id, name=name, rating_a=rating_a)


def busbar(part_id: str, name: str, studs: int, place: Place | None = None) -> Busbar:
    """A bar with the terminals ``stud-1``, ``stud-2`` and so on."""
    return Busbar(kind="busbar", id=part_id, name=name, studs=studs, place=place)

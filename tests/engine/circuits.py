"""Small circuits to test with; node 0 is the negative post of the first battery."""

import numpy as np

from server.engine.network import Loads, Network, Resistors, Sources
from server.engine.operating_point import OperatingPoint, operating_point


def lamp(*, e: float, ohm: float, watts: float, cut_out_v: float = 1.0) -> Network:
    """A battery of no resistance to speak of, a lead, and a load of constant power."""
    return Network(
        nodes=3,
        sources=Sources.of([(0, 1, e, ohm / 2)]),
        resistors=Resistors.of([(1, 2, ohm / 2)]),
        loads=Loads.of([(2, 0, watts, 1.0, cut_out_v)]),
    )


def ladder(  # noqa: PLR0913 - its six figures
    *, e: float, ri: float, r1: float, r2: float, i1: float, i2: float
) -> Network:
    """A battery, a cable to a near load, another on to a far one; both take fixed currents."""
    return Network(
        nodes=4,
        sources=Sources.of([(0, 1, e, ri)]),
        resistors=Resistors.of([(1, 2, r1), (2, 3, r2)]),
        loads=Loads.of([(2, 0, i1, 0.0, 0.0), (3, 0, i2, 0.0, 0.0)]),
    )


def all_but(network: Network, *elements: int) -> OperatingPoint:
    """The network solved without some elements."""
    absent = np.zeros(network.size, bool)
    absent[list(elements)] = True
    return operating_point(network, absent)


def element(network: Network, kind: str, row: int = 0) -> int:
    """The number of an element among all."""
    return int(network.spans[kind].start + row)

"""Quantities by their textbook definitions, from every element's unit currents, to hold short ways to."""

import numpy as np

from server.engine.arrays import Floats
from server.engine.operating_point import OperatingPoint
from server.engine.shared_path import SourceNetwork, offered_v


def transfer_ohm(source: SourceNetwork, u: Floats, other: Floats) -> Floats:
    """R_ij = Σ R_e u_e(i) u_e(j): volts lost at port i per ampere drawn at j; signed, never clipped."""
    g = source.conductance
    r = np.divide(1.0, g, out=np.zeros_like(g), where=g > 0)
    transfer: Floats = u.T @ (r[:, None] * other)
    return transfer


def post_voltage(point: OperatingPoint, unit: Floats) -> Floats:
    """What the posts of the batteries offer a load, from the unit currents of all elements."""
    return offered_v(point, unit[point.network.spans["sources"]])

"""Where a heavy load's current runs when one conductor of its way comes loose.

Opening an element is the same as feeding its two nodes from outside with just the current it takes (any
textbook on circuits, compensation theorem): with z the resistance seen between its nodes and g its
conductance, that current is i / (1 - g z). Loads answer with their slopes at the first instant of the start.
"""

from dataclasses import dataclass

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.solution import EventSolution
from server.units import Ratio

LEAST_SHARE: Ratio = 0.1
"""Conductors that carry less than this share of the heavy current are not opened."""
BRIDGE = 1e-7
"""Below this, 1 - g z is rounding: without the element two pieces have nothing in common."""


@dataclass(frozen=True, eq=False)
class LostWays:
    """Currents of all elements (rows) at the first instant with one of ``opened`` gone (columns)."""

    opened: Indices
    current_a: Floats


def lost_ways(solved: EventSolution) -> LostWays:
    """Every resistor of the heavy load's way opened in turn, but for those that cut a piece off."""
    point, linear = solved.present, solved.linear
    network = point.network
    resistors = network.spans["resistors"]
    heavy = abs(point.current_a[solved.heavy_element])
    carries = np.abs(point.current_a[resistors]) > LEAST_SHARE * heavy
    rows = np.flatnonzero(carries & ~network.merged[resistors]) + resistors.start
    seen = linear.across(linear.port_columns(rows))
    left = 1 - linear.slope[rows] * seen[rows, np.arange(len(rows))]
    other = left > BRIDGE
    rows, seen = rows[other], seen[:, other]
    fed = point.current_a[rows] / left[other]
    changed = point.current_a[:, None] + linear.slope[:, None] * seen * fed
    changed[rows, np.arange(len(rows))] = 0.0
    return LostWays(rows, changed)

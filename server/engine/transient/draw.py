"""One choice of all uncertain figures: where in its band each lies.

The position of a figure is -1 at its low end, 0 at its value and 1 at its high end; figures that share an
assumption share a position, as in ``server.engine.bands``.
"""

from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np

from server.engine.arrays import Floats, Indices
from server.engine.figures import Level
from server.engine.netlist import Netlist
from server.engine.network import Elements, Network


@dataclass(frozen=True, eq=False)
class Draw:
    """Positions of the network's figures and of those that only the event in time has; empty: all at 0."""

    net: Floats = field(default_factory=lambda: np.zeros(0))
    own: Floats = field(default_factory=lambda: np.zeros(0))


NOMINAL = Draw()


def at(level: Level, positions: Floats) -> float:
    """A figure at its position.

    >>> at(Level(1.0, 2.0, 4.0, 1), np.array([0.0, 0.5]))
    3.0
    """
    position = float(positions[level.number]) if level.number < len(positions) else 0.0
    return level.value + position * (level.high - level.value if position > 0 else level.value - level.low)


@dataclass(frozen=True, eq=False)
class Levels:
    """Figures as columns, so that many are placed at once."""

    low: Floats
    value: Floats
    high: Floats
    number: Indices

    @classmethod
    def of(cls, levels: list[Level]) -> "Levels":
        """The columns of some figures."""
        table = np.array([(one.low, one.value, one.high) for one in levels], np.float64).reshape(-1, 3)
        low, value, high = np.ascontiguousarray(table.T)
        return cls(low, value, high, np.array([one.number for one in levels], np.intp))

    def at(self, positions: Floats) -> Floats:
        """Every figure at its position."""
        if not len(positions):
            return self.value
        position = positions[self.number]
        span = np.where(position > 0, self.high - self.value, self.value - self.low)
        placed: Floats = self.value + position * span
        return placed


SMALLEST = 1e-9
"""No drawn figure falls to nothing or below, whatever several assumptions do to it together."""


def network_at(net: Netlist, draw: Draw) -> Network:
    """The network with its uncertain figures placed: wires, joints, sources, loads."""
    if not len(draw.net):
        return net.network
    network = net.network
    values = Levels.of(net.figures.levels).at(draw.net)
    columns: Columns = {("resistors", "ohm"): (net.coefficient * values[net.figure_number]).sum(axis=1)}
    for row, figure, level in net.bands:
        kind = next(kind for kind in Network.KINDS if row < network.spans[kind].stop)
        column = columns.setdefault((kind, figure), getattr(network.of_kind(kind), figure).copy())
        column[row - network.spans[kind].start] += at(level, draw.net) - level.value
    return replace(
        network,
        resistors=_placed(columns, "resistors", network.resistors),
        sources=_placed(columns, "sources", network.sources),
        limited=_placed(columns, "limited", network.limited),
        diodes=_placed(columns, "diodes", network.diodes),
        relays=_placed(columns, "relays", network.relays),
        resistive=_placed(columns, "resistive", network.resistive),
        loads=_placed(columns, "loads", network.loads),
    )


Columns = dict[tuple[str, str], Floats]
Kind = TypeVar("Kind", bound=Elements)


def _placed(columns: Columns, kind: str, record: Kind) -> Kind:
    moved = {name: np.maximum(column, SMALLEST) for (of, name), column in columns.items() if of == kind}
    placed: Kind = replace(record, **moved)
    return placed

"""The pairs of terminals that contacts may join in an event, beside those that they join before it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from server.boat.modes import Mode
from server.boat.parts import AnyPart, Contact
from server.engine.answer import AssumedValue
from server.engine.arrays import Floats
from server.engine.netlist import Netlist
from server.engine.network import SHORTEST_OHM
from server.engine.operating_point import OperatingPoint
from server.engine.transient.draw import Draw, Levels
from server.engine.transient.timed import Timed
from server.units import Volt

NO_SUPPLY_V: Volt = 1.0
"""A load or coil with less before the press has no supply."""
LEAST_OHM = 2 * SHORTEST_OHM
"""A contact entered as nothing has this when it moves in an event: its two sides stay two nodes."""
Ends = frozenset[str]
"""The two terminals of a pair."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A pair that stands open before the press: its nodes, and its row among the layout's resistors."""

    part: str
    ends: Ends
    tail: int
    head: int
    row: int


def position_now(part: Contact, mode: Mode) -> str:
    """The position of a contact before anything happens."""
    return next((one.position for one in mode.positions if one.part == part.id), part.normal)


def closed_in(part: Contact, position: str) -> tuple[Ends, ...]:
    """The pairs that a position joins, in their order."""
    return next(tuple(map(frozenset, one.closed)) for one in part.positions if one.id == position)


def standing_rows(part: Contact, net: Netlist, mode: Mode) -> Mapping[Ends, int]:
    """The elements of the pairs that are joined before the press."""
    rows = [row for row in net.rows_of.get(part.id, ()) if net.labels[row].kind == part.kind]
    return dict(zip(closed_in(part, position_now(part, mode)), rows, strict=True))


def pairs_to_come(
    parts: Iterable[AnyPart], net: Netlist, mode: Mode, timed: Timed, before: OperatingPoint
) -> tuple[Pair, ...]:
    """All pairs that some contact may join later: by a step, or because its coil pulls in or lets go."""
    found: dict[tuple[str, Ends], Pair] = {}
    for part in parts:
        if isinstance(part, Contact):
            now = closed_in(part, position_now(part, mode))
            for position in _to_come(part, mode, timed, wakes(part, net, mode, before)):
                for pair in _pairs(part, position, net):
                    if pair.ends not in now:
                        found.setdefault((part.id, pair.ends), pair)
    return tuple(found.values())


def _to_come(part: Contact, mode: Mode, timed: Timed, awake: str | None) -> Iterator[str]:
    """The positions that a contact may come into; ``awake`` is the one that its coil may pull it to."""
    yield from (turn.position for turn in timed.turns.get(part.id, ()))
    if part.coil is not None and not part.latching:
        yield part.normal
    if awake is not None and part.id not in timed.turns:
        yield awake


def wakes(part: Contact, net: Netlist, mode: Mode, before: OperatingPoint) -> str | None:
    """The position that a coil will pull its contact to once it has supply: it has none before the press.

    None where it has supply, and something that is not part of the boat's wiring keeps it from pulling in.
    """
    if part.coil is None or part.latching or position_now(part, mode) != part.normal:
        return None
    has_supply = before.voltage(net.inputs[part.id, "coil-positive"]) > NO_SUPPLY_V
    return None if has_supply else pulled_position(part)


def pulled_position(part: Contact) -> str | None:
    """The one position that a coil can hold a contact in; None where there are several."""
    others = [position.id for position in part.positions if position.id != part.normal]
    return others[0] if len(others) == 1 else None


def _pairs(part: Contact, position: str, net: Netlist) -> Iterator[Pair]:
    rows = net.choice.layout.parts.switched_rows((part.id, None))
    own = [number for of, (_, number) in rows if of == position]
    for ends, row in zip(closed_in(part, position), own, strict=True):
        tail, head = (net.nodes[part.id, name] for name in sorted(ends))
        yield Pair(part.id, ends, tail, head, row)


def pair_ohms(net: Netlist, pairs: tuple[Pair, ...], draw: Draw) -> Floats:
    """Their resistances once joined, at a draw of the uncertain figures."""
    layout, rows = net.choice.layout, np.array([pair.row for pair in pairs], np.intp)
    values = Levels.of(net.figures.levels).at(draw.net)
    ohm: Floats = (layout.coefficient[rows] * values[layout.figure_number[rows]]).sum(axis=1)
    return np.asarray(np.maximum(ohm, LEAST_OHM), np.float64)


def assumed_for(net: Netlist, pairs: tuple[Pair, ...]) -> Iterator[AssumedValue]:
    """What their resistances are assumed by."""
    layout = net.choice.layout
    numbers = np.unique(layout.figure_number[np.array([pair.row for pair in pairs], np.intp)])
    used = (layout.figures.used[number] for number in numbers.tolist())
    yield from (one for one in used if one is not None)

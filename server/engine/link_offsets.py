"""How far apart the negatives of linked parts stand at the first instant of a heavy load's start.

A data link that is not isolated, or its screen, joins those negatives: the difference drives a current
through it. The link itself is not in the circuit: against the copper beside it, it changes next to nothing.
"""

from dataclasses import dataclass

import numpy as np

from server.boat.boat import Boat
from server.boat.parts import AnyPart, Inverter, Load, Outboard
from server.boat.value import nominal
from server.engine.solution import Solution
from server.units import Ampere, Volt


@dataclass(frozen=True, slots=True)
class LinkOffset:
    """The two parts of a link whose negatives stand farthest apart, the higher one first.

    ``screen_a`` is the current through the link's screen; None where its resistance is not stated.
    """

    link: str
    event: str
    high: str
    low: str
    offset_v: Volt
    screen_a: Ampere | None


def link_offsets(boat: Boat, mode_id: str, event_id: str) -> tuple[LinkOffset, ...]:
    """The offsets of the links of a boat in an event, in document order; without two fed parts it has none.

    Raises:
        UnknownModeError: the boat has no such mode or event.
    """
    solved = Solution.of(boat, mode_id).event(event_id)
    point, nodes = solved.present, solved.net.nodes
    parts = {part.id: part for part in boat.parts}
    found = []
    for link in boat.links:
        volts = {
            name: float(point.node_v[nodes[name, terminal]])
            for name in link.parts
            if (terminal := _negative(parts[name])) is not None
        }
        label = {name: point.islands.label[nodes[name, _negative(parts[name]) or ""]] for name in volts}
        fed = {name: v for name, v in volts.items() if not np.isnan(v)}
        together = {name: v for name, v in fed.items() if label[name] == label[next(iter(fed))]}
        if len(together) > 1:
            high, low = max(together, key=together.__getitem__), min(together, key=together.__getitem__)
            offset = together[high] - together[low]
            screen = None if link.screen_ohm is None else offset / nominal(link.screen_ohm)
            found.append(LinkOffset(link.id, event_id, high, low, offset, screen))
    return tuple(found)


def _negative(part: AnyPart) -> str | None:
    match part:
        case Load():
            return part.negatives[0]
        case Inverter() | Outboard():
            return "negative"
        case _:
            return None

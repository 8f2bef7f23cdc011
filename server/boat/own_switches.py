"""Switches of a load's own: a float switch, a contactor, a switch in its lead.

Whether a load is fed is one question, whether its own switch stands open another: by the wiring a bilge pump
stays alive though its float hangs down.
"""

from server.boat.boat import Boat
from server.boat.devices import ContactPosition
from server.boat.latest import Latest
from server.boat.leads import Landings, across
from server.boat.modes import Mode, PositionSetting
from server.boat.parts import Breaker, Connector, Contact, Fuse, Load, Post


def _own_switches(boat: Boat) -> tuple[Contact, ...]:
    landings = Landings.of(boat)
    return tuple(
        part
        for part in boat.parts
        if isinstance(part, Contact)
        and not part.is_battery_switch
        and any(len(_served(landings, part, name) or ()) == 1 for name in part.terminals)
    )


own_switches = Latest(_own_switches, 4)
"""The switches behind which nothing but one load hangs, battery switches left out."""


def _served(landings: Landings, switch: Contact, terminal: str) -> set[str] | None:
    """The loads on one side of a switch; None where anything hangs there that may be fed by others.

    Devices, connectors, studs and further switches are on the way; coils take no more than a load does.
    """
    served, seen, waiting = set[str](), {(switch.id, terminal)}, [(switch.id, terminal)]
    while waiting:
        for end in landings.at(*waiting.pop()):
            spot = end.other.terminal
            if spot is None or (spot.part, spot.terminal) in seen:
                continue
            seen.add((spot.part, spot.terminal))
            part = landings.parts[spot.part]
            if isinstance(part, Load):
                served.add(part.id)
            elif isinstance(part, Post):
                waiting.append((spot.part, spot.terminal))
            elif isinstance(part, Fuse | Breaker | Connector | Contact) and part is not switch:
                onward = across(part, spot.terminal)
                if onward is not None:
                    waiting += [(part.id, onward), (spot.part, spot.terminal)]
                elif not spot.terminal.startswith("coil-"):
                    return None
            else:
                return None
    return served


def joins_most(switch: Contact) -> ContactPosition:
    """The position in which a switch joins most."""
    return max(switch.positions, key=lambda one: len(one.closed))


def own_switches_closed(boat: Boat, mode: Mode) -> Mode:
    """The mode with every switch of a load's own where it joins most; battery switches stay."""
    closed = {switch.id: joins_most(switch).id for switch in own_switches(boat)}
    others = tuple(one for one in mode.positions if one.part not in closed)
    settings = tuple(PositionSetting(part=part, position=at) for part, at in closed.items())
    return mode.model_copy(update={"positions": (*others, *settings)})

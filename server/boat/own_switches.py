"""Switches in the leads of loads: a float switch, a contactor, a switch of the load's own.

Whether a load is fed is one question, whether its own switch stands open another: by the wiring a bilge pump
stays alive though its float hangs down.
"""

from server.boat.boat import Boat
from server.boat.devices import ContactPosition
from server.boat.leads import Landings, leads
from server.boat.modes import Mode, PositionSetting
from server.boat.parts import Contact, Load


def own_switches(boat: Boat) -> tuple[Contact, ...]:
    """The switches in loads' own leads, battery switches left out."""
    parts = Landings.of(boat).parts
    inline = {name for one in leads(boat) if isinstance(parts[one.part], Load) for name in one.inline}
    return tuple(
        part
        for part in boat.parts
        if isinstance(part, Contact) and part.id in inline and not part.is_battery_switch
    )


def joins_most(switch: Contact) -> ContactPosition:
    """The position in which a switch joins most."""
    return max(switch.positions, key=lambda one: len(one.closed))


def own_switches_closed(boat: Boat, mode: Mode) -> Mode:
    """The mode with every switch in a load's own lead where it joins most; battery switches stay."""
    closed = {switch.id: joins_most(switch).id for switch in own_switches(boat)}
    others = tuple(one for one in mode.positions if one.part not in closed)
    settings = tuple(PositionSetting(part=part, position=at) for part, at in closed.items())
    return mode.model_copy(update={"positions": (*others, *settings)})

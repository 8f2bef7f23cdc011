"""What the trade calls a part, in the singular: for price lists and for what comes and goes."""

import re

from server.boat.parts import AnyPart, Bonding, Connector, Contact, Converter, Load

_KINDS = {
    "measuring-shunt": "measuring shunt",
    "post": "stud post",
    "engine-block": "engine",
    "charger": "battery charger",
    "solar": "solar controller",
    "combiner": "combining relay",
    "isolator": "diode isolator",
    "outboard": "outboard engine",
}
_BONDING = {
    "hull": "hull connection",
    "bonding-bus": "bonding bar",
    "shaft": "shaft brush",
    "anode": "anode",
    "ac-earth-link": "AC earth link",
}
_CONVERTERS = {"charger": "DC charger", "supply": "DC converter", "equaliser": "equaliser"}
_CONNECTORS = {"splice": "butt splice", "plug": "plug and socket"}
_LOADS = {
    "electronics": "electronic instrument",
    "backbone": "data backbone",
    "lights": "lamps",
    "alarm": "alarm",
    "blower": "blower",
    "refrigeration": "refrigerator",
    "heating": "heater",
    "engine-control": "engine control",
    "starter": "starter motor",
    "furler": "furling motor",
    "other": "appliance",
}
"""The roles that are no name of a thing by themselves; all others are one with spaces for hyphens."""
_SWITCHES = {
    "1/2/BOTH/OFF": "battery selector",
    "on/off/combine": "battery switch for two banks",
    "emergency parallel": "paralleling switch",
    "latching relay": "latching relay",
    "reversing contactor": "reversing contactor",
}


def trade_name(part: AnyPart) -> str:
    """What a part is called where nothing but its kind is known, in lower case."""
    match part:
        case Contact():
            return _switch(part)
        case Bonding():
            return _BONDING[part.role]
        case Converter():
            return _CONVERTERS[part.role]
        case Connector():
            return _CONNECTORS.get(part.style, part.style.replace("-", " "))
        case Load():
            return _LOADS.get(part.role, part.role.replace("-", " "))
        case _:
            return _KINDS.get(part.kind, part.kind)


_RATED = re.compile(r"(?P<kind>.+?)(?P<rating> [\d.]+ A)?")


def called_now(name: str) -> str:
    """A part's name in a price list of before, when parts went by their kinds, as it is called now.

    Kinds that go by several names now, as all switches once did, are left as they are.

    >>> called_now("solar 20 A"), called_now("fuse 60 A"), called_now("contact")
    ('solar controller 20 A', 'fuse 60 A', 'contact')
    """
    found = _RATED.fullmatch(name)
    now = None if found is None else _KINDS.get(found["kind"].replace(" ", "-"))
    return name if found is None or now is None else now + (found["rating"] or "")


def called_before(part: AnyPart) -> str:
    """What a part was called in price lists when parts went by their kinds."""
    return part.kind.replace("-", " ")


def _switch(part: Contact) -> str:
    """A switch by its pattern where that has a name, else by what turns it and what it switches."""
    if part.preset is not None and part.preset in _SWITCHES:
        return _SWITCHES[part.preset]
    if part.actuator == "coil":
        return "relay"
    turned = "remote " if part.actuator == "motor" else ""
    return f"{turned}{'battery switch' if part.is_battery_switch else 'switch'}"

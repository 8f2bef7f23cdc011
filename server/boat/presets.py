"""Switches, selectors, relays and contactors by the trade's words, each as the one generic contact part."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import TypedDict, Unpack

from server.boat.devices import Coil, ContactPosition
from server.boat.parts import Contact
from server.boat.value import Known, Place

Pairs = tuple[tuple[str, str], ...]
Positions = Mapping[str, tuple[str, Pairs]]
"""Id, name and joined pairs of each position but the open one."""

_OFF = ContactPosition(id="off", name="Off")
_THROUGH: Positions = {"on": ("On", (("in", "out"),))}


class Figures(TypedDict, total=False):
    """What a maker states about a contact, and where it sits."""

    continuous_a: float
    five_minute_a: float
    cranking_a: float
    voltage_rating_v: float
    resistance_ohm: Known
    is_battery_switch: bool
    normal: str
    coil: Coil
    place: Place
    tag: str


def on_off(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """A switch with one contact; normally on."""
    return _contact(part_id, name, "on–off", _THROUGH, {"normal": "on", **figures})


def two_circuit(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """A battery switch for two banks: both off, each on its own side, or all four terminals combined."""
    apart: Pairs = (("start-in", "start-out"), ("house-in", "house-out"))
    positions = {"on": ("On", apart), "combine": ("Combine", (*apart, ("start-in", "house-in")))}
    given: Figures = {"normal": "on", "is_battery_switch": True, **figures}
    return _contact(part_id, name, "on/off/combine", positions, given, poles=2)


def selector(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """A 1/2/BOTH/OFF battery selector; it makes before it breaks on the way from 1 over BOTH to 2."""
    one, two = ("battery-1", "common"), ("battery-2", "common")
    positions = {"one": ("1", (one,)), "both": ("BOTH", (one, two)), "two": ("2", (two,))}
    given: Figures = {"normal": "one", "is_battery_switch": True, **figures}
    terminals = ("battery-1", "battery-2", "common")
    order = "make-before-break"
    return _contact(part_id, name, "1/2/BOTH/OFF", positions, given, order=order, terminals=terminals)


def two_pole(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """A switch that breaks positive and negative together."""
    pairs: Pairs = (("positive-in", "positive-out"), ("negative-in", "negative-out"))
    return _contact(part_id, name, "two-pole", {"on": ("On", pairs)}, {"normal": "on", **figures}, poles=2)


def remote(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """A battery switch driven by a motor; it stays where it is without current."""
    given: Figures = {"normal": "on", "is_battery_switch": True, **figures}
    return _contact(part_id, name, "remote", _THROUGH, given, actuator="motor", latching=True)


def latching_relay(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """A relay that a pulse through its coil turns over; it stays where it is without current."""
    given: Figures = {"normal": "on", **figures}
    return _contact(part_id, name, "latching relay", _THROUGH, given, actuator="coil", latching=True)


def emergency_parallel(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """A contact that joins two banks while it is held."""
    positions = {"on": ("Parallel", (("battery-1", "battery-2"),))}
    given: Figures = {"normal": "off", **figures}
    return _contact(part_id, name, "emergency parallel", positions, given, momentary=True)


def relay(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """A relay or solenoid that closes while its coil is fed."""
    return _contact(part_id, name, "relay", _THROUGH, {"normal": "off", **figures}, actuator="coil")


def reversing_contactor(part_id: str, name: str, **figures: Unpack[Figures]) -> Contact:
    """Contactors that feed a motor one way or the other."""
    forward: Pairs = (("positive", "motor-a"), ("negative", "motor-b"))
    reverse: Pairs = (("positive", "motor-b"), ("negative", "motor-a"))
    positions = {"forward": ("Forward", forward), "reverse": ("Reverse", reverse)}
    given: Figures = {"normal": "off", **figures}
    order = "break-before-make"
    return _contact(
        part_id, name, "reversing contactor", positions, given, order=order, poles=2, actuator="coil"
    )


PRESETS: Mapping[str, Callable[[str, str], Contact]] = MappingProxyType(
    {
        "on–off": on_off,
        "on/off/combine": two_circuit,
        "1/2/BOTH/OFF": selector,
        "two-pole": two_pole,
        "remote": remote,
        "latching relay": latching_relay,
        "emergency parallel": emergency_parallel,
        "relay": relay,
        "reversing contactor": reversing_contactor,
    }
)
"""The presets by the name that each contact keeps of its own."""


def _contact(
    part_id: str,
    name: str,
    preset: str,
    positions: Positions,
    figures: Figures,
    **nature: object,
) -> Contact:
    """A contact that is off or in one of the positions; its terminals are those that they join."""
    joined = dict.fromkeys(t for _, pairs in positions.values() for pair in pairs for t in pair)
    named = (ContactPosition(id=key, name=said, closed=pairs) for key, (said, pairs) in positions.items())
    own = {"kind": "contact", "id": part_id, "name": name, "preset": preset, "terminals": tuple(joined)}
    return Contact.model_validate({**own, "positions": (_OFF, *named), **nature, **figures})

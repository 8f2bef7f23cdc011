"""Inductance of every element of the network: wires by their run, batteries, coils; joints have none."""

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.parts import Bonding
from server.boat.value import nominal
from server.engine.figures import Figures, Level
from server.engine.netlist import Netlist
from server.engine.transient.coils import coils
from server.engine.transient.draw import Levels
from server.engine.transient.inductance import over_plane_henry_per_m, strand_diameter, twin_henry_per_m

PER_METRE = frozenset({"cable_inductance", "twin_inductance_ratio", "cable_height_over_hull"})
"""Assumptions of inductance for a metre: alike for all conductors of a size, unless one has its own."""
NO_INDUCTANCE = Level(0.0, 0.0, 0.0)


def element_henries(boat: Boat, net: Netlist, own: Figures) -> Levels:
    """Inductance of every element of a network, in the network's order."""
    wires = _wire_henries(boat, own)
    battery = own.level("battery_inductance", "")
    levels = [NO_INDUCTANCE] * net.network.size
    for row, label in enumerate(net.labels):
        if label.kind == "wire":
            levels[row] = wires.get(label.element, NO_INDUCTANCE)
        elif label.kind == "battery":
            levels[row] = battery
    for row, level in _coil_henries(boat, net, own):
        levels[row] = level
    return Levels.of(levels)


def _wire_henries(boat: Boat, own: Figures) -> dict[str, Level]:
    cables = {cable.id: cable.construction for cable in boat.cables}
    over_hull = any(isinstance(part, Bonding) and part.role == "hull" for part in boat.parts)
    are_alike = own.with_subject.isdisjoint(PER_METRE)
    known = dict[tuple[float | None, bool], Level]()
    found = {}
    for conductor in boat.conductors:
        if conductor.kind == "wire" and conductor.length_m is not None:
            in_pair = cables.get(conductor.cable or "", "single") != "single"
            kind = None if conductor.size is None else conductor.size.area_mm2, in_pair
            per_m = known.get(kind) if are_alike else None
            if per_m is None:
                per_m = known[kind] = _henry_per_m(conductor, own, in_pair=in_pair, over_hull=over_hull)
            found[conductor.id] = per_m.scaled(nominal(conductor.length_m))
    return found


def _henry_per_m(conductor: Conductor, own: Figures, *, in_pair: bool, over_hull: bool) -> Level:
    """Overridden, else by geometry: in one sheath with its return, over a metal hull, else loosely laid."""
    overridden = {("cable_inductance", None), ("cable_inductance", conductor.id)} & own.overrides.keys()
    if overridden or conductor.size is None or not (in_pair or over_hull):
        return own.level("cable_inductance", conductor.id)
    area_mm2 = conductor.size.area_mm2
    if in_pair:
        return own.level("twin_inductance_ratio", conductor.id).scaled(twin_henry_per_m(area_mm2))
    height = own.level("cable_height_over_hull", conductor.id)
    diameter_m = strand_diameter(area_mm2)
    low, value, high = (
        over_plane_henry_per_m(diameter_m, max(h, diameter_m / 2))
        for h in (height.low, height.value, height.high)
    )
    return Level(low, value, high, height.number)


def _coil_henries(boat: Boat, net: Netlist, own: Figures) -> list[tuple[int, Level]]:
    """Coils that are on: inductance as given, else by their time constant."""
    start, found = net.network.spans["resistive"].start, []
    for key, coil, row in coils(boat, net):
        if coil.inductance_h is not None:
            level = own.given(coil.inductance_h, key[0], "coil inductance")
        else:
            ohm = float(net.network.resistive.ohm[row - start])
            level = own.level("coil_inductance_time", key[0]).scaled(ohm)
        found.append((row, level))
    return found

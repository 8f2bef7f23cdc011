"""What a voltage drop is judged by: design current, limit, the elements of a way and those not known."""

from collections.abc import Callable, Container

import numpy as np

from server.boat.boat import Boat
from server.boat.devices import ConstantCurrent, ConstantPower, Demand, LoadInput, Motor, Resistive
from server.boat.leads import Lead
from server.boat.parts import AnyPart, Contact, Inverter, Load, Outboard
from server.boat.value import nominal
from server.engine.arrays import Floats
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint
from server.engine.topology import Topology
from server.practice.drop_limits import Circuit, drop_limit
from server.practice.profiles import profile
from server.units import Ampere, Ratio, Volt

_CIRCUITS: dict[str, Circuit] = {
    "electronics": "electronics",
    "autopilot": "electronics",
    "radio": "electronics",
    "backbone": "electronics",
    "navigation-lights": "navigation-lights",
    "lights": "lighting",
    "bilge-pump": "bilge-pump",
    "blower": "bilge-blower",
    "windlass": "windlass",
    "thruster": "thruster",
    "winch": "winch",
}


SMALLEST_UNKNOWN = 1e-3
"""A wire of unknown resistance that carries less of a load's current than this is not on its way."""


def unknown_on_way(
    net: Netlist, unit: Callable[[], Floats], among: list[int] | None = None
) -> tuple[int, ...]:
    """The wires of unknown resistance that carry a load's unit current, among some elements."""
    wires = net.unknown_wires
    if not len(wires):
        return ()
    found = wires[np.abs(unit()[wires]) > SMALLEST_UNKNOWN]
    return tuple(row for row in found.tolist() if among is None or row in among)


def lossy_ohm(net: Netlist, steady: OperatingPoint) -> Floats:
    """Resistance of everything between batteries and loads; zero elsewhere."""
    spans, g = net.network.spans, steady.conductance
    ohm = np.zeros(net.network.size)
    for kind in ("resistors", "relays", "diodes"):
        at = spans[kind]
        ohm[at] = np.divide(1.0, g[at], out=np.zeros_like(g[at]), where=g[at] > 0)
    return ohm


SHARE_OF_NOTHING = 1e-9
"""A share of current below this is rounding."""


def lead_rows(net: Netlist, held: Lead) -> set[int]:
    """The elements of a lead: its conductors, and what lies between them inside its in-line parts."""
    rows = {row for name in held.conductors for row in net.rows_of.get(name, ())}
    tail, head = net.network.tail, net.network.head
    nodes = {int(end[row]) for row in rows for end in (tail, head)}
    inline = (row for name in held.inline for row in net.rows_of.get(name, ()))
    return rows | {row for row in inline if int(tail[row]) in nodes and int(head[row]) in nodes}


def up_to_panel(topology: Topology, start: int, without: Container[int] = ()) -> set[int] | None:
    """The elements between a node and the panel bar that feeds it; None without such a bar."""
    net = topology.net
    if start in net.panel_bars:
        return set()
    inside, found, bars, queue = {start}, set[int](), 0, [start]
    while queue:
        for row, far in topology.adjacent.get(queue.pop(), ()):
            if row in without:
                continue
            found.add(row)
            if far in net.panel_bars:
                bars += 1
            elif far not in inside:
                inside.add(far)
                queue.append(far)
    return None if not bars or topology.live_posts_among(inside) else found


def return_terminal(part: AnyPart, terminal: str) -> str:
    """The negative terminal by which an input's current leaves."""
    match part:
        case Load():
            return input_of(part, terminal).returns_to
        case Contact():
            return "coil-negative"
        case _:
            return "negative"


def input_of(part: Load, terminal: str) -> LoadInput:
    """An input of a load."""
    return next(one for one in part.inputs if one.id == terminal)


def design_current(part: AnyPart, terminal: str, nominal_v: Volt) -> tuple[Ampere, str]:
    """The current a circuit is laid out for: as stated, else what the load takes at its nominal voltage."""
    match part:
        case Load():
            one = input_of(part, terminal)
            if one.design_current_a is not None:
                return nominal(one.design_current_a), "as entered"
            return _current_of(one.demand, nominal_v)
        case Inverter():
            return part.rated_power_w / nominal_v / (part.efficiency or 1.0), "rated power at nominal voltage"
        case Outboard():
            power = 0.0 if part.control_power_w is None else nominal(part.control_power_w)
            return power / nominal_v, "control power at nominal voltage"
        case Contact(coil=coil) if coil is not None:
            return _current_of(coil, nominal_v)
        case _:
            return 0.0, "takes no current"


def _current_of(demand: Demand, nominal_v: Volt) -> tuple[Ampere, str]:
    match demand:
        case ConstantPower():
            return nominal(demand.power_w) / nominal_v, "power at nominal voltage"
        case ConstantCurrent():
            return nominal(demand.current_a), "its current"
        case Resistive():
            ohm = demand.rated_voltage_v**2 / max(nominal(demand.rated_power_w), SHARE_OF_NOTHING)
            return nominal_v / ohm, "resistance at nominal voltage"
        case Motor():
            return nominal(demand.running_current_a), "running current"
        case _:
            return nominal(demand.current_a), "coil current"


def drop_rule(boat: Boat, part: AnyPart) -> tuple[Ratio | None, str]:
    """The largest allowed drop as a share of nominal voltage, and its source."""
    if isinstance(part, Load) and part.role == "starter":
        return None, "no drop rule covers a starter's cable"
    circuit: Circuit = "general"
    if isinstance(part, Load):
        circuit = _CIRCUITS.get(part.role, "general")
        if part.circuit_class is not None:
            circuit = "critical" if part.circuit_class == "critical" else "general"
    found = drop_limit(circuit, profile(boat.practice.profile).standard)
    if found is None or not found.may_decide:
        return None, "no confirmed drop rule for this practice"
    return found.value / 100, found.source

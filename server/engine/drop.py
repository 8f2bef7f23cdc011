"""Steady voltage drop of a load, as designed and by the handbook formula.

Design drop: design current times Σ R_e a_e², where a_e is the share of the load's current in each element
of its
way out and back (in a tree all ones). Batteries are left out. In meshes this is the drop the load causes
alone.
"""

from collections.abc import Container
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from server.boat.boat import Boat
from server.boat.devices import ConstantCurrent, ConstantPower, Demand, LoadInput, Motor, Resistive
from server.boat.leads import Lead
from server.boat.parts import AnyPart, Contact, Inverter, Load, Outboard
from server.boat.value import nominal
from server.engine.answer import Drop, DropVerdict
from server.engine.arrays import Floats, Indices
from server.engine.naming import Names
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal
from server.engine.operating_point import OperatingPoint
from server.engine.places import Places
from server.engine.shared_path import post_voltage
from server.engine.topology import Topology
from server.practice.drop_limits import Circuit, circular_mil_drop, drop_limit, metric_drop
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


@dataclass(frozen=True, eq=False)
class DropNetwork:
    """What the drops of a mode are worked out from."""

    boat: Boat
    topology: Topology
    steady: OperatingPoint
    places: Places
    names: Names

    @property
    def net(self) -> Netlist:
        """The mode's netlist."""
        return self.topology.net

    @cached_property
    def ohm(self) -> Floats:
        """Resistance of everything between batteries and loads; zero elsewhere."""
        return lossy_ohm(self.net, self.steady)

    @cached_property
    def ohm_band(self) -> tuple[Floats, Floats]:
        """The same with every uncertain figure at its low end, and at its high end."""
        net = self.net
        here = self.ohm > 0
        low, high = self.ohm.copy(), self.ohm.copy()
        levels = net.figures.levels
        below = np.array([level.low - level.value for level in levels])[net.figure_number]
        above = np.array([level.high - level.value for level in levels])[net.figure_number]
        resistors = net.network.spans["resistors"]
        low[resistors] += (net.coefficient * below).sum(axis=1)
        high[resistors] += (net.coefficient * above).sum(axis=1)
        for row, figure, level in net.bands:
            if figure == "ohm":
                low[row] += level.low - level.value
                high[row] += level.high - level.value
        return np.where(here, np.maximum(low, 0.0), 0.0), np.where(here, high, 0.0)

    @cached_property
    def wire_ohm(self) -> Floats:
        """Resistance of the wires without their joints; zero elsewhere."""
        ohm = np.zeros_like(self.ohm)
        ohm[self.wires] = self.net.split_ohm[self.wires, 0]
        return ohm

    @cached_property
    def wires(self) -> Indices:
        """The elements that are wires."""
        return np.array([row for row, label in enumerate(self.net.labels) if label.kind == "wire"], np.intp)

    @cached_property
    def handbook_v_per_ampere(self) -> Floats:
        """Drop of every wire for one ampere by the handbook formula; nan where it cannot be told."""
        formula = circular_mil_drop
        if profile(self.boat.practice.profile).handbook_formula == "metric":
            formula = metric_drop
        wires = (self.names.conductors[self.net.labels[row].element] for row in self.wires.tolist())
        return np.array(
            [
                np.nan
                if wire.size is None or wire.length_m is None
                else formula(1.0, nominal(wire.length_m), wire.size.area_mm2)
                for wire in wires
            ],
            np.float64,
        )


def drop_of(network: DropNetwork, key: Terminal, unit: Floats, nominal_v: Volt) -> Drop:
    """The drop of one input; ``unit`` are the currents while it alone draws one ampere."""
    part = network.places.landings.parts[key[0]]
    current, basis = design_current(part, key[1], nominal_v)
    lost = current * network.ohm * unit**2
    from_battery = float(lost.sum())
    behind_panel = elements_behind_panel(network, key)
    from_panel = None if behind_panel is None else float(lost[behind_panel].sum())
    counted: Literal["battery", "panelboard"] = network.boat.practice.drop_counts_from
    judged, judged_rows = from_battery, list(range(len(lost)))
    if counted == "panelboard" and behind_panel is not None and from_panel is not None:
        judged, judged_rows = from_panel, behind_panel
    weight = current * unit[judged_rows] ** 2
    low, high = (float(ohm[judged_rows] @ weight) / nominal_v for ohm in network.ohm_band)
    unknown = unknown_on_way(network.net, unit, judged_rows)
    limit, source = drop_rule(network.boat, part)
    element = network.net.inputs[key]
    is_on = not network.net.off[element]
    return Drop(
        design_current_a=current,
        current_basis=basis,
        from_battery_v=from_battery,
        from_panelboard_v=from_panel,
        counted_from="battery" if from_panel is None else counted,
        judged_v=judged,
        judged_fraction=judged / nominal_v,
        limit_fraction=limit,
        limit_source=source,
        in_circuit_v=in_circuit_drop(network, element, unit) if is_on else None,
        handbook_v=handbook_drop(network, current, unit),
        verdict=_verdict(low, high, limit, whole=not unknown),
        judged_low_fraction=low,
        judged_high_fraction=high,
        conductors_v=float(network.wire_ohm[judged_rows] @ weight),
        unknown=tuple(network.names.element(network.net.labels[row].element) for row in unknown),
    )


def _verdict(low: Ratio, high: Ratio, limit: Ratio | None, *, whole: bool) -> DropVerdict:
    """Fail only with the low end above the limit, pass only with the high end at or below it.

    A way of which a part is unknown loses more still, so that it can fail but not pass.
    """
    if limit is None:
        return "cannot-tell"
    if low > limit:
        return "fail"
    return "pass" if whole and high <= limit else "cannot-tell"


SMALLEST_UNKNOWN = 1e-3
"""A wire of unknown resistance that carries less of a load's current than this is not on its way."""


def unknown_on_way(net: Netlist, unit: Floats, among: list[int] | None = None) -> tuple[int, ...]:
    """The wires of unknown resistance that carry a load's current, among some elements."""
    wires = net.unknown_wires
    if not len(wires):
        return ()
    found = wires[np.abs(unit[wires]) > SMALLEST_UNKNOWN]
    return tuple(row for row in found.tolist() if among is None or row in among)


def lossy_ohm(net: Netlist, steady: OperatingPoint) -> Floats:
    """Resistance of everything between batteries and loads; zero elsewhere."""
    spans, g = net.network.spans, steady.conductance
    ohm = np.zeros(net.network.size)
    for kind in ("resistors", "relays", "diodes"):
        at = spans[kind]
        ohm[at] = np.divide(1.0, g[at], out=np.zeros_like(g[at]), where=g[at] > 0)
    return ohm


def in_circuit_drop(network: DropNetwork, element: int, unit: Floats) -> Volt:
    """What the load's way loses with the whole mode on: voltage at the bank's posts minus the load's."""
    steady = network.steady
    return post_voltage(steady, unit) - float(steady.element_v[element])


def handbook_drop(network: DropNetwork, current: Ampere, unit: Floats) -> Volt | None:
    """The circular-mil formula (or the metric one) over the wires of the way: conductors only."""
    share = unit[network.wires]
    used = np.abs(share) > SHARE_OF_NOTHING
    total = current * float((network.handbook_v_per_ampere[used] * share[used] ** 2).sum())
    return None if np.isnan(total) else total


SHARE_OF_NOTHING = 1e-9
"""A share of current below this is rounding."""


def elements_behind_panel(network: DropNetwork, key: Terminal) -> list[int] | None:
    """The elements between the panelboard that feeds a load and the load; None where no panelboard does.

    On the positive side everything up to the panel's bar; on the negative side the load's lead.
    """
    part = network.places.landings.parts[key[0]]
    start = int(network.net.network.tail[network.net.inputs[key]])
    found = up_to_panel(network.topology, start)
    if found is None:
        return None
    back = network.places.leads[key[0], return_terminal(part, key[1])]
    return sorted(found.union(lead_rows(network.net, back)))


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

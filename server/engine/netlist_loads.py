"""Loads as elements: running, and for heavy ones as they are at the first instant of a start."""

from typing import NamedTuple

from server.boat.devices import (
    Coil,
    ConstantCurrent,
    ConstantPower,
    Demand,
    Motor,
    Resistive,
)
from server.boat.parts import AnyPart, Contact, Inverter, Load, Outboard
from server.boat.terminals import terminals
from server.engine.figures import Level
from server.engine.memo import Memo
from server.engine.netlist_rows import Label, Rows, Terminal
from server.engine.netlist_sources import add_limited, charging_figures
from server.units import Volt

LEAST = 1e-9
"""Demands smaller than this are nothing: a very high resistance."""
INRUSH_ROLES = frozenset({"starter", "windlass", "thruster", "winch"})


class _PlainLoad(NamedTuple):
    """A load of one input, one negative, no output, and a demand given as one figure."""

    key: Terminal
    negative: Terminal
    label: Label
    kind: str
    amount: float
    is_power: float


def _plain_load(part: Load) -> _PlainLoad | None:
    """The record of a plain load; None for any other."""
    if len(part.inputs) > 1 or len(part.negatives) > 1 or part.outputs:
        return None
    demand = part.inputs[0].demand
    match demand:
        case ConstantPower(power_w=float(amount)):
            kind, is_power = "loads", 1.0
        case ConstantCurrent(current_a=float(amount)) | Motor(running_current_a=float(amount)):
            kind, is_power = "loads", 0.0
        case Resistive(rated_power_w=float(power)):
            amount, kind, is_power = demand.rated_voltage_v**2 / max(power, LEAST), "resistive", 0.0
        case _:
            return None
    key, negative = (part.id, part.inputs[0].id), (part.id, part.negatives[0])
    return _PlainLoad(key, negative, Label(part.id, part.kind), kind, amount, is_power)


_plain_loads = Memo(_plain_load)


def add_load(rows: Rows, part: Load) -> None:
    """Every input of a load between its terminal and the negative it returns to; its outputs."""
    plain = _plain_loads(part)
    if plain is not None and plain.key not in rows.heavy:
        _add_plain_load(rows, part, plain)
    else:
        _add_any_load(rows, part)


def _add_plain_load(rows: Rows, part: Load, plain: _PlainLoad) -> None:
    """The short way to the rows that ``_add_any_load`` makes of a plain load."""
    tail, head = rows.new_node(), rows.new_node()
    rows.nodes[plain.key], rows.nodes[plain.negative] = tail, head
    of_kind = rows.other[plain.kind]
    row = len(of_kind)
    if plain.kind == "loads":
        of_kind.append((tail, head, plain.amount, plain.is_power, _cut_out_v(rows, part)))
    else:
        of_kind.append((tail, head, plain.amount))
    rows.labels[plain.kind].append(plain.label)
    rows.inputs[plain.key] = plain.kind, row
    if not rows.is_on(*plain.key):
        rows.off.append((plain.kind, row))


def _cut_out_v(rows: Rows, part: AnyPart) -> Volt:
    return rows.figures.level("undervoltage_kink", part.id).value * rows.nominal_v(part)


def _add_any_load(rows: Rows, part: Load) -> None:
    rows.separate(part.id, terminals(part))
    for one in part.inputs:
        ends = rows.nodes[part.id, one.id], rows.nodes[part.id, one.returns_to]
        on = rows.is_on(part.id, one.id)
        key, label = (part.id, one.id), Label(part.id, part.kind)
        kind, row = add_demand(rows, part, label, ends, one.demand, on=on)
        rows.inputs[key] = (kind, row)
        if key in rows.heavy:
            if isinstance(one.demand, Motor):
                rows.stalled[key] = add_stalled(rows, part, label, ends, one.demand, _role(part))
            else:
                rows.stalled[key] = add_demand(rows, part, label, ends, one.demand, on=False)
    for output in part.outputs:
        ends = rows.nodes[part.id, output.from_input], rows.nodes[part.id, output.id]
        if output.resistance_ohm is None:
            figure = rows.figures.number("connector_pin_resistance", part.id), 1.0
        else:
            figure = rows.figures.given_number(output.resistance_ohm, part.id, "output resistance")
        rows.resistor(Label(part.id, part.kind), *ends, figure)


def _role(part: Load) -> str:
    return part.role if part.role in INRUSH_ROLES else "pump"


def add_demand(  # noqa: PLR0913 - a row of a load needs them all
    rows: Rows, part: AnyPart, label: Label, ends: tuple[int, int], demand: Demand, *, on: bool
) -> tuple[str, int]:
    """A running demand as a row: constant power or current, or a resistance."""
    match demand:
        case ConstantPower():
            power = rows.figures.given(demand.power_w, part.id, "power")
            return _constant(rows, part, label, ends, power, is_power=True, on=on)
        case ConstantCurrent():
            current = rows.figures.given(demand.current_a, part.id, "current")
            return _constant(rows, part, label, ends, current, is_power=False, on=on)
        case Motor():
            current = rows.figures.given(demand.running_current_a, part.id, "running current")
            return _constant(rows, part, label, ends, current, is_power=False, on=on)
        case Resistive():
            power = rows.figures.given(demand.rated_power_w, part.id, "rated power")
            return _resistive(rows, label, ends, _inverse(power, demand.rated_voltage_v**2), on=on)
        case _:
            current = rows.figures.given(demand.current_a, part.id, "coil current")
            return _resistive(rows, label, ends, _inverse(current, demand.rated_voltage_v), on=on)


def _inverse(level: Level, over: float) -> Level:
    """A constant over a band, in order again; a demand of nothing is a very high resistance."""
    low, value, high = (over / max(figure, LEAST) for figure in (level.high, level.value, level.low))
    return Level(low, value, high, level.number)


def _constant(  # noqa: PLR0913 - a row of a load needs them all
    rows: Rows, part: AnyPart, label: Label, ends: tuple[int, int], amount: Level, *, is_power: bool, on: bool
) -> tuple[str, int]:
    figures = amount.value, float(is_power), _cut_out_v(rows, part)
    row = rows.add("loads", label, *ends, *figures, on=on)
    rows.band("loads", row, "amount", amount)
    return "loads", row


def _resistive(rows: Rows, label: Label, ends: tuple[int, int], ohm: Level, *, on: bool) -> tuple[str, int]:
    row = rows.add("resistive", label, *ends, ohm.value, on=on)
    rows.band("resistive", row, "ohm", ohm)
    return "resistive", row


def add_stalled(  # noqa: PLR0913, PLR0917 - a row of a load needs them all
    rows: Rows, part: AnyPart, label: Label, ends: tuple[int, int], motor: Motor, role: str
) -> tuple[str, int]:
    """A motor at standstill: inrush voltage over inrush current, both at its own terminals."""
    volts: Volt = motor.inrush_voltage_v or motor.running_voltage_v or rows.nominal_v(part)
    if motor.inrush_current_a is not None:
        current = rows.figures.given(motor.inrush_current_a, part.id, "inrush current")
    else:
        running = rows.figures.given(motor.running_current_a, part.id, "running current")
        current = rows.figures.level(f"inrush_multiple_{role}", part.id).scaled(running.value)
    return _resistive(rows, label, ends, _inverse(current, volts), on=False)


def add_coil(rows: Rows, part: Contact, coil: Coil, *, pulled: bool) -> None:
    """The coil of a contact, fed while the contact is out of its normal position."""
    ends = rows.nodes[part.id, "coil-positive"], rows.nodes[part.id, "coil-negative"]
    rows.inputs[part.id, "coil-positive"] = add_demand(
        rows, part, Label(f"{part.id}.coil", "coil"), ends, coil, on=pulled
    )


def add_inverter(rows: Rows, part: Inverter) -> None:
    """An inverter at its rated power, and at its surge power while it starts something."""
    rows.separate(part.id, ("positive", "negative"))
    ends = rows.nodes[part.id, "positive"], rows.nodes[part.id, "negative"]
    label, key = Label(part.id, part.kind), (part.id, "positive")
    efficiency = part.efficiency or rows.figures.level("inverter_efficiency", part.id).value
    drawn = part.rated_power_w / efficiency
    rated = Level(drawn, drawn, drawn)
    rows.inputs[key] = _constant(rows, part, label, ends, rated, is_power=True, on=rows.is_on(*key))
    if key in rows.heavy:
        if part.surge_power_w is None:
            surge = rows.figures.level("inrush_multiple_inverter", part.id).scaled(drawn)
        else:
            power = part.surge_power_w / efficiency
            surge = Level(power, power, power)
        rows.stalled[key] = _constant(rows, part, label, ends, surge, is_power=True, on=False)
    if part.charge_current_a is not None:
        rows.unknown.append((part.id, "charging side of this inverter is not computed"))


def add_outboard(rows: Rows, part: Outboard) -> None:
    """An outboard engine: its harness, and behind it starter, electronics and charging."""
    rows.separate(part.id, ("positive", "negative"))
    positive, negative = rows.nodes[part.id, "positive"], rows.nodes[part.id, "negative"]
    label, key = Label(part.id, part.kind), (part.id, "positive")
    if part.harness_ohm is not None:
        inner = rows.new_node()
        rows.resistor(label, positive, inner, rows.figures.given_number(part.harness_ohm, part.id, "harness"))
        positive = inner
    ends, on = (positive, negative), rows.is_on(*key)
    power = Level(0.0, 0.0, 0.0)
    if part.control_power_w is not None:
        power = rows.figures.given(part.control_power_w, part.id, "control power")
    rows.inputs[key] = _constant(rows, part, label, ends, power, is_power=True, on=on)
    rows.stalled[key] = add_stalled(rows, part, label, ends, part.starter, "starter")
    if part.charging_a is not None:
        figures = (*charging_figures(rows, part, "alternator"), part.charging_a)
        charging = (part.id, None) in rows.running
        add_limited(rows, label, (negative, positive), figures, on=charging)

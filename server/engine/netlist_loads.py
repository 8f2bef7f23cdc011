"""Loads as elements: running, and for heavy ones as they are at the first instant of a start."""

from server.boat.devices import (
    Coil,
    ConstantCurrent,
    ConstantPower,
    Demand,
    Motor,
    Resistive,
)
from server.boat.events import heavy_inputs_of
from server.boat.parts import AnyPart, Contact, Inverter, Load, Outboard
from server.engine.figures import Level
from server.engine.netlist_rows import LEAST, NEVER, Label, Note, Row, Rows, Terminal, coil_key, source_key
from server.engine.netlist_sources import add_limited, charging_figures
from server.units import Volt

INRUSH_ROLES = frozenset({"starter", "windlass", "thruster", "winch"})


def cut_out_v(rows: Rows, part: str, island: str | None) -> Volt:
    """The voltage below which a part, on an island of the boat, draws no more constant power or current."""
    return rows.figures.level("undervoltage_kink", part).value * rows.nominal_v(island)


def add_load(rows: Rows, part: Load) -> None:
    """Every input of a load between its terminal and the negative it returns to; its outputs."""
    heavy = heavy_inputs_of(part)
    for one in part.inputs:
        ends = rows.node(part.id, one.id), rows.node(part.id, one.returns_to)
        key, label = (part.id, one.id), Label(part.id, part.kind)
        rows.inputs[key] = add_demand(rows, part, label, ends, one.demand, key)
        if one.id in heavy:
            if isinstance(one.demand, Motor):
                rows.stalled[key] = add_stalled(rows, part, label, ends, one.demand, _role(part))
            else:
                rows.stalled[key] = add_demand(rows, part, label, ends, one.demand, NEVER)
    for output in part.outputs:
        ends = rows.node(part.id, output.from_input), rows.node(part.id, output.id)
        if output.resistance_ohm is None:
            figure = rows.figures.number("connector_pin_resistance", part.id), 1.0
        else:
            figure = rows.figures.given_number(output.resistance_ohm, part.id, "output resistance")
        rows.resistor(Label(part.id, part.kind), *ends, figure)


def _role(part: Load) -> str:
    return part.role if part.role in INRUSH_ROLES else "pump"


def add_demand(  # noqa: PLR0913, PLR0917 - a row of a load needs them all
    rows: Rows, part: AnyPart, label: Label, ends: tuple[int, int], demand: Demand, runs_with: Terminal
) -> Row:
    """A running demand as a row: constant power or current, or a resistance."""
    match demand:
        case ConstantPower():
            power = rows.figures.given(demand.power_w, part.id, "power")
            return _constant(rows, part, label, ends, power, runs_with, is_power=True)
        case ConstantCurrent():
            current = rows.figures.given(demand.current_a, part.id, "current")
            return _constant(rows, part, label, ends, current, runs_with, is_power=False)
        case Motor():
            current = rows.figures.given(demand.running_current_a, part.id, "running current")
            return _constant(rows, part, label, ends, current, runs_with, is_power=False)
        case Resistive():
            power = rows.figures.given(demand.rated_power_w, part.id, "rated power")
            return _resistive(rows, label, ends, _inverse(power, demand.rated_voltage_v**2), runs_with)
        case _:
            current = rows.figures.given(demand.current_a, part.id, "coil current")
            return _resistive(rows, label, ends, _inverse(current, demand.rated_voltage_v), runs_with)


def _inverse(level: Level, over: float) -> Level:
    """A constant over a band, in order again; a demand of nothing is a very high resistance."""
    low, value, high = (over / max(figure, LEAST) for figure in (level.high, level.value, level.low))
    return Level(low, value, high, level.number)


def _constant(  # noqa: PLR0913, PLR0917 - a row of a load needs them all
    rows: Rows,
    part: AnyPart,
    label: Label,
    ends: tuple[int, int],
    amount: Level,
    runs_with: Terminal,
    *,
    is_power: bool,
) -> Row:
    figures = amount.value, float(is_power), cut_out_v(rows, part.id, part.island)
    row = rows.add("loads", label, *ends, *figures, runs_with=runs_with)
    rows.band(row, "amount", amount)
    return row


def _resistive(rows: Rows, label: Label, ends: tuple[int, int], ohm: Level, runs_with: Terminal) -> Row:
    row = rows.add("resistive", label, *ends, ohm.value, runs_with=runs_with)
    rows.band(row, "ohm", ohm)
    return row


def add_stalled(  # noqa: PLR0913, PLR0917 - a row of a load needs them all
    rows: Rows, part: AnyPart, label: Label, ends: tuple[int, int], motor: Motor, role: str
) -> Row:
    """A motor at standstill: inrush voltage over inrush current, both at its own terminals."""
    volts: Volt = motor.inrush_voltage_v or motor.running_voltage_v or rows.nominal_v(part.island)
    if motor.inrush_current_a is not None:
        current = rows.figures.given(motor.inrush_current_a, part.id, "inrush current")
    else:
        running = rows.figures.given(motor.running_current_a, part.id, "running current")
        current = rows.figures.level(f"inrush_multiple_{role}", part.id).scaled(running.value)
    return _resistive(rows, label, ends, _inverse(current, volts), NEVER)


def add_coil(rows: Rows, part: Contact, coil: Coil) -> None:
    """The coil of a contact, fed while the contact is out of its normal position."""
    ends = rows.node(part.id, "coil-positive"), rows.node(part.id, "coil-negative")
    label = Label(f"{part.id}.coil", "coil")
    rows.inputs[part.id, "coil-positive"] = add_demand(rows, part, label, ends, coil, coil_key(part.id))
    rows.coils[part.id] = part.normal


def add_inverter(rows: Rows, part: Inverter) -> None:
    """An inverter at its rated power, and at its surge power while it starts something."""
    ends = rows.node(part.id, "positive"), rows.node(part.id, "negative")
    label, key = Label(part.id, part.kind), (part.id, "positive")
    efficiency = part.efficiency or rows.figures.level("inverter_efficiency", part.id).value
    drawn = part.rated_power_w / efficiency
    rated = Level(drawn, drawn, drawn)
    rows.inputs[key] = _constant(rows, part, label, ends, rated, key, is_power=True)
    if part.heavy:
        if part.surge_power_w is None:
            surge = rows.figures.level("inrush_multiple_inverter", part.id).scaled(drawn)
        else:
            power = part.surge_power_w / efficiency
            surge = Level(power, power, power)
        rows.stalled[key] = _constant(rows, part, label, ends, surge, NEVER, is_power=True)
    if part.charge_current_a is not None:
        rows.notes.append(Note(part.id, "charging side of this inverter is not computed"))


def add_outboard(rows: Rows, part: Outboard) -> None:
    """An outboard engine: its harness, and behind it starter, electronics and charging."""
    positive, negative = rows.node(part.id, "positive"), rows.node(part.id, "negative")
    label, key = Label(part.id, part.kind), (part.id, "positive")
    if part.harness_ohm is not None:
        inner = rows.new_node()
        rows.resistor(label, positive, inner, rows.figures.given_number(part.harness_ohm, part.id, "harness"))
        positive = inner
    ends = positive, negative
    power = Level(0.0, 0.0, 0.0)
    if part.control_power_w is not None:
        power = rows.figures.given(part.control_power_w, part.id, "control power")
    rows.inputs[key] = _constant(rows, part, label, ends, power, key, is_power=True)
    rows.stalled[key] = add_stalled(rows, part, label, ends, part.starter, "starter")
    if part.charging_a is not None:
        figures = (*charging_figures(rows, part, "alternator"), part.charging_a)
        add_limited(rows, label, (negative, positive), figures, source_key(part.id))

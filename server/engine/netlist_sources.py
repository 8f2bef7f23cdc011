"""Sources, and what joins them, as elements."""

import math

from server.boat.parts import (
    Alternator,
    Battery,
    Charger,
    Combiner,
    Converter,
    Isolator,
    Outboard,
    Solar,
)
from server.boat.terminals import terminals
from server.boat.value import Known
from server.engine.figures import Level, per_twelve_volts
from server.engine.netlist_rows import ConverterRow, Label, Rows
from server.practice.batteries import (
    RATED_TEMPERATURE_C,
    CrankingDefinition,
    open_circuit_voltage,
    resistance_from_capacity,
    resistance_from_cranking,
)
from server.practice.sourced import Assumption
from server.units import Ampere, Celsius, Ratio, Volt

_DEFINITIONS: dict[str, CrankingDefinition] = {
    "sae": "sae-cca",
    "en": "en",
    "din": "din",
    "iec": "iec",
    "marine": "marine-ca",
}
UNKNOWN_CAPACITY_AH = 100.0
"""Taken where a battery gives neither resistance, cranking rating nor capacity; the result says so."""


def add_battery(rows: Rows, part: Battery) -> None:
    """A rest voltage behind an internal resistance, in the conditions that hold."""
    rows.separate(part.id, ("positive", "negative"))
    positive, negative = rows.nodes[part.id, "positive"], rows.nodes[part.id, "negative"]
    if part.pack is not None and part.pack.ports == "separate":
        rows.nodes[part.id, "charge"] = positive
    rest, inner = rest_voltage(rows, part), internal_resistance(rows, part)
    ohm = math.prod(level.value for level in inner)
    row = rows.add("sources", Label(part.id, part.kind), negative, positive, rest.value, ohm)
    rows.band("sources", row, "emf_v", rest)
    for level in inner:
        rows.band("sources", row, "ohm", level.scaled(ohm / level.value))


def rest_voltage(rows: Rows, part: Battery) -> Level:
    """The rest voltage given, unless the conditions state a charge; else by the state of charge."""
    stated = next((c.state_of_charge for c in rows.conditions if c.state_of_charge is not None), None)
    if stated is None and part.rest_voltage_v is not None:
        return Level(part.rest_voltage_v, part.rest_voltage_v, part.rest_voltage_v)
    charge = part.state_of_charge if stated is None else stated
    if charge is not None:
        volts = _rest(part, charge * 100)
        return Level(volts, volts, volts)
    percent = rows.figures.level("battery_state_of_charge", part.id)
    low, value, high = (_rest(part, soc) for soc in (percent.low, percent.value, percent.high))
    return Level(low, value, high, percent.number)


def _rest(part: Battery, percent: float) -> Volt:
    return open_circuit_voltage(part.chemistry, percent, part.nominal_voltage_v).value


def internal_resistance(rows: Rows, part: Battery) -> tuple[Level, ...]:
    """Factors of the internal resistance: when new and warm, for temperature, for age.

    A resistance that was given is taken as it is, except for conditions that are stated.
    """
    stated_c = next((c.temperature_c for c in rows.conditions if c.temperature_c is not None), None)
    stated_age = next((c.age_factor for c in rows.conditions if c.age_factor is not None), None)
    if part.internal_resistance_ohm is not None:
        given = rows.figures.given(part.internal_resistance_ohm, part.id, "internal resistance")
        cold = _cooling(rows, part, RATED_TEMPERATURE_C if stated_c is None else stated_c)
        return given, Level(cold, cold, cold), _fixed(stated_age or 1.0)
    age = stated_age if stated_age is not None else part.age_factor
    worn = _fixed(age) if age is not None else rows.figures.level("battery_age_factor", part.id)
    return _when_new(rows, part), _temperature_level(rows, part, stated_c), worn


def _fixed(value: float) -> Level:
    return Level(value, value, value)


def _temperature_level(rows: Rows, part: Battery, stated_c: Celsius | None) -> Level:
    temperature = stated_c if stated_c is not None else part.temperature_c
    if temperature is not None:
        return _fixed(_cooling(rows, part, temperature))
    taken = rows.figures.level("battery_temperature", part.id)
    high, value, low = (_cooling(rows, part, t) for t in (taken.low, taken.value, taken.high))
    return Level(low, value, high, taken.number)


def _cooling(rows: Rows, part: Battery, temperature_c: Celsius) -> Ratio:
    """Resistance at a temperature over that at 25 °C, exp(b (25 - θ))."""
    kind = "lifepo4" if part.chemistry == "lifepo4" else "lead_acid"
    rise = rows.figures.level(f"battery_resistance_cooling_{kind}", part.id).value
    return math.exp(rise * (RATED_TEMPERATURE_C - temperature_c))


def _when_new(rows: Rows, part: Battery) -> Level:
    """Resistance at 25 °C when new and full: from the cranking rating, else from the capacity."""
    if part.cranking_a is not None and part.chemistry != "lifepo4":
        definition = _DEFINITIONS[part.cranking_standard or "sae"]
        rated = resistance_from_cranking(part.cranking_a, definition, part.nominal_voltage_v)
        return _rescaled(rows, part, "battery_resistance_cranking_ratio", rated)
    if part.capacity_ah is None:
        rows.unknown.append(
            (part.id, "internal resistance of this battery cannot be told: taken as one of 100 Ah")
        )
    capacity = part.capacity_ah or UNKNOWN_CAPACITY_AH
    rated = resistance_from_capacity(part.chemistry, capacity, part.nominal_voltage_v)
    return _rescaled(rows, part, f"battery_resistance_{part.chemistry}", rated)


def _rescaled(rows: Rows, part: Battery, key: str, by_default: Assumption) -> Level:
    """A resistance worked out with the default of a factor, with the boat's own factor in its place."""
    own, default = rows.figures.level(key, part.id), rows.figures.default(key)
    factor = by_default.value / default.value
    return own.scaled(factor)


def add_limited(
    rows: Rows, label: Label, ends: tuple[int, int], figures: tuple[Level, Level, Ampere], *, on: bool
) -> int:
    """A regulated source between its negative and positive node."""
    setpoint, ohm, limit = figures
    row = rows.add("limited", label, *ends, setpoint.value, ohm.value, limit, on=on)
    rows.band("limited", row, "setpoint_v", setpoint)
    rows.band("limited", row, "ohm", ohm)
    return row


def charging_figures(
    rows: Rows, part: Alternator | Charger | Solar | Outboard, kind: str
) -> tuple[Level, Level]:
    """Set point and output resistance of a charging source: given, else assumed for its nominal voltage."""
    twelves = per_twelve_volts(rows.nominal_v(part))
    if part.setpoint_v is not None:
        setpoint = Level(part.setpoint_v, part.setpoint_v, part.setpoint_v)
    else:
        setpoint = rows.figures.level(f"{kind}_voltage", part.id).scaled(twelves)
    return setpoint, _output_ohm(rows, part.id, part.output_resistance_ohm, kind, twelves)


def _output_ohm(rows: Rows, part: str, given: Known | None, kind: str, twelves: float) -> Level:
    if given is not None:
        return rows.figures.given(given, part, "output resistance")
    return rows.figures.level(f"{kind}_output_resistance", part).scaled(twelves)


def add_alternator(rows: Rows, part: Alternator) -> None:
    """An alternator that turns, as a regulated source at its own terminals."""
    names = terminals(part)
    rows.separate(part.id, names)
    limit = part.hot_cruise_a or part.rated_current_a
    ends = rows.nodes[part.id, "negative"], rows.nodes[part.id, "positive"]
    figures = (*charging_figures(rows, part, "alternator"), limit)
    add_limited(rows, Label(part.id, part.kind), ends, figures, on=rows.is_on(part.id))
    if part.sense_at == "sense-terminal":
        rows.unknown.append(
            (part.id, "remote sensing of this alternator is not computed: it regulates its own terminals")
        )


def add_charger(rows: Rows, part: Charger) -> None:
    """A charger whose current is shared evenly among its outputs."""
    rows.separate(part.id, terminals(part))
    setpoint, ohm = charging_figures(rows, part, "charger")
    for output in range(1, part.outputs + 1):
        ends = rows.nodes[part.id, "negative"], rows.nodes[part.id, f"output-{output}"]
        figures = (setpoint, ohm, part.rated_current_a / part.outputs)
        add_limited(rows, Label(part.id, part.kind), ends, figures, on=rows.is_on(part.id))


def add_solar(rows: Rows, part: Solar) -> None:
    """Solar panels behind their charge controller."""
    rows.separate(part.id, ("positive", "negative"))
    ends = rows.nodes[part.id, "negative"], rows.nodes[part.id, "positive"]
    figures = (*charging_figures(rows, part, "charger"), part.rated_current_a)
    add_limited(rows, Label(part.id, part.kind), ends, figures, on=rows.is_on(part.id))


def add_combiner(rows: Rows, part: Combiner) -> None:
    """A combining relay: joined, apart, or left to its own measuring."""
    rows.separate(part.id, ("a", "b", "ground"))
    position = rows.positions.get((part.id, None), part.normal)
    a, b, ground = (rows.nodes[part.id, name] for name in ("a", "b", "ground"))
    label = Label(part.id, part.kind)
    if part.resistance_ohm is not None:
        number, coefficient = rows.figures.given_number(part.resistance_ohm, part.id, "resistance")
    else:
        number, coefficient = rows.figures.number("relay_contact_resistance", part.id), 1.0
    if position == "closed":
        rows.resistor(label, a, b, (number, coefficient))
    elif position == "open":
        rows.open_pairs.append((a, b, label))
    else:
        twelves = per_twelve_volts(rows.nominal_v(part))
        closes = part.connect_v or rows.figures.level("combiner_close_voltage", part.id).value * twelves
        opens = part.disconnect_v or rows.figures.level("combiner_open_voltage", part.id).value * twelves
        contact = rows.figures.levels[number].scaled(coefficient)
        row = rows.add("relays", label, a, b, a, b, ground, contact.value, closes, opens)
        rows.band("relays", row, "ohm", contact)


def add_isolator(rows: Rows, part: Isolator) -> None:
    """A diode from the input to every output."""
    rows.separate(part.id, terminals(part))
    figures = rows.figures
    if part.forward_v is None:
        drop = figures.level("isolator_forward_drop", part.id)
    else:
        drop = figures.given(part.forward_v, part.id, "forward voltage")
    if part.resistance_ohm is None:
        ohm = figures.level("isolator_slope_resistance", part.id)
    else:
        ohm = figures.given(part.resistance_ohm, part.id, "resistance")
    for output in range(1, part.outputs + 1):
        ends = rows.nodes[part.id, "input"], rows.nodes[part.id, f"output-{output}"]
        row = rows.add("diodes", Label(part.id, part.kind), *ends, drop.value, ohm.value)
        rows.band("diodes", row, "drop_v", drop)
        rows.band("diodes", row, "ohm", ohm)


def add_converter(rows: Rows, part: Converter) -> None:
    """A constant-power input that feeds a regulated output.

    A supply is on in every mode; a charging converter or equaliser only where the mode lists it.
    """
    rows.separate(part.id, terminals(part))
    on = part.role == "supply" or rows.is_on(part.id)
    negative = rows.nodes[part.id, "negative"]
    out_negative = rows.nodes[part.id, "output-negative"] if part.isolated else negative
    label = Label(part.id, part.kind)
    nominal = rows.nominal_v(part)
    cut_out = part.minimum_input_v or rows.figures.level("undervoltage_kink", part.id).value * nominal
    load = rows.add("loads", label, rows.nodes[part.id, "input"], negative, 0.0, 1.0, cut_out, on=on)
    twelves = per_twelve_volts(part.output_v)
    ohm = _output_ohm(rows, part.id, part.output_resistance_ohm, "converter", twelves)
    setpoint = Level(part.output_v, part.output_v, part.output_v)
    ends = out_negative, rows.nodes[part.id, "output"]
    output = add_limited(rows, label, ends, (setpoint, ohm, part.rated_current_a), on=on)
    efficiency = part.efficiency or rows.figures.level("converter_efficiency", part.id).value
    rows.converters.append(ConverterRow(load, output, efficiency, 0.0))

"""Sources, and what joins them, as elements."""

from typing import Literal

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
from server.boat.value import Known
from server.engine.figures import Level, per_twelve_volts
from server.engine.netlist_batteries import UNKNOWN_RESISTANCE, is_unknown
from server.engine.netlist_rows import ALWAYS, ConverterRow, Label, Note, Row, Rows, Terminal, source_key
from server.units import Ampere


def add_battery(rows: Rows, part: Battery) -> None:
    """A battery between its posts; its figures follow from the conditions, so they come with the mode."""
    positive, negative = rows.node(part.id, "positive"), rows.node(part.id, "negative")
    rows.add("sources", Label(part.id, part.kind), negative, positive)
    rows.batteries.append(part)
    if is_unknown(part):
        rows.notes.append(Note(part.id, UNKNOWN_RESISTANCE))


def add_limited(
    rows: Rows,
    label: Label,
    ends: tuple[int, int],
    figures: tuple[Level, Level, Ampere],
    runs_with: Terminal,
) -> Row:
    """A regulated source between its negative and positive node."""
    setpoint, ohm, limit = figures
    row = rows.add("limited", label, *ends, setpoint.value, ohm.value, limit, runs_with=runs_with)
    rows.band(row, "setpoint_v", setpoint)
    rows.band(row, "ohm", ohm)
    return row


def charging_figures(
    rows: Rows, part: Alternator | Charger | Solar | Outboard, kind: str
) -> tuple[Level, Level]:
    """Set point and output resistance of a charging source: given, else assumed for its nominal voltage."""
    twelves = per_twelve_volts(rows.nominal_v(part.island))
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
    limit = part.hot_cruise_a or part.rated_current_a
    ends = rows.node(part.id, "negative"), rows.node(part.id, "positive")
    figures = (*charging_figures(rows, part, "alternator"), limit)
    add_limited(rows, Label(part.id, part.kind), ends, figures, source_key(part.id))
    if part.sense_at == "sense-terminal":
        rows.notes.append(
            Note(part.id, "remote sensing of this alternator is not computed: it regulates its own terminals")
        )


def add_charger(rows: Rows, part: Charger) -> None:
    """A charger whose current is shared evenly among its outputs."""
    setpoint, ohm = charging_figures(rows, part, "charger")
    for output in range(1, part.outputs + 1):
        ends = rows.node(part.id, "negative"), rows.node(part.id, f"output-{output}")
        figures = (setpoint, ohm, part.rated_current_a / part.outputs)
        add_limited(rows, Label(part.id, part.kind), ends, figures, source_key(part.id))


def add_solar(rows: Rows, part: Solar) -> None:
    """Solar panels behind their charge controller."""
    ends = rows.node(part.id, "negative"), rows.node(part.id, "positive")
    figures = (*charging_figures(rows, part, "charger"), part.rated_current_a)
    add_limited(rows, Label(part.id, part.kind), ends, figures, source_key(part.id))


def add_combiner(rows: Rows, part: Combiner) -> None:
    """A combining relay: joined, apart, or left to its own measuring."""
    a, b, ground = (rows.node(part.id, name) for name in ("a", "b", "ground"))
    label, switch, figures = Label(part.id, part.kind), (part.id, None), rows.figures
    if part.resistance_ohm is not None:
        number, coefficient = figures.given_number(part.resistance_ohm, part.id, "resistance")
    else:
        number, coefficient = figures.number("relay_contact_resistance", part.id), 1.0
    closed = rows.resistor(label, a, b, (number, coefficient))
    rows.stands(closed, switch, "closed", normal=part.normal)
    closes, opens = (_relay_v(rows, part, key) for key in ("close", "open"))
    contact = figures.levels[number].scaled(coefficient)
    auto = rows.add("relays", label, a, b, a, b, ground, contact.value, closes.value, opens.value)
    rows.band(auto, "ohm", contact)
    rows.stands(auto, switch, "auto", normal=part.normal)
    rows.relays.append((auto[1], closed[1]))
    rows.taken_by += [(auto, taken) for taken in (number, closes.number, opens.number)]


def _relay_v(rows: Rows, part: Combiner, key: Literal["close", "open"]) -> Level:
    given = part.connect_v if key == "close" else part.disconnect_v
    if given is not None:
        return Level(given, given, given)
    level = rows.figures.levels[rows.figures.number(f"combiner_{key}_voltage", part.id)]
    return level.scaled(per_twelve_volts(rows.nominal_v(part.island)))


def add_isolator(rows: Rows, part: Isolator) -> None:
    """A diode from the input to every output."""
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
        ends = rows.node(part.id, "input"), rows.node(part.id, f"output-{output}")
        row = rows.add("diodes", Label(part.id, part.kind), *ends, drop.value, ohm.value)
        rows.band(row, "drop_v", drop)
        rows.band(row, "ohm", ohm)


def add_converter(rows: Rows, part: Converter) -> None:
    """A constant-power input that feeds a regulated output.

    A supply is on in every mode; a charging converter or equaliser only where the mode lists it.
    """
    runs_with = ALWAYS if part.role == "supply" else source_key(part.id)
    negative = rows.node(part.id, "negative")
    out_negative = rows.node(part.id, "output-negative") if part.isolated else negative
    label = Label(part.id, part.kind)
    nominal = rows.nominal_v(part.island)
    cut_out = part.minimum_input_v or rows.figures.level("undervoltage_kink", part.id).value * nominal
    drawn = rows.node(part.id, "input"), negative, 0.0, 1.0, cut_out
    _, load = rows.add("loads", label, *drawn, runs_with=runs_with)
    twelves = per_twelve_volts(part.output_v)
    ohm = _output_ohm(rows, part.id, part.output_resistance_ohm, "converter", twelves)
    setpoint = Level(part.output_v, part.output_v, part.output_v)
    ends = out_negative, rows.node(part.id, "output")
    _, output = add_limited(rows, label, ends, (setpoint, ohm, part.rated_current_a), runs_with)
    efficiency = part.efficiency or rows.figures.level("converter_efficiency", part.id).value
    rows.converters.append(ConverterRow(load, output, efficiency, 0.0))

"""Passive parts as nodes and resistors: one function a kind, chosen from ``PARTS``."""

from collections.abc import Callable
from typing import Any

from server.boat.devices import Overcurrent
from server.boat.parts import (
    Alternator,
    Battery,
    Bonding,
    Breaker,
    Busbar,
    Charger,
    Combiner,
    Connector,
    Contact,
    Converter,
    EngineBlock,
    Fuse,
    Inverter,
    Isolator,
    Load,
    MeasuringShunt,
    Outboard,
    Panel,
    Post,
    Solar,
)
from server.boat.terminals import terminals
from server.engine.figures import GIVEN
from server.engine.netlist_alike import UNKNOWN_RATING, device_figure
from server.engine.netlist_loads import add_coil, add_inverter, add_load, add_outboard
from server.engine.netlist_rows import Label, Note, Rows, Setting
from server.engine.netlist_sources import (
    add_alternator,
    add_battery,
    add_charger,
    add_combiner,
    add_converter,
    add_isolator,
    add_solar,
)
from server.practice.materials import pure_copper_ohm_per_m

BRASS_OVER_COPPER = 4.0
"""Resistivity of brass over that of copper (common practice, no source: 6 to 7 against 1.7 · 10⁻⁸ Ω·m)."""

LARGE_CONTACT_A = 50.0
"""Contacts for this current and more are taken for battery switches, smaller ones for panel switches."""


def add_fuse(rows: Rows, part: Fuse | Breaker) -> None:
    """A fuse or breaker; nothing joins its terminals while it is off."""
    ends = rows.node(part.id, "line"), rows.node(part.id, "load")
    _add_device(rows, part, (part.id, None), Label(part.id, part.kind), ends)


def _add_device(
    rows: Rows, device: Overcurrent | None, switch: Setting, label: Label, ends: tuple[int, int]
) -> None:
    row = rows.resistor(label, *ends, device_figure(rows.figures, device, label.kind, switch[0]))
    rows.stands(row, switch, "on", normal="on")
    if device is None or (device.resistance_ohm is None and device.rating_a is None):
        rows.notes.append(Note(switch[0], UNKNOWN_RATING, row))


def add_contact(rows: Rows, part: Contact) -> None:
    """A resistor for each pair that a position closes, and the coil where there is one."""
    label = Label(part.id, part.kind)
    for position in part.positions:
        for a, b in position.closed:
            ends = rows.node(part.id, a), rows.node(part.id, b)
            row = rows.resistor(label, *ends, _contact_figure(rows, part))
            rows.stands(row, (part.id, None), position.id, normal=part.normal)
    if part.coil is not None:
        add_coil(rows, part, part.coil)


def _contact_figure(rows: Rows, part: Contact) -> tuple[int, float]:
    if part.resistance_ohm is not None:
        return rows.figures.given_number(part.resistance_ohm, part.id, "resistance")
    if part.coil is not None:
        key = "relay_contact_resistance"
    elif part.is_battery_switch or (part.continuous_a or 0.0) >= LARGE_CONTACT_A:
        key = "switch_contact_resistance"
    else:
        key = "panel_switch_resistance"
    return rows.figures.number(key, part.id), 1.0


def add_shunt(rows: Rows, part: MeasuringShunt) -> None:
    """The resistance printed on a measuring shunt: its voltage over its current."""
    ends = rows.node(part.id, "battery"), rows.node(part.id, "system")
    rows.resistor(Label(part.id, part.kind), *ends, (GIVEN, part.rated_voltage_v / part.rated_current_a))


def add_busbar(rows: Rows, part: Busbar) -> None:
    """A chain of studs where section and pitch are stated, else one node."""
    if part.section_mm2 is None or part.stud_pitch_m is None:
        return
    ohm = pure_copper_ohm_per_m(part.section_mm2) * part.stud_pitch_m
    if part.material == "brass":
        ohm *= BRASS_OVER_COPPER
    rows.chain(Label(part.id, part.kind), rows.node(part.id, "stud-1"), part.studs - 1, (GIVEN, ohm))


def add_metal(rows: Rows, part: EngineBlock | Bonding) -> None:
    """One node, or where a resistance is stated a star with half of it to each stud."""
    studs = terminals(part)
    if part.resistance_ohm is None:
        return
    centre = rows.new_node()
    number, coefficient = rows.figures.given_number(part.resistance_ohm, part.id, "resistance")
    for stud in studs:
        rows.resistor(Label(part.id, part.kind), rows.node(part.id, stud), centre, (number, coefficient / 2))


def add_post(_rows: Rows, _part: Post) -> None:
    """One node, and nothing else."""


def add_connector(rows: Rows, part: Connector) -> None:
    """A resistor for every pin."""
    if part.resistance_ohm is not None:
        figure = rows.figures.given_number(part.resistance_ohm, part.id, "resistance")
    else:
        figure = rows.figures.number("connector_pin_resistance", part.id), 1.0
    for pin in range(1, part.pins + 1):
        ends = rows.node(part.id, f"a-{pin}"), rows.node(part.id, f"b-{pin}")
        rows.resistor(Label(part.id, part.kind), *ends, figure)


def add_panel(rows: Rows, part: Panel) -> None:
    """Each section a bar behind its main device; what stands before its ways is in columns already."""
    for section in part.sections:
        feed = part.id, f"{section.id}-feed"
        bar = rows.points.bars[feed]
        if section.polarity == "positive":
            rows.panel_bars.append(bar)
        if section.main_kind is not None:
            label = Label(".".join(feed), section.main_kind)
            _add_device(rows, section.main, feed, label, (rows.node(*feed), bar))


PARTS: dict[type[Any], Callable[[Rows, Any], None]] = {
    Battery: add_battery,
    Fuse: add_fuse,
    Breaker: add_fuse,
    Contact: add_contact,
    MeasuringShunt: add_shunt,
    Busbar: add_busbar,
    Post: add_post,
    Connector: add_connector,
    Panel: add_panel,
    EngineBlock: add_metal,
    Bonding: add_metal,
    Load: add_load,
    Inverter: add_inverter,
    Alternator: add_alternator,
    Charger: add_charger,
    Solar: add_solar,
    Combiner: add_combiner,
    Isolator: add_isolator,
    Converter: add_converter,
    Outboard: add_outboard,
}

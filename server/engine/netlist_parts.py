"""Passive parts as nodes and resistors: one function a kind, chosen from ``PARTS``."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any, NamedTuple

from server.boat.devices import Overcurrent, PanelWay
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
from server.boat.terminals import section_terminals, terminals
from server.engine.figures import GIVEN
from server.engine.memo import Memo
from server.engine.netlist_loads import add_coil, add_inverter, add_load, add_outboard
from server.engine.netlist_rows import Label, Rows, Terminal
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


def add_device(rows: Rows, part: Fuse | Breaker) -> None:
    """A fuse or breaker; nothing joins its terminals while it is off."""
    rows.separate(part.id, ("line", "load"))
    ends, label = (rows.nodes[part.id, "line"], rows.nodes[part.id, "load"]), Label(part.id, part.kind)
    if rows.positions.get((part.id, None)) == "off":
        rows.open_pairs.append((*ends, label))
    else:
        rows.resistor(label, *ends, device_figure(rows, part, part.kind, part.id))


def device_figure(rows: Rows, device: Overcurrent | None, kind: str, subject: str) -> tuple[int, float]:
    """Resistance of a protective device: given, else its drop at its rating over the rating."""
    figures = rows.figures
    if device is not None and device.resistance_ohm is not None:
        return figures.given_number(device.resistance_ohm, subject, "resistance")
    if device is None or device.rating_a is None:
        rows.unknown.append((subject, "rating of this device is not known: taken as a small switch"))
        return figures.number("panel_switch_resistance", subject), 1.0
    if kind == "breaker":
        key = "breaker_drop_at_rating"
    else:
        blade = device.device_class in {"blade", "glass"}
        key = "blade_fuse_drop_at_rating" if blade else "fuse_drop_at_rating"
    return figures.number(key, subject), 1 / device.rating_a


def add_contact(rows: Rows, part: Contact) -> None:
    """A resistor for each pair that the chosen position closes, and the coil where there is one."""
    rows.separate(part.id, part.terminals)
    chosen = rows.positions.get((part.id, None), part.normal)
    label = Label(part.id, part.kind)
    for position in part.positions:
        for a, b in position.closed:
            ends = rows.nodes[part.id, a], rows.nodes[part.id, b]
            if position.id == chosen:
                rows.resistor(label, *ends, _contact_figure(rows, part))
            else:
                rows.open_pairs.append((*ends, label))
    if part.coil is not None:
        rows.separate(part.id, ("coil-positive", "coil-negative"))
        add_coil(rows, part, part.coil, pulled=chosen != part.normal)


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
    rows.separate(part.id, ("battery", "system"))
    ends = rows.nodes[part.id, "battery"], rows.nodes[part.id, "system"]
    rows.resistor(Label(part.id, part.kind), *ends, (GIVEN, part.rated_voltage_v / part.rated_current_a))


def add_busbar(rows: Rows, part: Busbar) -> None:
    """A chain of studs where section and pitch are stated, else one node."""
    studs = terminals(part)
    if part.section_mm2 is None or part.stud_pitch_m is None:
        rows.join(part.id, studs)
        return
    rows.separate(part.id, studs)
    ohm = pure_copper_ohm_per_m(part.section_mm2) * part.stud_pitch_m
    if part.material == "brass":
        ohm *= BRASS_OVER_COPPER
    for a, b in pairwise(studs):
        rows.resistor(Label(part.id, part.kind), rows.nodes[part.id, a], rows.nodes[part.id, b], (GIVEN, ohm))


def add_metal(rows: Rows, part: EngineBlock | Bonding) -> None:
    """One node, or where a resistance is stated a star with half of it to each stud."""
    studs = terminals(part)
    if part.resistance_ohm is None:
        rows.join(part.id, studs)
        return
    rows.separate(part.id, studs)
    centre = rows.new_node()
    number, coefficient = rows.figures.given_number(part.resistance_ohm, part.id, "resistance")
    for stud in studs:
        rows.resistor(Label(part.id, part.kind), rows.nodes[part.id, stud], centre, (number, coefficient / 2))


def add_post(rows: Rows, part: Post) -> None:
    """One node."""
    rows.join(part.id, ("stud",))


def add_connector(rows: Rows, part: Connector) -> None:
    """A resistor for every pin."""
    rows.separate(part.id, terminals(part))
    if part.resistance_ohm is not None:
        figure = rows.figures.given_number(part.resistance_ohm, part.id, "resistance")
    else:
        figure = rows.figures.number("connector_pin_resistance", part.id), 1.0
    for pin in range(1, part.pins + 1):
        ends = rows.nodes[part.id, f"a-{pin}"], rows.nodes[part.id, f"b-{pin}"]
        rows.resistor(Label(part.id, part.kind), *ends, figure)


class _Way(NamedTuple):
    """One way of a panel section."""

    terminal: Terminal
    way: PanelWay
    label: Label


class _Section(NamedTuple):
    """The terminals of a panel section."""

    feed: Terminal
    plain: tuple[Terminal, ...]
    ways: tuple[_Way, ...]


def _sections(part: Panel) -> tuple[_Section, ...]:
    found = []
    for section in part.sections:
        named = {f"{section.id}-{way.id}": way for way in section.ways}
        feed, *rest = section_terminals(section)
        ways = (
            _Way((part.id, name), way, Label(f"{part.id}.{name}", way.device_kind or "way"))
            for name, way in named.items()
        )
        plain = tuple((part.id, name) for name in rest if name not in named)
        found.append(_Section((part.id, feed), plain, tuple(ways)))
    return tuple(found)


_panel_sections = Memo(_sections)


def add_panel(rows: Rows, part: Panel) -> None:
    """Each section a bar behind its main device, with a device or nothing before each way."""
    for section, (feed, plain, ways) in zip(part.sections, _panel_sections(part), strict=True):
        bar = rows.new_node()
        for terminal in plain:
            rows.nodes[terminal] = bar
        if section.polarity == "positive":
            rows.panel_bars.append(bar)
        if section.main_kind is None:
            rows.nodes[feed] = bar
        else:
            node, label = rows.new_node(), Label(".".join(feed), section.main_kind)
            rows.nodes[feed] = node
            if rows.positions.get(feed) == "off":
                rows.open_pairs.append((node, bar, label))
            else:
                rows.resistor(label, node, bar, device_figure(rows, section.main, section.main_kind, part.id))
        for terminal, way, label in ways:
            is_on = rows.positions.get(terminal, way.normally) == "on"
            if way.device_kind is None and is_on:
                rows.nodes[terminal] = bar
                continue
            node = rows.new_node()
            rows.nodes[terminal] = node
            if not is_on:
                rows.open_pairs.append((bar, node, label))
            else:
                rows.resistor(label, bar, node, device_figure(rows, way.device, label.kind, part.id))


PARTS: dict[type[Any], Callable[[Rows, Any], None]] = {
    Battery: add_battery,
    Fuse: add_device,
    Breaker: add_device,
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

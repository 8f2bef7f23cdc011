"""Charging voltages against what loads stand, and currents against what lithium packs allow."""

from collections.abc import Iterator

import networkx as nx

from server.boat.boat import Boat
from server.boat.devices import Pack
from server.boat.finding import Figure, Finding
from server.boat.parts import (
    Alternator,
    AnyPart,
    Battery,
    Charger,
    Converter,
    Inverter,
    Load,
    Outboard,
    Solar,
)
from server.boat.value import bounds
from server.checks.feeds import devices_of
from server.checks.paths import Node, Paths
from server.checks.words import the
from server.engine.answer import ModeAnswer
from server.practice.assumptions import default
from server.practice.sourced import Sourced
from server.practice.supply import supply_range
from server.units import Ampere, Volt

Source = Alternator | Charger | Solar | Outboard | Inverter | Converter


def charging_too_high(boat: Boat) -> Iterator[Finding]:
    """Loads and lithium packs that stand less than a charging source that can reach them is set to.

    A 12 V instrument backbone for which nothing is entered is held to NMEA 2000's own limit; one on a higher
    voltage has a converter of its own.
    """
    if not boat.modes:
        return
    reach = Paths.of(boat, boat.modes[0]).without_devices
    piece = {
        node: n for n, nodes in enumerate(nx.connected_components(_joined(boat, reach))) for node in nodes
    }
    sources = [part for part in boat.parts if isinstance(part, Source)]
    for part, name, most in _most(boat):
        at = piece[part.id, name]
        feeding = [one for one in sources if any(piece[one.id, post] == at for post in _posts(one))]
        yield from _judged(boat, part, name, most, feeding)


def _most(boat: Boat) -> Iterator[tuple[Load | Battery, str, Sourced]]:
    """What stands how much: loads as entered, backbones as published, packs up to their cut-off."""
    for part in boat.parts:
        if isinstance(part, Battery) and part.pack is not None and part.pack.high_cut_off_v is not None:
            yield part, "positive", _entered(part.pack.high_cut_off_v)
        elif isinstance(part, Load):
            published = _published(part, _nominal_v(boat, part))
            for one in part.inputs:
                if one.maximum_voltage_v is not None:
                    yield part, one.id, _entered(bounds(one.maximum_voltage_v)[0])
                elif published is not None:
                    yield part, one.id, published


def _published(load: Load, nominal_v: Volt) -> Sourced | None:
    """What a standard lets a load's supply rise to."""
    limits = supply_range("nmea-2000", nominal_v) if load.role == "backbone" else None
    if limits is None or limits.high_v is None:
        return None
    return Sourced(value=limits.high_v, unit="V", source=limits.source, status=limits.status)


def _entered(most_v: Volt) -> Sourced:
    return Sourced(value=most_v, unit="V", source="maximum as entered", status="verified")


def _joined(boat: Boat, copper: "nx.Graph[Node]") -> "nx.Graph[Node]":
    """Copper with every fuse and breaker in place again: a charging voltage passes them."""
    graph: nx.Graph[Node] = nx.Graph(copper)
    graph.add_edges_from((device.line, device.load) for device in devices_of(boat))
    return graph


def _posts(source: Source) -> tuple[str, ...]:
    if isinstance(source, Charger):
        return tuple(f"output-{n}" for n in range(1, source.outputs + 1))
    if isinstance(source, Converter):
        return ("output",)
    return ("positive",)


def _judged(
    boat: Boat, part: Load | Battery, name: str, most: Sourced, sources: list[Source]
) -> Iterator[Finding]:
    for source in sources:
        volts, assumed = _setpoint(boat, source)
        if volts is not None and volts > most.value:
            stands = "stands" if isinstance(part, Load) else "cuts off at"
            yield Finding(
                code="charging-too-high",
                severity="cannot-tell" if assumed else "fault",
                subjects=(part.id, name, source.id),
                figure=Figure(value=volts, unit="V", basis="assumed" if assumed else "rule"),
                limit=Figure(value=most.value, unit="V", basis="rule"),
                message=f"{source.name} may charge with {volts:.1f} V; {the(part.name)} {stands} "
                f"{most.value:.1f} V" + (": look up the set voltage, it is assumed." if assumed else "."),
                source=f"{most.source}; set voltage as entered"
                if not assumed
                else f"{most.source}; set voltage assumed: {default(_key(source)).source}",
                source_status="document" if not assumed else "memory",
            )


def _key(source: Source) -> str:
    return "alternator_voltage" if isinstance(source, Alternator | Outboard) else "charger_voltage"


def _setpoint(boat: Boat, source: Source) -> tuple[Volt | None, bool]:
    """The set voltage, and whether it is assumed: then the high end, per 12 V of the source's island."""
    match source:
        case Inverter():
            return source.charge_voltage_v, False
        case Converter():
            return source.output_v, False
        case _ if source.setpoint_v is not None:
            return source.setpoint_v, False
        case _:
            pass
    if isinstance(source, Outboard) and source.charging_a is None:
        return None, False
    return default(_key(source)).high * _nominal_v(boat, source) / 12.0, True


def _nominal_v(boat: Boat, part: AnyPart) -> Volt:
    islands = {one.id: one.nominal_voltage_v for one in boat.islands}
    return boat.nominal_voltage_v if part.island is None else islands[part.island]


def overdrawn_packs(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Lithium packs that give or take more than their electronics allow, in the mode or in a start."""
    flows = {flow.element: flow for flow in answer.flows}
    for part in boat.parts:
        if isinstance(part, Battery) and part.pack is not None and part.id in flows:
            flow = flows[part.id]
            yield from _steady(part, part.pack, flow.current_a)
            yield from _at_start(part, part.pack, flow.event_current_a or 0.0)


def _steady(part: Battery, pack: Pack, amps: Ampere) -> Iterator[Finding]:
    if pack.discharge_limit_a is not None and amps > pack.discharge_limit_a:
        yield _over(part, "pack-discharge", amps, pack.discharge_limit_a, "gives {} and may give {} all day")
    if pack.charge_limit_a is not None and -amps > pack.charge_limit_a:
        yield _over(part, "pack-charge", -amps, pack.charge_limit_a, "takes {} and may take {}")


def _at_start(part: Battery, pack: Pack, amps: Ampere) -> Iterator[Finding]:
    """A start against the trip table, or against the steady limit where no trips are stated."""
    passed = [trip for trip in pack.trips if amps > trip.current_a]
    if passed:
        trip = max(passed, key=lambda one: one.current_a)
        told = f"gives {{}} in a start and may give {{}} for {trip.time_s:g} s"
        yield _over(part, "pack-trips", amps, trip.current_a, told)
    elif not pack.trips and pack.discharge_limit_a is not None and amps > pack.discharge_limit_a:
        told = "gives {} in a start and may give {}; no time is stated for more"
        yield _over(part, "pack-trips", amps, pack.discharge_limit_a, told)


def _over(part: Battery, code: str, amps: Ampere, limit: Ampere, told: str) -> Finding:
    figures = told.format(f"{amps:.0f} A", f"{limit:.0f} A")
    return Finding(
        code=code,
        severity="fault",
        subjects=(part.id,),
        figure=Figure(value=amps, unit="A", basis="computed"),
        limit=Figure(value=limit, unit="A", basis="rule"),
        message=f"{part.name} {figures}. When its electronics switch it off, all on it goes dark and an "
        "alternator loses its battery.",
        source="the pack's figures as entered",
        source_status="document",
    )

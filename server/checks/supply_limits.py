"""Charging voltages against what loads stand, and currents against what lithium packs allow."""

from collections.abc import Iterator

import networkx as nx

from server.boat.boat import Boat
from server.boat.devices import Pack
from server.boat.finding import Figure, Finding
from server.boat.parts import Alternator, AnyPart, Battery, Charger, Load, Outboard, Solar
from server.boat.value import bounds
from server.checks.feeds import devices_of
from server.checks.paths import Node, Paths
from server.checks.words import the
from server.engine.answer import ModeAnswer
from server.practice.assumptions import default
from server.units import Ampere, Volt

Source = Alternator | Charger | Solar | Outboard


def charging_too_high(boat: Boat) -> Iterator[Finding]:
    """Loads that stand less than a charging source that can reach them is set to."""
    if not boat.modes:
        return
    reach = Paths.of(boat, boat.modes[0]).without_devices
    piece = {
        node: n for n, nodes in enumerate(nx.connected_components(_joined(boat, reach))) for node in nodes
    }
    sources = [part for part in boat.parts if isinstance(part, Source)]
    for part in boat.parts:
        if isinstance(part, Load):
            for one in part.inputs:
                if one.maximum_voltage_v is not None:
                    most = bounds(one.maximum_voltage_v)[0]
                    feeding = [
                        s for s in sources if any(piece[s.id, t] == piece[part.id, one.id] for t in _posts(s))
                    ]
                    yield from _judged(boat, part, one.id, most, feeding)


def _joined(boat: Boat, copper: "nx.Graph[Node]") -> "nx.Graph[Node]":
    """Copper with every fuse and breaker in place again: a charging voltage passes them."""
    graph: nx.Graph[Node] = nx.Graph(copper)
    graph.add_edges_from((device.line, device.load) for device in devices_of(boat))
    return graph


def _posts(source: Source) -> tuple[str, ...]:
    if isinstance(source, Charger):
        return tuple(f"output-{n}" for n in range(1, source.outputs + 1))
    return ("positive",)


def _judged(boat: Boat, load: Load, name: str, most_v: Volt, sources: list[Source]) -> Iterator[Finding]:
    for source in sources:
        volts, assumed = _setpoint(boat, source)
        if volts is not None and volts > most_v:
            yield Finding(
                code="charging-too-high",
                severity="cannot-tell" if assumed else "fault",
                subjects=(load.id, name, source.id),
                figure=Figure(value=volts, unit="V", basis="assumed" if assumed else "rule"),
                limit=Figure(value=most_v, unit="V", basis="rule"),
                message=f"{source.name} may charge with {volts:.1f} V; {the(load.name)} stands {most_v:.1f} V"
                + (": look up the set voltage, it is assumed." if assumed else "."),
                source="maximum and set voltage as entered"
                if not assumed
                else f"maximum voltage as entered; set voltage assumed: {default(_key(source)).source}",
                source_status="document" if not assumed else "memory",
            )


def _key(source: Source) -> str:
    return "alternator_voltage" if isinstance(source, Alternator | Outboard) else "charger_voltage"


def _setpoint(boat: Boat, source: Source) -> tuple[Volt | None, bool]:
    """The set voltage, and whether it is assumed: then the high end, per 12 V of the source's island."""
    if source.setpoint_v is not None:
        return source.setpoint_v, False
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

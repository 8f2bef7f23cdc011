"""Breakers against the published table of interrupting capacity by cranking rating."""

from collections.abc import Iterator, Mapping

import networkx as nx

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding
from server.boat.modes import Mode
from server.boat.parts import Battery
from server.checks.feeds import Device, between, devices_of, feeds_into, pieces
from server.checks.paths import Node, Paths, source_posts
from server.practice.profiles import profile
from server.practice.protection import BreakerRole, interrupting_capacity
from server.practice.sourced import Sourced
from server.units import Ampere, AmpereHour

SAE = frozenset({None, "sae"})
"""Cranking ratings that the table speaks of; an EN or DIN ampere is another."""


def breakers_below_table(boat: Boat) -> Iterator[Finding]:
    """Breakers whose interrupting rating is below what the table asks for on the banks that can feed them.

    Batteries without a cranking rating add nothing, so what is told is the least that the table asks for.
    A breaker that a battery feeds with no other device before it is a main one, all others are branch ones.
    """
    if profile(boat.practice.profile).standard != "abyc-e11":
        return
    paths = Paths(boat, Mode(id="any", name="Any switch closed"))
    piece = pieces(paths)
    joins = between(devices_of(boat), piece)
    posts = [(part, post) for part, post in source_posts(boat, "positive") if isinstance(part, Battery)]
    batteries, island = {piece[post] for _, post in posts}, _islands(boat, paths)
    for device, _, beyond in feeds_into(joins, batteries):
        if device.is_breaker and device.figures is not None and device.figures.interrupting_a is not None:
            role: BreakerRole = "main" if beyond in batteries else "branch"
            feeding = [part for part, post in posts if island[post] == island[device.line]]
            known = _cca(boat, feeding), boat.nominal_voltage_v, _ah(boat, feeding)
            asked = interrupting_capacity(role, *known)
            if isinstance(asked, Sourced) and asked.value > device.figures.interrupting_a:
                yield _finding(device, device.figures.interrupting_a, role, asked, _cca(boat, feeding))


def _islands(boat: Boat, paths: Paths) -> Mapping[Node, int]:
    """A number for every terminal, the same for what copper joins with all devices and switches closed."""
    graph: nx.Graph[Node] = nx.Graph(paths.without_devices)
    graph.add_edges_from((device.line, device.load) for device in devices_of(boat))
    return {node: n for n, nodes in enumerate(nx.connected_components(graph)) for node in nodes}


def _cca(boat: Boat, batteries: list[Battery]) -> Ampere | None:
    """The cranking rating of batteries in parallel; those in series add once. None where none is stated."""
    stated = [one for one in batteries if one.cranking_a is not None and one.cranking_standard in SAE]
    if not stated:
        return None
    return sum((one.cranking_a or 0.0) * one.nominal_voltage_v for one in stated) / boat.nominal_voltage_v


def _ah(boat: Boat, batteries: list[Battery]) -> AmpereHour:
    """The capacity of batteries in parallel; those in series add once."""
    return sum((one.capacity_ah or 0.0) * one.nominal_voltage_v for one in batteries) / boat.nominal_voltage_v


def _finding(
    device: Device, rated_a: Ampere, role: BreakerRole, asked: Sourced, cca: Ampere | None
) -> Finding:
    return Finding(
        code="interrupting-below-table",
        severity="fault",
        subjects=(device.load[0], device.element),
        figure=Figure(value=rated_a, unit="A", basis="rule"),
        limit=Figure(value=asked.value, unit="A", basis="rule"),
        message=f"“{device.name}” can break {rated_a:,.0f} A; on {cca or 0.0:,.0f} A of cranking rating the "
        f"table asks for {asked.value:,.0f} A of a {role} breaker.",
        source=asked.source,
        source_status=asked.status,
        rule_kind="standard",
    )

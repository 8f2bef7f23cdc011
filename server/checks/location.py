"""How far along the conductor the first fuse or breaker sits from a battery."""

from collections.abc import Iterator
from typing import cast

import networkx as nx

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding, Severity
from server.boat.modes import Mode
from server.boat.parts import Battery
from server.boat.value import nominal
from server.checks.feeds import Device, devices_of
from server.checks.paths import Node, Paths, node, source_posts
from server.checks.protection import cranking_leads
from server.practice.profiles import RULE_SET_NAMES, profile
from server.practice.protection import location_limit
from server.practice.sourced import Sourced
from server.units import METRES_PER_INCH, Metre

Way = tuple[Conductor, ...]
"""The conductors between a battery and a device."""

FAULT: Severity = "fault"
OPEN: Severity = "cannot-tell"


def distant_devices(boat: Boat) -> Iterator[Finding]:
    """Devices that sit farther from the nearest battery than the practice allows; cranking leads are exempt.

    Charging sources are left out: whether one limits its own current its maker must say.
    """
    paths = Paths(boat, Mode(id="any", name="Any switch closed"))
    by_id = {conductor.id: conductor for conductor in boat.conductors}
    graph = bare_copper(boat, paths)
    posts = {post for part, post in source_posts(boat, "positive") if isinstance(part, Battery)} & set(graph)
    if not posts:
        return
    reach = nx.multi_source_dijkstra(graph, posts, weight="metres")
    metres, ways = cast("tuple[dict[Node, Metre], dict[Node, list[Node]]]", reach)
    for device in devices_of(boat):
        reached = [end for end in (device.line, device.load) if end in metres]
        if reached:
            end = min(reached, key=metres.__getitem__)
            steps = zip(ways[end], ways[end][1:], strict=False)
            names = [graph.edges[step]["conductor"] for step in steps]
            yield from _judged(boat, device, metres[end], tuple(by_id[name] for name in names if name))


def bare_copper(boat: Boat, paths: Paths) -> "nx.Graph[Node]":
    """Copper with every device taken out and every switch closed, weighted by the length of conductors."""
    graph: nx.Graph[Node] = nx.Graph()
    exempt = cranking_leads(boat)
    for a, b in paths.without_devices.edges:
        if a[0] == b[0]:
            graph.add_edge(a, b, metres=0.0, conductor="")
    for conductor in boat.conductors:
        if conductor.tail is not None and conductor.head is not None and conductor.id not in exempt:
            length = 0.0 if conductor.length_m is None else nominal(conductor.length_m)
            graph.add_edge(node(conductor.tail), node(conductor.head), metres=length, conductor=conductor.id)
    return graph


def distance_limit(boat: Boat, metres: Metre, way: Way) -> tuple[Sourced, Severity] | None:
    """The distance that a device breaks by sitting so far along a way from a battery, and how surely.

    None where the practice has no limit, or where it is kept. A limit from memory only makes an advice.
    """
    standard = profile(boat.practice.profile).standard
    bare = location_limit(standard, on_battery=True, sheathed=False)
    covered = location_limit(standard, on_battery=True, sheathed=True)
    if bare is None or metres <= bare.value:
        return None
    sheathed = [one.sheathed for one in way]
    if all(one == "yes" for one in sheathed):
        limit, severity = covered, FAULT
    elif "no" not in sheathed and (covered is None or metres <= covered.value):
        limit, severity = bare, OPEN
    else:
        limit, severity = bare, FAULT
    if limit is None or metres <= limit.value:
        return None
    return limit, "advice" if severity == FAULT and not limit.may_decide else severity


def allowed_words(boat: Boat, limit: Sourced) -> str:
    """Which practice allows what, in its own unit."""
    standard = profile(boat.practice.profile).standard
    inches, millimetres = f"{limit.value / METRES_PER_INCH:.0f} in", f"{limit.value * 1000:.0f} mm"
    printed = inches if standard == "abyc-e11" else millimetres
    return f"{RULE_SET_NAMES[standard]} allows {limit.value:.2f} m ({printed})"


def _judged(boat: Boat, device: Device, metres: Metre, way: Way) -> Iterator[Finding]:
    broken = distance_limit(boat, metres, way)
    if broken is None:
        return
    limit, severity = broken
    told = (
        "confirm that in the standard; what lies between burns if it is shorted."
        if severity == "advice"
        else "say whether it runs in a sheath the whole way, where more is allowed."
        if severity == OPEN
        else "what lies between burns if it is shorted."
    )
    yield Finding(
        code="device-too-far",
        severity=severity,
        subjects=(device.line[0], *(one.id for one in way)),
        figure=Figure(value=metres, unit="m", basis="computed"),
        limit=Figure(value=limit.value, unit="m", basis="rule"),
        message=f"“{device.name}” sits {metres:.2f} m from the battery along the conductor; "
        f"{allowed_words(boat, limit)}: {told}",
        source=limit.source,
        source_status=limit.status,
        rule_kind="standard",
    )

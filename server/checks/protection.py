"""Whether the device before a conductor is small enough for it."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import networkx as nx

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding
from server.boat.leads import Landings, lead
from server.boat.parts import Breaker, Fuse, Load, Outboard, Panel
from server.boat.value import nominal
from server.checks.paths import Node, Paths, node, source_posts
from server.checks.words import conductor_words
from server.practice.ampacity import ampacity
from server.practice.profiles import RuleSet, profile
from server.practice.protection import location_limit, rating_limit
from server.practice.sizes import UnknownSizeError, size
from server.practice.sourced import NoFigure, Sourced


@dataclass(frozen=True)
class Device:
    """A fuse or breaker between two terminals."""

    name: str
    line: Node
    load: Node
    rating_a: float | None


def oversized_devices(boat: Boat, paths: Paths) -> Iterator[Finding]:
    """Positive conductors whose largest feeding device is above what the standard allows for them.

    Left out: conductors on a source itself, cranking leads (exempt), conductors without a published ampacity,
    and those so short that the device at their far end may protect them.
    """
    for conductor, device in _behind_devices(boat, paths):
        allowed = _allowed(boat, conductor, device)
        if not isinstance(allowed, NoFigure):
            yield from _judged(boat, conductor, device, allowed)


def not_judged(boat: Boat, paths: Paths) -> tuple[str, ...]:
    """Why some conductors were not judged against the device before them, and how many for each reason."""
    reasons = Counter(
        allowed.reason
        for conductor, device in _behind_devices(boat, paths)
        if isinstance(allowed := _allowed(boat, conductor, device), NoFigure)
    )
    return tuple(
        f"fuses and breakers before {count} conductor{'s' if count > 1 else ''}: {reason}"
        for reason, count in sorted(reasons.items())
    )


def _behind_devices(boat: Boat, paths: Paths) -> Iterator[tuple[Conductor, Device]]:
    """The conductors that a device has to protect, each with the largest one that feeds it."""
    piece = _pieces(paths)
    fed = _feeding(boat, _devices(boat), piece)
    exempt = _cranking(boat)
    for conductor in boat.conductors:
        if conductor.kind != "wire" or conductor.id in exempt or conductor.tail is None:
            continue
        feeding = fed.get(piece[node(conductor.tail)])
        if feeding is not None and not _short(boat, conductor):
            yield conductor, feeding


def _pieces(paths: Paths) -> dict[Node, int]:
    """Every terminal's piece of copper, with all fuses and breakers taken out."""
    pieces = enumerate(nx.connected_components(paths.without_devices))
    return {terminal: number for number, members in pieces for terminal in members}


def _devices(boat: Boat) -> tuple[Device, ...]:
    found: list[Device] = []
    for part in boat.parts:
        if isinstance(part, (Fuse, Breaker)):
            found.append(Device(part.name, (part.id, "line"), (part.id, "load"), part.rating_a))
        elif isinstance(part, Panel):
            for section in part.sections:
                hub = (part.id, f"{section.id}-bar")
                if section.main_kind is not None:
                    rating = section.main.rating_a if section.main else None
                    found.append(Device(part.name, (part.id, f"{section.id}-feed"), hub, rating))
                for way in section.ways:
                    if way.device_kind is not None:
                        rating = way.device.rating_a if way.device else None
                        found.append(Device(way.name, hub, (part.id, f"{section.id}-{way.id}"), rating))
    return tuple(found)


def _feeding(boat: Boat, devices: tuple[Device, ...], piece: dict[Node, int]) -> dict[int, Device]:
    """For every piece without a source of its own: the largest device through which a source feeds it."""
    sources = {piece[post] for _, post in source_posts(boat, "positive")}
    coarse: nx.Graph[int] = nx.Graph()
    coarse.add_nodes_from(set(piece.values()))
    pairs = [(device, piece.get(device.line), piece.get(device.load)) for device in devices]
    for _, a, b in pairs:
        if a is not None and b is not None and a != b:
            coarse.add_edge(a, b)
    found: dict[int, Device] = {}
    for device, a, b in pairs:
        for here, beyond in ((a, b), (b, a)):
            if here is None or beyond is None or here == beyond or here in sources:
                continue
            if _reaches_without(coarse, beyond, sources, here):
                known = found.get(here)
                if known is None or (device.rating_a or 0.0) > (known.rating_a or 0.0):
                    found[here] = device
    return found


def _reaches_without(coarse: "nx.Graph[int]", start: int, sources: set[int], avoided: int) -> bool:
    seen, waiting = {avoided, start}, [start]
    while waiting:
        here = waiting.pop()
        if here in sources:
            return True
        for beyond in set(coarse[here]) - seen:
            seen.add(beyond)
            waiting.append(beyond)
    return False


def _cranking(boat: Boat) -> set[str]:
    """Conductors of cranking leads: ABYC E-11 (2008) 11.10.1.1.1 exc. 1."""
    landings = Landings.of(boat)
    starters = [
        p for p in boat.parts if isinstance(p, Outboard) or (isinstance(p, Load) and p.role == "starter")
    ]
    ends = [(p.id, p.inputs[0].id if isinstance(p, Load) else "positive") for p in starters]
    return {name for part, terminal in ends for name in lead(boat, part, terminal, landings).conductors}


def _short(boat: Boat, conductor: Conductor) -> bool:
    """Whether a device at the far end is near enough, as far as the length is known."""
    if conductor.length_m is None:
        return False
    limit = location_limit(_standard(boat), on_battery=False, sheathed=conductor.sheathed == "yes")
    return limit is not None and nominal(conductor.length_m) <= limit.value


def _standard(boat: Boat) -> RuleSet:
    return profile(boat.practice.profile).standard


def _allowed(boat: Boat, conductor: Conductor, device: Device) -> Sourced | NoFigure:
    """What a conductor may carry, or why it cannot be judged."""
    if conductor.size is None or conductor.insulation_c is None:
        return NoFigure(reason="not judged: size or insulation temperature is not stated")
    if device.rating_a is None:
        return NoFigure(reason="not judged: the rating of the device is not stated")
    try:
        row = size(conductor.size.label)
    except UnknownSizeError:
        return NoFigure(
            reason="not judged: the size is in no published table; enter the cable maker's figure"
        )
    return ampacity(
        row,
        conductor.insulation_c,
        _standard(boat),
        engine_space=conductor.in_engine_space == "yes",
        circuit_v=boat.nominal_voltage_v,
    )


def _judged(boat: Boat, conductor: Conductor, device: Device, allowed: Sourced) -> Iterator[Finding]:
    if conductor.size is None or device.rating_a is None:  # pragma: no cover - then nothing is allowed
        return
    limit = rating_limit(allowed, boat.nominal_voltage_v, _standard(boat))
    if limit.allows(device.rating_a):
        return
    name = conductor_words(boat, conductor)
    yield Finding(
        code="device-above-conductor",
        severity="danger" if limit.status != "memory" else "advice",
        subjects=(conductor.id,),
        figure=Figure(value=device.rating_a, unit="A", basis="rule"),
        limit=Figure(value=limit.largest_a, unit="A", basis="rule"),
        message=f"Only “{device.name}” of {device.rating_a:g} A stands before {name} of "
        f"{conductor.size.label}, which may carry {allowed.value:.0f} A: "
        "it can burn before the device opens.",
        source=limit.source,
        source_status=limit.status,
        rule_kind="standard",
    )

"""Coils that kick onto electronics: what hangs beside a coil on the lead that lets it go takes its kick.

A coil let go by a switch of its own, or clamped by a battery, kicks nobody. A panel's other ways are left
out: they share the kick among them.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.devices import Coil
from server.boat.finding import Figure, Finding
from server.boat.modes import Mode
from server.boat.parts import Contact, Load
from server.boat.value import bounds
from server.checks.feeders import SENSITIVE
from server.checks.paths import Node, Paths, source_posts
from server.checks.words import listed, the
from server.engine.transient.coil_release import CoilRelease, coil_releases
from server.units import Volt

SOURCE = "relay makers' application notes on coil suppression: hundreds to thousands of volts without any"


@dataclass(frozen=True, slots=True)
class Kicked:
    """A coil with the electronics that take its kick, and what the most delicate of them stands."""

    coil: Node
    neighbours: tuple[Load, ...]
    stands_v: Volt | None


def kicked_electronics(boat: Boat) -> Iterator[Kicked]:
    """Every coil that is let go together with electronics, by a switch or device before both."""
    coils = coils_of(boat)
    if not coils:
        return
    piece = Paths(_all_open(boat), Mode(id="any", name="All open")).pieces_without_devices
    held = {piece[post] for _, post in source_posts(boat, "positive")}
    for coil in coils:
        beside = [
            (part, one)
            for part in boat.parts
            if isinstance(part, Load) and part.role in SENSITIVE
            for one in part.inputs
            if piece[part.id, one.id] == piece[coil] and not isinstance(one.demand, Coil)
        ]
        if beside and piece[coil] not in held:
            stated = [bounds(m)[0] for _, one in beside if (m := one.maximum_voltage_v) is not None]
            loads = tuple({part.id: part for part, _ in beside}.values())
            yield Kicked(coil, loads, min(stated, default=None))


def coils_that_kick(boat: Boat) -> Iterator[Finding]:
    """Coils whose kick is more than electronics beside them stand, or that nothing is known to limit."""
    kicked = tuple(kicked_electronics(boat))
    released = dict(zip(coils_of(boat), coil_releases(boat), strict=True)) if kicked else {}
    for one in kicked:
        found = _judged(boat, one, released[one.coil])
        if found is not None:
            yield found


def _judged(boat: Boat, one: Kicked, release: CoilRelease) -> Finding | None:
    parts = {part.id: part for part in boat.parts}
    owner = the(parts[one.coil[0]].name)
    begun = (
        f"When {owner} is let go, its coil kicks backwards onto {listed(p.name for p in one.neighbours)}, "
    )
    begun += "fed by the same lead"
    kick_v, stated = release.kick_v, _is_stated_bare(coils_of(boat)[one.coil])
    if kick_v is None:
        told = (
            ": nothing limits it, so it reaches hundreds to thousands of volts."
            if stated
            else ": nothing is known to limit it. Look for a diode, varistor or resistor beside the coil, "
            "and read its figure off it."
        )
        return _finding(one, begun + told, None, certain=stated)
    if one.stands_v is not None and kick_v > one.stands_v:
        told = f": about {kick_v:.0f} V, and {one.stands_v:.1f} V is the most they stand."
        return _finding(one, begun + told, kick_v, certain=True)
    if one.stands_v is None and kick_v > boat.nominal_voltage_v:
        told = f": about {kick_v:.0f} V; look up what they stand."
        return _finding(one, begun + told, kick_v, certain=False)
    return None


def _finding(one: Kicked, message: str, kick_v: Volt | None, *, certain: bool) -> Finding:
    limit = None if one.stands_v is None else Figure(value=one.stands_v, unit="V", basis="rule")
    return Finding(
        code="coil-kicks",
        severity="fault" if certain else "cannot-tell",
        subjects=(one.coil[0], *(load.id for load in one.neighbours)),
        figure=None if kick_v is None else Figure(value=kick_v, unit="V", basis="computed"),
        limit=limit,
        message=message,
        source=SOURCE,
        source_status="common-practice",
    )


def _is_stated_bare(coil: Coil) -> bool:
    """Whether somebody said that nothing lies beside the coil."""
    return coil.suppression is not None and coil.suppression.kind == "none"


def coils_of(boat: Boat) -> dict[Node, Coil]:
    """The coils of relays and contactors, and loads that are coils, by their positive terminals."""
    found = dict[Node, Coil]()
    for part in boat.parts:
        if isinstance(part, Contact) and part.coil is not None:
            found[part.id, "coil-positive"] = part.coil
        elif isinstance(part, Load):
            found |= {(part.id, i.id): i.demand for i in part.inputs if isinstance(i.demand, Coil)}
    return found


def _all_open(boat: Boat) -> Boat:
    """The boat with every switch, relay and contactor open in all positions."""
    opened = tuple(
        part.model_copy(
            update={"positions": tuple(one.model_copy(update={"closed": ()}) for one in part.positions)}
        )
        if isinstance(part, Contact)
        else part
        for part in boat.parts
    )
    return boat.model_copy(update={"parts": opened})

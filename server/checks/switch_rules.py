"""Battery switches against what their feeders and devices let through, and banks that have none.

ABYC E-11 asks a battery switch to carry all day the lesser of the ratings of the devices behind it, added up,
and the ampacity of its feeder; and asks for a switch on every bank above a cranking rating.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding
from server.boat.leads import Landings
from server.boat.parts import Battery, Contact, Load
from server.checks.feeds import Device, between, capacity, devices_of
from server.checks.paths import Paths, Pieces, source_posts
from server.checks.protection import conductor_ampacity
from server.checks.spoken import rule_kind
from server.checks.words import the
from server.practice.rules import rule
from server.practice.sourced import Sourced
from server.units import Ampere


def switches_below_feeders(boat: Boat) -> Iterator[Finding]:
    """Battery switches whose continuous rating is below feeder and devices alike (E-11 11.6.1.2.3)."""
    if not boat.modes:
        return
    ways = _Ways(boat, Paths.of(boat, boat.modes[0]))
    for switch in boat.parts:
        if isinstance(switch, Contact) and switch.is_battery_switch and switch.continuous_a is not None:
            yield from _judged(boat, switch, switch.continuous_a, ways)


def _judged(boat: Boat, switch: Contact, rated: Ampere, ways: "_Ways") -> Iterator[Finding]:
    sides = ways.sides(switch)
    if sides is None:
        return
    feeder, devices = ways.feeder_a(switch, sides[0]), ways.devices_a(switch, sides[1])
    known = [amps for amps in (feeder, devices, ways.before_a(switch, sides[0])) if amps is not None]
    if not known or rated >= min(known):
        return
    spoken, sure = rule("e11-switch-continuous"), feeder is not None and devices is not None
    let_through = f"its feeder and devices let {min(known):.0f} A through it"
    open_side = (
        "the ampacity of its feeder is not known: see the feeder's size and insulation"
        if feeder is None
        else "a device behind it has no stated rating: see what the devices are"
    )
    yield Finding(
        code="switch-continuous",
        severity="fault" if sure else "cannot-tell",
        subjects=(switch.id,),
        figure=Figure(value=rated, unit="A", basis="rule"),
        limit=Figure(value=min(known), unit="A", basis="rule"),
        message=f"{switch.name} may carry {rated:.0f} A all day; {let_through}"
        + ("." if sure else f", as far as is known: {open_side}."),
        source=spoken.source,
        source_status=spoken.status,
        rule_kind=rule_kind(boat, spoken),
    )


@dataclass(frozen=True)
class _Ways:
    """The copper on both sides of battery switches."""

    boat: Boat
    paths: Paths

    def sides(self, switch: Contact) -> tuple[list[str], list[str]] | None:
        """The terminals on the batteries' side and those behind; None where a side has none."""
        pieces = self.paths.pieces_without_switches
        posts = source_posts(self.boat, "positive")
        live = {pieces[post] for one, post in posts if isinstance(one, Battery)}
        before = [name for name in switch.terminals if pieces[switch.id, name] in live]
        behind = [name for name in switch.terminals if name not in before]
        return (before, behind) if before and behind else None

    def feeder_a(self, switch: Contact, names: list[str]) -> Ampere | None:
        """Ampacity of what lands on the batteries' side, conductors beside each other added up.

        Of several terminals the largest; None where any is not known.
        """
        landings = Landings.of(self.boat)
        sums = [self._sum_a([end.conductor for end in landings.at(switch.id, name)]) for name in names]
        known = [amps for amps in sums if amps is not None]
        return max(known) if len(known) == len(sums) else None

    def _sum_a(self, conductors: list[Conductor]) -> Ampere | None:
        allowed = [conductor_ampacity(self.boat, one) for one in conductors if one.kind == "wire"]
        known = [one.value for one in allowed if isinstance(one, Sourced) and one.may_decide]
        return sum(known) if known and len(known) == len(conductors) else None

    def before_a(self, switch: Contact, names: list[str]) -> Ampere | None:
        """The ratings of the devices between the batteries and a switch; None without any."""
        pieces = self.paths.pieces_bare
        posts = source_posts(self.boat, "positive")
        live = {pieces[post] for one, post in posts if isinstance(one, Battery)}
        here = {pieces[switch.id, name] for name in names}
        if here & live:
            return None
        devices = devices_of(self.boat)
        first = [one.rating_a for one in devices if _joins(one, pieces, here, live)]
        if first and None not in first:
            return sum(rating for rating in first if rating is not None)
        through = capacity(between(devices, pieces), live)
        best = max((through.get(piece, math.inf) for piece in here), default=math.inf)
        return best if best < math.inf else None

    def devices_a(self, switch: Contact, names: list[str]) -> Ampere | None:
        """The ratings of the first devices behind a switch, those to charging sources left out."""
        pieces = self.paths.pieces_bare
        here = {pieces[switch.id, name] for name in names}
        sources = {pieces[post] for _, post in source_posts(self.boat, "positive")}
        first = [one for one in devices_of(self.boat) if _leads_off(one, pieces, here, sources)]
        ratings = [one.rating_a for one in first if one.rating_a is not None]
        return sum(ratings) if first and len(ratings) == len(first) else None


def _joins(device: Device, pieces: Pieces, here: set[int], there: set[int]) -> bool:
    """Whether a device joins some copper to other copper."""
    line, load = pieces[device.line], pieces[device.load]
    return (line in here and load in there) or (load in here and line in there)


def _leads_off(device: Device, pieces: Pieces, here: set[int], sources: set[int]) -> bool:
    """Whether a device has one end on some copper and the other on copper without a source."""
    line, load = pieces[device.line], pieces[device.load]
    return (line in here) != (load in here) and (load if line in here else line) not in sources


def banks_without_switch(boat: Boat) -> Iterator[Finding]:
    """Banks above the standard's cranking rating with no battery switch in their positive (11.6.1.2.1)."""
    if not boat.modes:
        return
    spoken = rule("e11-switch-cca")
    most = 0.0 if spoken.figure is None else spoken.figure.value
    piece = Paths.of(boat, boat.modes[0]).pieces_without_switches
    switched = {
        piece[part.id, name]
        for part in boat.parts
        if isinstance(part, Contact) and part.is_battery_switch
        for name in part.terminals
    }
    fed = {
        piece[part.id, one.id]
        for part in boat.parts
        if isinstance(part, Load) and part.bypasses_switch is None
        for one in part.inputs
    }
    for at, bank in _banks(boat, piece).items():
        rated = sum(one.cranking_a or 0.0 for one in bank)
        if rated > most and at in fed and at not in switched:
            yield Finding(
                code="no-battery-switch",
                severity="fault",
                subjects=tuple(one.id for one in bank),
                figure=Figure(value=rated, unit="CCA", basis="rule"),
                limit=Figure(value=most, unit="CCA", basis="rule"),
                message=f"No battery switch stands in the positive of {the(bank[0].bank or bank[0].name)}, "
                f"rated {rated:.0f} A for cranking; above {most:.0f} A it needs one.",
                source=spoken.source,
                source_status=spoken.status,
                rule_kind=rule_kind(boat, spoken),
            )


def _banks(boat: Boat, piece: Pieces) -> dict[int, list[Battery]]:
    """Batteries whose positive posts are joined without any switch: strings in parallel add."""
    found: dict[int, list[Battery]] = {}
    for part in boat.parts:
        if isinstance(part, Battery):
            found.setdefault(piece[part.id, "positive"], []).append(part)
    return found

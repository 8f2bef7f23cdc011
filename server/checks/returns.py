"""Negative conductors against the largest device whose fault returns by them, and against the feeders."""

from collections import Counter
from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding
from server.boat.leads import Landings, lead
from server.boat.parts import Load, Panel
from server.checks.feeds import Device
from server.checks.protection import conductor_ampacity, is_short, is_too_large, largest_allowed
from server.checks.shorts import Shorts
from server.checks.words import conductor_words
from server.engine.answer import ModeAnswer
from server.engine.netlist_rows import Terminal
from server.practice.profiles import profile
from server.practice.rules import rule
from server.practice.sourced import NoFigure, Sourced


def devices_above_returns(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Negative wires that may carry less than the standard asks for before the device on the positive side.

    A dead short in a load comes back by its negative lead; one between the bars of a panel by the panel's
    negative feeder, let through by the device before the panel.
    """
    for wire, device in largest_before(Shorts.of(boat, answer)).values():
        if not is_short(boat, wire, wire.length_m) and is_too_large(boat, wire, device):
            allowed = largest_allowed(boat, wire)
            yield Finding(
                code="device-above-negative",
                severity="fault" if allowed.status != "memory" else "advice",
                subjects=(wire.id,),
                figure=Figure(value=device.rating_a or 0.0, unit="A", basis="rule"),
                limit=Figure(value=allowed.largest_a, unit="A", basis="rule"),
                message=f"A short circuit behind “{device.name}” of {device.rating_a:g} A comes back by "
                f"{conductor_words(boat, wire)}{_size(wire)}, for which {allowed.largest_a:.0f} A is the "
                "most: it can burn before the device opens.",
                source=allowed.source,
                source_status=allowed.status,
                rule_kind="standard",
            )


def largest_before(shorts: Shorts) -> dict[str, tuple[Conductor, Device]]:
    """Every negative wire on a load's way with the largest device whose fault returns by it."""
    found: dict[str, tuple[Conductor, Device]] = {}
    above = {here: beyond for _, here, beyond in shorts.feeds}
    landings, known = (
        Landings.of(shorts.boat),
        dict[Terminal, tuple[frozenset[str], Device | None, Device | None]](),
    )
    for one in shorts.ways:
        if one.is_return:
            if one.load not in known:
                known[one.load] = _devices(shorts, landings, above, one.load)
            own_lead, own, before_panel = known[one.load]
            device = own if one.conductor in own_lead or before_panel is None else before_panel
            present = found.get(one.conductor)
            if device is not None and (
                present is None or (device.rating_a or 0.0) > (present[1].rating_a or 0.0)
            ):
                found[one.conductor] = shorts.wires[one.conductor], device
    return found


def _devices(
    shorts: Shorts, landings: Landings, above: dict[int, int], load: Terminal
) -> tuple[frozenset[str], Device | None, Device | None]:
    """The conductors of a load's negative lead, its own device, and the one before the panel it hangs on."""
    part, piece = landings.parts[load[0]], shorts.piece.get(load, -1)
    back = "negative"
    if isinstance(part, Load):
        back = next(one.returns_to for one in part.inputs if one.id == load[1])
    out, home = lead(shorts.boat, *load, landings), lead(shorts.boat, load[0], back, landings)
    own, before = (_on_way(shorts, load, one) for one in (piece, above.get(piece, -1)))
    on_panel = (
        out.tap is not None
        and home.tap is not None
        and out.tap.part == home.tap.part
        and isinstance(landings.parts[out.tap.part], Panel)
    )
    return frozenset(home.conductors), own, before if on_panel else None


def _on_way(shorts: Shorts, load: Terminal, piece: int) -> Device | None:
    """The device that feeds a piece, if most of the load's current runs through it; else none."""
    device = shorts.fed.get(piece)
    return device if device is not None and (device.element, load) in shorts.devices_on_way else None


def negatives_below_feeders(boat: Boat) -> Iterator[Finding]:
    """Panels whose negative feeder may carry less than their positive one (ABYC E-11, neg. bus)."""
    if profile(boat.practice.profile).standard != "abyc-e11":
        return
    landings, spoken = Landings.of(boat), rule("e11-neg-bus")
    for panel in boat.parts:
        if isinstance(panel, Panel):
            feeds = {
                polarity: [
                    (end.conductor, ampacity)
                    for one in panel.sections
                    if one.polarity == polarity
                    for end in landings.at(panel.id, f"{one.id}-feed")
                    if isinstance(ampacity := conductor_ampacity(boat, end.conductor), Sourced)
                ]
                for polarity in ("positive", "negative")
            }
            most = max((one.value for _, one in feeds["positive"]), default=0.0)
            for wire, ampacity in feeds["negative"]:
                if ampacity.value < most:
                    yield Finding(
                        code="negative-below-feeder",
                        severity="fault",
                        subjects=(wire.id, panel.id),
                        figure=Figure(value=ampacity.value, unit="A", basis="rule"),
                        limit=Figure(value=most, unit="A", basis="rule"),
                        message=f"The negative feeder of {panel.name}, {conductor_words(boat, wire)}"
                        f"{_size(wire)}, may carry {ampacity.value:.0f} A; its positive feeder {most:.0f} A.",
                        source=f"{spoken.source}; {ampacity.source}",
                        source_status=spoken.status,
                        rule_kind="standard",
                    )


def returns_not_judged(boat: Boat) -> tuple[str, ...]:
    """How many negative leads of loads cannot be judged, for each reason."""
    landings, names = Landings.of(boat), set[str]()
    for part in boat.parts:
        if isinstance(part, Load) and part.role != "starter":
            for back in part.negatives:
                names.update(lead(boat, part.id, back, landings).conductors)
    reasons = Counter(
        found.reason
        for wire in boat.conductors
        if wire.id in names
        and wire.kind == "wire"
        and isinstance(found := conductor_ampacity(boat, wire), NoFigure)
    )
    return tuple(
        f"{count} negative conductor{'s' if count > 1 else ''} against the device whose fault returns by "
        f"{'them' if count > 1 else 'it'}: {reason}"
        for reason, count in sorted(reasons.items())
    )


def _size(wire: Conductor) -> str:
    return "" if wire.size is None else f" of {wire.size.label}"

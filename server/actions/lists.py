"""Trade lists: the cables, from which a boat could be wired again, and the parts."""

from collections.abc import Mapping
from dataclasses import dataclass

from server.actions.part_words import trade_name
from server.boat.boat import Boat
from server.boat.conductors import Conductor, LengthBasis
from server.boat.laid import Laid
from server.boat.leads import Landings
from server.boat.parts import AnyPart, Battery, Breaker, Contact, Fuse, Inverter, Load, MeasuringShunt, Panel
from server.boat.routes import Route
from server.boat.value import TerminalRef, nominal

CHEMISTRIES = {"agm": "AGM", "lifepo4": "LiFePO4"}
"""Those that are written in capitals."""


@dataclass(frozen=True)
class CableRow:
    """One conductor with both of its ends; a cable of several cores is several rows of one number."""

    conductor: str
    number: str
    name: str
    core: str
    kind: str
    tail: str
    head: str
    size: str
    area_mm2: float | None
    length_m: float | None
    length_basis: LengthBasis | None
    colour: str
    device: str
    joints: str
    way: str
    """Through which waypoints it goes; empty where it goes through no runs."""


@dataclass(frozen=True)
class PartRow:
    """One part with the figures that matter when it is bought or replaced."""

    part: str
    tag: str
    name: str
    kind: str
    place: str
    figures: str


def cable_rows(boat: Boat) -> tuple[CableRow, ...]:
    """Every conductor, by cable number, then in document order."""
    landings = Landings.of(boat)
    cables, laid = {cable.id: cable for cable in boat.cables}, Laid.of(boat)
    waypoints = {one.id: one.name for one in boat.waypoints}
    rows = [
        CableRow(
            conductor=one.id,
            number=(cables[one.cable].number or "") if one.cable else "",
            name=one.name or "",
            core=one.core or "",
            kind="bolted link" if one.kind == "link" else "",
            tail=end_words(landings, one.tail),
            head=end_words(landings, one.head),
            size="" if one.size is None else one.size.label,
            area_mm2=None if one.size is None else one.size.area_mm2,
            length_m=None if one.length_m is None else nominal(one.length_m),
            length_basis=one.length_basis,
            colour=one.colour or "",
            device=_device(landings, one),
            joints=_joints(one),
            way=_way(waypoints, laid.ways.get(one.id)),
        )
        for one in boat.conductors
    ]
    return tuple(sorted(rows, key=lambda row: (row.number == "", _natural(row.number))))


def _way(waypoints: Mapping[str, str], route: Route | None) -> str:
    return " → ".join(waypoints[name] for name in route.waypoints) if route is not None and route.runs else ""


def part_rows(boat: Boat) -> tuple[PartRow, ...]:
    """Every part in document order."""
    zones = {zone.id: zone.name for zone in boat.zones}
    return tuple(
        PartRow(
            part=part.id,
            tag=part.tag or "",
            name=part.name,
            kind=trade_name(part),
            place=zones.get(part.zone or "", ""),
            figures=part_figures(part),
        )
        for part in boat.parts
    )


def end_words(landings: Landings, end: TerminalRef | None) -> str:
    """Where an end lands, as part and terminal; a panel's way by its printed name."""
    if end is None:
        return "loose end"
    part = landings.parts[end.part]
    return f"{part.name}: {terminal_words(part, end.terminal)}"


def terminal_words(part: AnyPart, terminal: str) -> str:
    """A terminal as it is called on the boat.

    A panel's way goes by the name printed beside it.
    """
    if isinstance(part, Panel):
        for section in part.sections:
            for way in section.ways:
                if terminal == f"{section.id}-{way.id}":
                    return f"way {way.name}"
            if terminal.startswith(f"{section.id}-"):
                return f"{section.name} {terminal.removeprefix(f'{section.id}-').replace('-', ' ')}"
    if isinstance(part, (Fuse, Breaker)):
        return f"{terminal} side"
    return terminal.replace("-", " ")


def _device(landings: Landings, conductor: Conductor) -> str:
    """The fuse or breaker on which either end of a conductor lands."""
    found = []
    for end in (conductor.tail, conductor.head):
        part = None if end is None else landings.parts[end.part]
        if isinstance(part, (Fuse, Breaker)):
            found.append(f"{part.name}{_rating(part.rating_a)}")
        elif isinstance(part, Panel) and end is not None:
            found += _way_device(part, end.terminal)
    return ", ".join(found)


def _way_device(panel: Panel, terminal: str) -> list[str]:
    for section in panel.sections:
        for way in section.ways:
            if terminal == f"{section.id}-{way.id}" and way.device_kind is not None:
                return [f"{way.device_kind}{_rating(way.device.rating_a if way.device else None)}"]
        if terminal == f"{section.id}-feed" and section.main_kind is not None:
            return [f"main {section.main_kind}{_rating(section.main.rating_a if section.main else None)}"]
    return []


def _rating(rating_a: float | None) -> str:
    return "" if rating_a is None else f" {rating_a:g} A"


def _joints(conductor: Conductor) -> str:
    styles = [joint.style for joint in (conductor.tail_joint, conductor.head_joint) if joint and joint.style]
    return ", ".join(dict.fromkeys(style.replace("-", " ") for style in styles))


def part_figures(part: AnyPart) -> str:
    """The ratings of a part in one line."""
    match part:
        case Battery():
            figures = [
                CHEMISTRIES.get(part.chemistry, part.chemistry),
                _with(part.nominal_voltage_v, "V"),
                _with(part.capacity_ah, "Ah"),
            ]
            figures.append(_with(part.cranking_a, "A cranking"))
        case Fuse() | Breaker():
            figures = [part.device_class or "", _with(part.rating_a, "A"), _with(part.voltage_rating_v, "V")]
            figures.append(_with(part.interrupting_a, "A interrupting"))
        case Contact():
            figures = [
                part.preset or "",
                _with(part.continuous_a, "A continuous"),
                _with(part.cranking_a, "A cranking"),
            ]
        case MeasuringShunt():
            figures = [f"{part.rated_current_a:g} A at {part.rated_voltage_v * 1000:g} mV", part.bank or ""]
        case Load():
            figures = [part.role.replace("-", " ")]
        case Inverter():
            figures = [_with(part.rated_power_w, "W"), _with(part.surge_power_w, "W surge")]
        case Panel():
            figures = [f"{len(section.ways)} ways, {section.name}" for section in part.sections]
        case _:
            figures = [_with(getattr(part, "rated_current_a", None), "A")]
    return ", ".join(figure for figure in figures if figure)


def _with(value: float | None, unit: str) -> str:
    return "" if value is None else f"{value:g} {unit}"


def _natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """An order in which W2 comes before W10."""
    pieces: list[str] = []
    for letter in text:
        if pieces and pieces[-1][-1].isdecimal() == letter.isdecimal():
            pieces[-1] += letter
        else:
            pieces.append(letter)
    return tuple((0, int(piece), "") if piece.isdecimal() else (1, 0, piece) for piece in pieces)

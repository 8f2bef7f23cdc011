"""The points of a boat's wiring, and its many parts that are alike as columns of plain numbers.

A point is a piece of metal: terminals that are always one node share it. The columns are gathered while the
document's names are checked, when every part is looked at anyway; what computes reads them instead of the
parts. None of them is ever changed once it is made.
"""

from array import array
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

from server.boat.devices import (
    BLADES,
    ConstantCurrent,
    ConstantPower,
    Demand,
    Motor,
    Overcurrent,
    PanelSection,
    PanelWay,
    Resistive,
)
from server.boat.latest import Latest
from server.boat.parts import AnyPart, Battery, Bonding, Busbar, EngineBlock, Load, Panel, Post
from server.boat.terminals import section_terminals, terminals
from server.boat.value import Span

Terminal = tuple[str, str]
"""A part's id and the name of one of its terminals."""


class WayDevice(IntEnum):
    """What stands between a panel's bar and one of its ways, by what is known of its resistance."""

    NOTHING = 0
    """One piece of metal with the bar, while on."""
    OHM = 1
    OHM_RANGE = 2
    UNRATED = 3
    BREAKER_A = 4
    BLADE_FUSE_A = 5
    FUSE_A = 6


class Draws(IntEnum):
    """What a plain load draws."""

    AMPERES = 0
    WATTS = 1
    WATTS_AT_RATED_V = 2


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """The ways of all panels; ``figure`` is the resistance or the rating of the device."""

    terminal: list[Terminal]
    bar: "array[int]"
    point: "array[int]"
    kind: "array[int]"
    figure: "array[float]"
    device: list[Overcurrent | None]
    label: list[str]
    """What the way is, besides its terminal: ``fuse``, ``breaker`` or ``way``."""
    normally_off: list[int]


@dataclass(frozen=True, slots=True, eq=False)
class PlainLoads:
    """The loads that are not heavy, have one input, one negative, no output and a demand of one figure."""

    terminal: list[Terminal]
    positive: "array[int]"
    negative: "array[int]"
    kind: "array[int]"
    figure: "array[float]"
    rated_v: "array[float]"
    island: list[str | None]


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Every terminal's point; those of a part follow each other in the order of its terminals.

    ``bars`` are those of panel sections; ``others`` are the parts that are no plain loads.
    """

    number: Mapping[Terminal, int]
    count: int
    bars: Mapping[Terminal, int]
    """The bar of each panel section, by the section's feed."""
    ways: Ways
    loads: PlainLoads
    others: tuple[AnyPart, ...]
    is_named_once: bool
    """Whether no name of a terminal stands for two."""

    @classmethod
    def of(cls, parts: tuple[AnyPart, ...]) -> "Points":
        """The points of some parts."""
        gathering = _Gathering()
        others = tuple(part for part in parts if not gathering.takes_plain_load(part))
        return cls(
            number=gathering.number,
            count=gathering.count,
            bars=gathering.bars,
            ways=gathering.ways,
            loads=gathering.loads,
            others=others,
            is_named_once=gathering.named == len(gathering.number),
        )


class _Gathering:
    """Points and columns as they grow, part by part."""

    def __init__(self) -> None:
        self.number = dict[Terminal, int]()
        self.count = self.named = 0
        self.bars = dict[Terminal, int]()
        self.ways = Ways([], array("q"), array("q"), array("b"), array("d"), [], [], [])
        self.loads = PlainLoads([], array("q"), array("q"), array("b"), array("d"), array("d"), [])

    def takes_plain_load(self, part: AnyPart) -> bool:
        """Number the terminals of a part; whether it is a plain load, whose figures are taken too."""
        match part:
            case Load():
                return self._load(part)
            case Panel():
                for section in part.sections:
                    self._section(part.id, section)
            case Busbar() if part.section_mm2 is None or part.stud_pitch_m is None:
                self._one_point(part.id, terminals(part))
            case EngineBlock() | Bonding() if part.resistance_ohm is None:
                self._one_point(part.id, terminals(part))
            case Post():
                self._one_point(part.id, terminals(part))
            case Battery():
                self._separate(part.id, ("positive", "negative"))
                if part.pack is not None and part.pack.ports == "separate":
                    self.number[part.id, "charge"] = self.number[part.id, "positive"]
                    self.named += 1
            case _:
                self._separate(part.id, terminals(part))
        return False

    def _separate(self, part: str, names: Sequence[str]) -> None:
        number, count = self.number, self.count
        for name in names:
            number[part, name] = count
            count += 1
        self.count = count
        self.named += len(names)

    def _one_point(self, part: str, names: Sequence[str]) -> None:
        point = self.count
        for name in names:
            self.number[part, name] = point
        self.count += 1
        self.named += len(names)

    def _section(self, part: str, section: PanelSection) -> None:
        feed, *names = section_terminals(section)
        number, bar = self.number, self.count
        number[part, feed] = self.bars[part, feed] = bar
        count = bar + 1
        if section.main_kind is not None:
            self.bars[part, feed] = bar = count
            count += 1
        columns, ways = self.ways, section.ways
        for name, way in zip(names, ways, strict=False):
            key = part, name
            number[key] = count
            kind, figure = _way_device(way)
            if way.normally == "off":
                columns.normally_off.append(len(columns.kind))
            columns.terminal.append(key)
            columns.device.append(way.device)
            columns.label.append(way.device_kind or "way")
            columns.bar.append(bar)
            columns.point.append(count)
            columns.kind.append(kind)
            columns.figure.append(figure)
            count += 1
        for name in names[len(ways) :]:
            number[part, name] = bar
        self.count = count
        self.named += 1 + len(names)

    def _load(self, part: Load) -> bool:
        inputs, negatives = part.inputs, part.negatives
        figures = None
        if not (part.heavy or part.outputs or len(inputs) > 1 or len(negatives) > 1):
            figures = _plain_demand(inputs[0].demand)
        if figures is None:
            self._separate(part.id, terminals(part))
            return False
        key, count, columns = (part.id, inputs[0].id), self.count, self.loads
        self.number[key], self.number[part.id, negatives[0]] = count, count + 1
        self.count += 2
        self.named += 2
        kind, figure, rated_v = figures
        columns.terminal.append(key)
        columns.island.append(part.island)
        columns.positive.append(count)
        columns.negative.append(count + 1)
        columns.kind.append(kind)
        columns.figure.append(figure)
        columns.rated_v.append(rated_v)
        return True


def _way_device(way: PanelWay) -> tuple[int, float]:
    """What a way's device is, and its resistance or rating."""
    kind, device = way.device_kind, way.device
    if kind is None:
        return WayDevice.NOTHING, 0.0
    if device is None:
        return WayDevice.UNRATED, 0.0
    ohm, rating_a = device.resistance_ohm, device.rating_a
    if ohm is not None:
        return (WayDevice.OHM_RANGE, 0.0) if isinstance(ohm, Span) else (WayDevice.OHM, ohm)
    if rating_a is None:
        return WayDevice.UNRATED, 0.0
    if kind == "breaker":
        return WayDevice.BREAKER_A, rating_a
    return (WayDevice.BLADE_FUSE_A if device.device_class in BLADES else WayDevice.FUSE_A), rating_a


def _plain_demand(demand: Demand) -> tuple[int, float, float] | None:
    """What a demand of one figure draws, its figure, and the voltage it is rated at if that matters."""
    match demand:
        case Resistive():
            kind, given, rated_v = Draws.WATTS_AT_RATED_V, demand.rated_power_w, demand.rated_voltage_v
        case ConstantPower():
            kind, given, rated_v = Draws.WATTS, demand.power_w, 0.0
        case ConstantCurrent():
            kind, given, rated_v = Draws.AMPERES, demand.current_a, 0.0
        case Motor():
            kind, given, rated_v = Draws.AMPERES, demand.running_current_a, 0.0
        case _:
            return None
    return None if isinstance(given, Span) else (kind, given, rated_v)


_KEPT = 16
"""More than the engine keeps of what it makes of them, so that whoever reads a boat pays for an old one."""

points_of = Latest(Points.of, kept=_KEPT)
"""The points of some parts, the same again while they are in use."""

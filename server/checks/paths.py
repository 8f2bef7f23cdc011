"""What copper and closed switches join in one mode, asked of the graph without any number.

Loads and sources are never a way through. Voltage does not matter here, only whether a path exists.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property, partial

import networkx as nx
import numpy as np

from server.boat.boat import Boat
from server.boat.modes import Mode
from server.boat.parts import (
    Alternator,
    AnyPart,
    Battery,
    Bonding,
    Breaker,
    Busbar,
    Charger,
    Combiner,
    Connector,
    Contact,
    Converter,
    EngineBlock,
    Fuse,
    Isolator,
    Load,
    MeasuringShunt,
    Outboard,
    Panel,
    Solar,
)
from server.boat.terminals import section_terminals, terminals
from server.boat.value import TerminalRef
from server.engine.islands import pieces
from server.engine.memo import Memo

Node = tuple[str, str]
"""A part's id and the name of one of its terminals."""
Pieces = dict[Node, int]
"""A number for every terminal: joined terminals have the same."""


def node(ref: TerminalRef) -> Node:
    """A terminal as a node of the graph."""
    return ref.part, ref.terminal


@dataclass(frozen=True)
class Paths:
    """The joined terminals of a boat in one mode, with and without its protective devices and switches."""

    boat: Boat
    mode: Mode

    @classmethod
    def of(cls, boat: Boat, mode: Mode) -> "Paths":
        """The paths of a boat in a mode, the same ones again while they are in use."""
        for kept in tuple(_RECENT):
            if kept.boat is boat and kept.mode is mode:
                return kept
        paths = cls(boat, mode)
        _RECENT.append(paths)
        return paths

    @cached_property
    def closed(self) -> "nx.Graph[Node]":
        """Copper, fuses, and switches as the mode sets them."""
        return self._graph(devices=True, switches=True, shunts=True)

    @cached_property
    def without_devices(self) -> "nx.Graph[Node]":
        """The same with every fuse and breaker taken out, and every switch closed wherever it can be."""
        return self._graph(devices=False, switches=None, shunts=True)

    @cached_property
    def without_switches(self) -> "nx.Graph[Node]":
        """The same with every battery switch off."""
        return self._graph(devices=True, switches=False, shunts=True)

    @cached_property
    def without_shunts(self) -> "nx.Graph[Node]":
        """The same with the measuring shunts taken out."""
        return self._graph(devices=True, switches=True, shunts=False)

    @cached_property
    def closed_pieces(self) -> Pieces:
        """The pieces of ``closed``."""
        return self._pieces(devices=True, switches=True, shunts=True)

    @cached_property
    def pieces_without_devices(self) -> Pieces:
        """The pieces of ``without_devices``."""
        return self._pieces(devices=False, switches=None, shunts=True)

    @cached_property
    def pieces_without_switches(self) -> Pieces:
        """The pieces of ``without_switches``."""
        return self._pieces(devices=True, switches=False, shunts=True)

    @cached_property
    def pieces_without_shunts(self) -> Pieces:
        """The pieces of ``without_shunts``."""
        return self._pieces(devices=True, switches=True, shunts=False)

    @cached_property
    def pieces_bare(self) -> Pieces:
        """The pieces of copper with fuses and breakers taken out and every battery switch off."""
        return self._pieces(devices=False, switches=False, shunts=True)

    def _pieces(self, *, devices: bool, switches: bool | None, shunts: bool) -> Pieces:
        index, tail, head = self._wiring
        as_built, are_set = _as_built(devices, switches, shunts), {one.part for one in self.mode.positions}
        ends = [
            (index[a], index[b])
            for part in self.boat.parts
            if isinstance(part, _SETTABLE)
            for a, b in (
                _inner_pairs(part, self.mode, devices=devices, switches=switches, shunts=shunts)
                if part.id in are_set
                else as_built(part)
            )
        ]
        tails, heads = tail + [a for a, _ in ends], head + [b for _, b in ends]
        label = pieces(len(index), np.array(tails, np.intp), np.array(heads, np.intp)).tolist()
        return dict(zip(index, label, strict=True))

    @cached_property
    def _wiring(self) -> tuple[dict[Node, int], list[int], list[int]]:
        """A number for every terminal, and the ends of what is joined however anything is set."""
        nodes = [one for part in self.boat.parts for one in _nodes_of(part)]
        index = {one: number for number, one in enumerate(nodes)}
        tail, head = list[int](), list[int]()
        for part in self.boat.parts:
            if not isinstance(part, _SETTABLE):
                for a, b in _as_built(devices=True, switches=True, shunts=True)(part):
                    tail.append(index[a])
                    head.append(index[b])
        for conductor in self.boat.conductors:
            if conductor.tail is not None and conductor.head is not None:
                tail.append(index[conductor.tail.part, conductor.tail.terminal])
                head.append(index[conductor.head.part, conductor.head.terminal])
        return index, tail, head

    def _graph(self, *, devices: bool, switches: bool | None, shunts: bool) -> "nx.Graph[Node]":
        graph: nx.Graph[Node] = nx.Graph()
        for part in self.boat.parts:
            graph.add_nodes_from((part.id, name) for name in terminals(part))
            for a, b in _joined(part, self.mode, devices=devices, switches=switches, shunts=shunts):
                graph.add_edge((part.id, a), (part.id, b))
        for conductor in self.boat.conductors:
            if conductor.tail is not None and conductor.head is not None:
                graph.add_edge(node(conductor.tail), node(conductor.head))
        return graph


_RECENT: deque[Paths] = deque(maxlen=8)
"""Paths asked for last: a frozen boat has only one in a mode, so this changes no answer."""


def _joined(  # noqa: PLR0912 - one line a kind reads best
    part: AnyPart, mode: Mode, *, devices: bool, switches: bool | None, shunts: bool
) -> Iterator[tuple[str, str]]:
    """The pairs of a part's terminals that are joined inside it."""
    match part:
        case Fuse() | Breaker():
            if devices and _position(mode, part.id) != "off":
                yield "line", "load"
        case Contact():
            yield from _contact_pairs(part, mode, switches=switches)
        case MeasuringShunt():
            if shunts:
                yield "battery", "system"
        case Busbar() | EngineBlock() | Bonding():
            yield from (("stud-1", f"stud-{n}") for n in range(2, part.studs + 1))
        case Connector():
            yield from ((f"a-{n}", f"b-{n}") for n in range(1, part.pins + 1))
        case Panel():
            yield from _panel_pairs(part, mode, devices=devices)
        case Combiner():
            # With the battery switches off nothing charges, and an automatic relay has opened.
            held = part.normal if switches is False else _position(mode, part.id) or part.normal
            if held == "closed":
                yield "a", "b"
        case Isolator():
            yield from (("input", f"output-{n}") for n in range(1, part.outputs + 1))
        case Load():
            yield from ((output.from_input, output.id) for output in part.outputs)
        case _:
            pass


def _contact_pairs(part: Contact, mode: Mode, *, switches: bool | None) -> Iterator[tuple[str, str]]:
    if switches is None:
        yield from (pair for position in part.positions for pair in position.closed)
        return
    if not switches and part.is_battery_switch:
        return
    chosen = _position(mode, part.id) or part.normal
    yield from (pair for position in part.positions if position.id == chosen for pair in position.closed)


def _panel_pairs(part: Panel, mode: Mode, *, devices: bool) -> Iterator[tuple[str, str]]:
    for section in part.sections:
        hub = f"{section.id}-bar"
        feed = f"{section.id}-feed"
        blocked = section.main_kind is not None and (not devices or _position(mode, part.id, feed) == "off")
        if not blocked:
            yield feed, hub
        for way in section.ways:
            name = f"{section.id}-{way.id}"
            position = _position(mode, part.id, name) or way.normally
            protected = way.device_kind is not None
            if position == "on" and (devices or not protected):
                yield hub, name
        plain = set(section_terminals(section)) - {feed} - {f"{section.id}-{w.id}" for w in section.ways}
        yield from ((hub, name) for name in sorted(plain))


def _position(mode: Mode, part: str, way: str | None = None) -> str | None:
    for setting in mode.positions:
        if setting.part == part and setting.way == way:
            return setting.position
    return None


_SETTABLE = (Fuse, Breaker, Contact, MeasuringShunt, Combiner, Panel)
"""Kinds whose inner paths depend on what is set or left out; those of all others are always the same."""


def _nodes(part: AnyPart) -> tuple[Node, ...]:
    """The terminals of a part, and the bars of a panel behind its main device."""
    hubs = (f"{section.id}-bar" for section in part.sections) if isinstance(part, Panel) else ()
    return tuple((part.id, name) for name in (*terminals(part), *hubs))


def _inner_pairs(
    part: AnyPart, mode: Mode, *, devices: bool, switches: bool | None, shunts: bool
) -> tuple[tuple[Node, Node], ...]:
    pairs = _joined(part, mode, devices=devices, switches=switches, shunts=shunts)
    return tuple(((part.id, a), (part.id, b)) for a, b in pairs)


@cache
def _as_built(
    devices: bool, switches: bool | None, shunts: bool
) -> Memo[AnyPart, tuple[tuple[Node, Node], ...]]:
    """The inner pairs of parts for which a mode sets nothing."""
    return Memo(partial(_inner_pairs, mode=_ANY_MODE, devices=devices, switches=switches, shunts=shunts))


_ANY_MODE = Mode(id="any", name="Any")
_nodes_of = Memo(_nodes)


def source_posts(boat: Boat, side: str) -> Iterator[tuple[AnyPart, Node]]:
    """The positive or negative terminals of everything that can feed the boat."""
    for part in boat.parts:
        match part:
            case Battery() | Alternator() | Solar():
                yield part, (part.id, side)
            case Outboard() if part.charging_a:
                yield part, (part.id, side)
            case Charger():
                names = (
                    [f"output-{n}" for n in range(1, part.outputs + 1)]
                    if side == "positive"
                    else ["negative"]
                )
                yield from ((part, (part.id, name)) for name in names)
            case Converter() if side == "positive":
                yield part, (part.id, "output")
            case _:
                pass

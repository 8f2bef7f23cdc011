"""Every combination of the battery switches and every single turn between them, asked of the graph alone.

A switch's positions stand in the order of its dial, which is a ring; a turn goes to a neighbour. On the way a
switch that makes before it breaks joins what either position joins, one that breaks before it makes only what
both do. Combinations that join the same copper are worked out once. A switch in a load's own lead, such as a
float switch, is taken as closed: it does not decide whether the load is fed.
"""

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

from server.boat.boat import Boat
from server.boat.modes import Mode
from server.boat.own_switches import own_switches_closed
from server.boat.parts import Alternator, Battery, Charger, Combiner, Contact, Converter, Outboard, Solar
from server.engine.islands import pieces
from server.engine.netlist import Netlist, netlist
from server.engine.netlist_rows import Terminal

MOST_COMBINATIONS = 20_000
"""Beyond this a boat's switches are not gone through: seven selectors of four positions."""

Positions = tuple[str, ...]
"""A position for each of ``Switching.switches``, in their order."""
Pairs = frozenset[tuple[str, str]]


class TooManySwitchesError(ValueError):
    """The battery switches have more combinations than are gone through."""


@dataclass(frozen=True, slots=True)
class SwitchState:
    """What a combination of positions feeds and joins.

    ``fed`` are the inputs of loads that a battery feeds, straight or through a converter, with the batteries
    that do; ``lone`` the charging sources that no battery is joined to; ``side_by_side`` the batteries, by
    id, grouped by the copper they stand between: a string in series stands between its ends, and all
    strings between the same ends are one group.
    """

    fed: Mapping[Terminal, frozenset[str]]
    lone: frozenset[str]
    side_by_side: frozenset[frozenset[str]]

    @property
    def alive(self) -> frozenset[Terminal]:
        """The inputs of loads that are fed."""
        return frozenset(self.fed)


@dataclass(frozen=True, slots=True)
class Turn:
    """One switch turned to a neighbour on its dial.

    ``lone`` are the sources that have a battery before and after and none in between; ``certain`` is false
    where nobody says whether the switch makes or breaks first (it is then taken to break first).
    """

    switch: str
    before: Positions
    after: Positions
    lone: frozenset[str]
    certain: bool


@dataclass(frozen=True, eq=False)
class Switching:
    """The battery switches of a boat; everything else stands as the mode sets it."""

    boat: Boat
    mode: Mode
    switches: tuple[Contact, ...]

    @classmethod
    def of(cls, boat: Boat, mode: Mode) -> "Switching":
        """The hand-turned battery switches of a boat.

        Raises:
            TooManySwitchesError: there are more combinations than are gone through.
        """
        switches = tuple(p for p in boat.parts if isinstance(p, Contact) and p.is_battery_switch)
        count = 1
        for switch in switches:
            count *= len(switch.positions)
        if count > MOST_COMBINATIONS:
            raise TooManySwitchesError(f"{len(switches)} battery switches have {count} combinations")
        return cls(boat, mode, switches)

    @cached_property
    def now(self) -> Positions:
        """The positions that the mode sets."""
        chosen = {one.part: one.position for one in self.mode.positions if one.way is None}
        return tuple(chosen.get(switch.id, switch.normal) for switch in self.switches)

    @cached_property
    def all_off(self) -> Positions:
        """Every switch where it joins least."""
        return tuple(min(s.positions, key=lambda one: len(one.closed)).id for s in self.switches)

    @cached_property
    def sources(self) -> frozenset[str]:
        """All charging sources of the boat."""
        return frozenset(name for name, _, _ in self._copper.sources)

    @cached_property
    def states(self) -> Mapping[Positions, SwitchState]:
        """The state of every combination of positions."""
        choices = product(*([one.id for one in switch.positions] for switch in self.switches))
        return {positions: self.state(positions) for positions in choices}

    def state(self, positions: Positions) -> SwitchState:
        """The state of one combination."""
        return self._joined(self._pairs(positions))

    def turn(self, switch: str, before: Positions, position: str) -> Turn:
        """One switch turned from a combination to a neighbour on its dial."""
        number = [one.id for one in self.switches].index(switch)
        return self._turn(number, before, position)

    def lone_without(self, battery: str) -> frozenset[str]:
        """The charging sources that lose their last battery where one battery drops out as things stand."""
        others = {name: posts for name, posts in self._copper.batteries.items() if name != battery}
        ends = self._ends(self._pairs(self.now))
        return replace(self._copper, batteries=others).with_joins(ends).lone - self.state(self.now).lone

    def turns(self, positions: Positions) -> Iterator[Turn]:
        """Every single turn from a combination, to the neighbours on each dial."""
        for number, switch in enumerate(self.switches):
            dial = [one.id for one in switch.positions]
            at = dial.index(positions[number])
            beside = dict.fromkeys((dial[at - 1], dial[(at + 1) % len(dial)]))
            yield from (self._turn(number, positions, one) for one in beside if one != positions[number])

    def _turn(self, number: int, positions: Positions, neighbour: str) -> Turn:
        switch = self.switches[number]
        after = (*positions[:number], neighbour, *positions[number + 1 :])
        kept = self.state(positions).lone | self.state(after).lone
        lone = self.between(positions, after).lone - kept
        return Turn(switch.id, positions, after, lone, certain=switch.order is not None)

    def between(self, before: Positions, after: Positions) -> SwitchState:
        """The state on the way of a turn; a switch of unknown order is taken to break first."""
        halfway = tuple(
            a | b if switch.order == "make-before-break" else a & b
            for switch, a, b in zip(self.switches, self._pairs(before), self._pairs(after), strict=True)
        )
        return self._joined(halfway)

    def safe_way(self, start: Positions, goal: Positions, running: frozenset[str]) -> tuple[Turn, ...] | None:
        """The fewest turns between two combinations that never take the battery off a running source.

        Nor do they ever join banks of lithium and lead beside each other that were apart before. None where
        there is no such way: the engine has to be stopped first.
        """
        mixed = self.mixes(start)
        came: dict[Positions, Turn | None] = {start: None}
        waiting = deque([start])
        while waiting and goal not in came:
            here = waiting.popleft()
            for turn in self.turns(here):
                lost = (turn.lone | self.state(turn.after).lone) & running
                if turn.after not in came and not lost and self.mixes(turn.after) <= mixed:
                    came[turn.after] = turn
                    waiting.append(turn.after)
        if goal not in came:
            return None
        way: list[Turn] = []
        step = came[goal]
        while step is not None:
            way.append(step)
            step = came[step.before]
        return tuple(reversed(way))

    def mixes(self, positions: Positions) -> frozenset[frozenset[str]]:
        """The groups of batteries side by side in which lithium stands beside lead."""
        groups = self.state(positions).side_by_side
        return frozenset(group for group in groups if 0 < len(group & self._lithium) < len(group))

    @cached_property
    def _lithium(self) -> frozenset[str]:
        return frozenset(
            part.id for part in self.boat.parts if isinstance(part, Battery) and part.chemistry == "lifepo4"
        )

    @cached_property
    def _closed(self) -> tuple[Mapping[str, Pairs], ...]:
        return tuple({one.id: frozenset(one.closed) for one in switch.positions} for switch in self.switches)

    def _pairs(self, positions: Positions) -> tuple[Pairs, ...]:
        return tuple(closed[position] for closed, position in zip(self._closed, positions, strict=True))

    @cached_property
    def _copper(self) -> "_Copper":
        return _Copper.of(self.boat, self.mode, self.switches)

    @cached_property
    def _known(self) -> dict[tuple[Pairs, ...], SwitchState]:
        return {}

    def _joined(self, pairs: tuple[Pairs, ...]) -> SwitchState:
        if pairs not in self._known:
            self._known[pairs] = self._copper.with_joins(self._ends(pairs))
        return self._known[pairs]

    def _ends(self, pairs: tuple[Pairs, ...]) -> list[tuple[int, int]]:
        """The pieces of copper that some closed pairs join."""
        return [
            (self._copper.piece[switch.id, a], self._copper.piece[switch.id, b])
            for switch, closed in zip(self.switches, pairs, strict=True)
            for a, b in closed
        ]


@dataclass(frozen=True, eq=False)
class _Copper:
    """The pieces of copper with all battery switches open, and what lands on them.

    ``relays`` are the pairs that relays and isolators may join: a way to a battery for a charging source, but
    nothing that keeps a load alive.
    """

    piece: Mapping[Terminal, int]
    relays: tuple[tuple[int, int], ...]
    batteries: Mapping[str, tuple[int, int]]
    loads: Mapping[Terminal, tuple[int, int]]
    sources: tuple[tuple[str, int, int], ...]
    converters: tuple[tuple[tuple[int, int], tuple[int, int]], ...]

    @classmethod
    def of(cls, boat: Boat, mode: Mode, switches: tuple[Contact, ...]) -> "_Copper":
        net = netlist(_without(boat, switches), _left_alone(boat, mode))
        network = net.network
        resistors = network.resistors
        label = pieces(network.nodes, resistors.tail, resistors.head).tolist()
        piece = {terminal: label[node] for terminal, node in net.nodes.items()}
        relays = tuple(
            (label[a], label[b])
            for kind in ("diodes", "relays")
            for a, b in zip(network.of_kind(kind).tail, network.of_kind(kind).head, strict=True)
        )
        return cls(
            piece=piece,
            relays=relays,
            batteries={
                part.id: (piece[part.id, "positive"], piece[part.id, "negative"])
                for part in boat.parts
                if isinstance(part, Battery)
            },
            loads=dict(_loads(net, label)),
            sources=tuple(_sources(boat, piece)),
            converters=tuple(_converters(boat, piece)),
        )

    def with_joins(self, ends: list[tuple[int, int]]) -> SwitchState:
        """The state with some pieces joined."""
        fed, charged = _Groups(ends), _Groups([*ends, *self.relays])
        posts = {name: (fed.of(plus), fed.of(minus)) for name, (plus, minus) in self.batteries.items()}
        side_by_side = _side_by_side(posts)
        charging = _Groups([*ends, *self.relays, *self.batteries.values()])
        lone = frozenset(
            name
            for name, plus, minus in self.sources
            if charged.of(plus) == charged.of(minus) or charging.of(plus) != charging.of(minus)
        )
        return SwitchState(self._fed(ends, fed, posts, side_by_side), lone, side_by_side)

    def _fed(
        self,
        ends: list[tuple[int, int]],
        fed: "_Groups",
        posts: Mapping[str, tuple[int, int]],
        side_by_side: frozenset[frozenset[str]],
    ) -> dict[Terminal, frozenset[str]]:
        """The inputs of loads that are fed, with the batteries.

        A converter passes on what feeds it to copper that no battery stands on.
        """
        through = _Groups([*ends, *self.batteries.values()])

        def is_fed(pair: tuple[int, int]) -> bool:
            return fed.of(pair[0]) != fed.of(pair[1]) and through.of(pair[0]) == through.of(pair[1])

        feeders: dict[int, frozenset[str]] = {}
        for group in side_by_side:
            for name in group:
                feeders[posts[name][0]] = feeders.get(posts[name][0], frozenset()) | group
        waiting = [pair for pair in self.converters if not is_fed(pair[1])]
        while ready := [pair for pair in waiting if is_fed(pair[0])]:
            for taken, given in ready:
                through.join(*given)
                top, own = fed.of(given[0]), feeders.get(fed.of(taken[0]), frozenset())
                feeders[top] = feeders.get(top, frozenset()) | own
            waiting = [pair for pair in waiting if pair not in ready]
        return {
            key: feeders.get(fed.of(pair[0]), frozenset()) for key, pair in self.loads.items() if is_fed(pair)
        }


def _side_by_side(posts: Mapping[str, tuple[int, int]]) -> frozenset[frozenset[str]]:
    """Batteries grouped by the ends of their strings; one that is shorted stands between nothing."""
    standing = {name: ends for name, ends in posts.items() if ends[0] != ends[1]}
    above, below = dict[int, set[int]](), dict[int, set[int]]()
    for plus, minus in standing.values():
        below.setdefault(plus, set()).add(minus)
        above.setdefault(minus, set()).add(plus)
    groups: dict[tuple[frozenset[int], frozenset[int]], set[str]] = {}
    for name, (plus, minus) in standing.items():
        groups.setdefault((_ends(plus, above), _ends(minus, below)), set()).add(name)
    return frozenset(map(frozenset, groups.values()))


def _ends(piece: int, onward: Mapping[int, set[int]]) -> frozenset[int]:
    """The pieces where strings end that run on from a piece."""
    seen, waiting, ends = {piece}, [piece], set[int]()
    while waiting:
        here = waiting.pop()
        beyond = onward.get(here, set())
        if not beyond:
            ends.add(here)
        waiting.extend(beyond - seen)
        seen |= beyond
    return frozenset(ends)


class _Groups:
    """Which pieces are joined: a forest in which each points to one that it is joined with."""

    def __init__(self, joins: "list[tuple[int, int]]") -> None:
        self.above: dict[int, int] = {}
        for a, b in joins:
            self.join(a, b)

    def join(self, a: int, b: int) -> None:
        """Join two pieces."""
        top, other = self.of(a), self.of(b)
        if top != other:
            self.above[other] = top

    def of(self, piece: int) -> int:
        """The one that stands for all that are joined with a piece."""
        while piece in self.above:
            piece = self.above[piece]
        return piece


def _without(boat: Boat, switches: tuple[Contact, ...]) -> Boat:
    """The boat with battery switches that never join anything."""
    ids = {switch.id for switch in switches}
    opened = tuple(
        part.model_copy(
            update={"positions": tuple(one.model_copy(update={"closed": ()}) for one in part.positions)}
        )
        if isinstance(part, Contact) and part.id in ids
        else part
        for part in boat.parts
    )
    return boat.model_copy(update={"parts": opened})


def _left_alone(boat: Boat, mode: Mode) -> Mode:
    """The mode with every combining relay left to itself (it opens when nothing charges), floats closed."""
    relays = {part.id for part in boat.parts if isinstance(part, Combiner)}
    mode = own_switches_closed(boat, mode)
    return mode.model_copy(update={"positions": tuple(p for p in mode.positions if p.part not in relays)})


def _loads(net: Netlist, label: list[int]) -> Iterator[tuple[Terminal, tuple[int, int]]]:
    network = net.network
    for key, row in net.inputs.items():
        if net.labels[row].kind != "coil":
            yield key, (label[network.tail[row]], label[network.head[row]])


def _converters(
    boat: Boat, piece: Mapping[Terminal, int]
) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """What each converter takes from and gives to."""
    for part in boat.parts:
        if isinstance(part, Converter):
            back = "output-negative" if part.isolated else "negative"
            taken = piece[part.id, "input"], piece[part.id, "negative"]
            yield taken, (piece[part.id, "output"], piece[part.id, back])


def _sources(boat: Boat, piece: Mapping[Terminal, int]) -> Iterator[tuple[str, int, int]]:
    for part in boat.parts:
        match part:
            case Alternator() | Solar():
                yield part.id, piece[part.id, "positive"], piece[part.id, "negative"]
            case Outboard() if part.charging_a is not None:
                yield part.id, piece[part.id, "positive"], piece[part.id, "negative"]
            case Charger():
                for output in range(1, part.outputs + 1):
                    yield part.id, piece[part.id, f"output-{output}"], piece[part.id, "negative"]
            case _:
                pass

"""What the battery switches do: every combination, every turn, what turns join, the safe ways."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.choices import UnknownChoiceError
from server.boat.boat import Boat
from server.boat.parts import Alternator, Battery, Contact, Load, Outboard

if TYPE_CHECKING:
    from server.engine.switching import Positions, Switching, SwitchState, Turn
    from server.practice.load_dump import LoadDump

__all__ = [
    "CombinationFact",
    "JoinFact",
    "LoadGroup",
    "StayFact",
    "SwitchingFacts",
    "TurnFact",
    "WayFact",
    "switching_facts",
]

MOST_TURNS_SHOWN = 128
"""Of more combinations than this only the turns from where the switches stand are worked out."""


@dataclass(frozen=True)
class LoadGroup:
    """Loads that are fed alike in every combination."""

    names: tuple[str, ...]


@dataclass(frozen=True)
class CombinationFact:
    """One combination of positions: what feeds each group of loads, which banks are joined, who stands alone.

    ``is_shown`` says that the turns start there. ``fed`` has the banks that feed each group of loads, empty
    where it is dead. ``mixed`` says that lithium stands beside lead.
    """

    at: tuple[str, ...]
    positions: tuple[str, ...]
    is_now: bool
    is_shown: bool
    fed: tuple[str, ...]
    side_by_side: tuple[str, ...]
    alone: tuple[str, ...]
    mixed: bool


@dataclass(frozen=True)
class JoinFact:
    """Banks that a turn joins, with their rest voltages, and what flows between them at the first instant."""

    banks: tuple[str, ...]
    rest_v: tuple[float, ...]
    current_a: float
    worst_a: float
    from_bank: str
    mixed: bool
    unlike: bool
    unknown: tuple[str, ...]


@dataclass(frozen=True)
class TurnFact:
    """One switch turned: which sources lose their battery on the way or after it, which banks it joins.

    ``at`` and ``to`` are the combinations before and after, as ids. ``field_opens`` says that an auxiliary
    contact of the switch opens first, as one for an alternator's field does. ``goes_dead`` are the loads that
    are fed before the turn and no longer after it, ``blinks`` those that lose power on the way alone.
    """

    switch: str
    before: str
    after: str
    lost_between: tuple[str, ...]
    lost_after: tuple[str, ...]
    certain: bool
    joins: tuple[JoinFact, ...] = ()
    mixed: bool = False
    field_opens: bool = False
    at: tuple[str, ...] = ()
    to: tuple[str, ...] = ()
    goes_dead: tuple[str, ...] = ()
    blinks: tuple[str, ...] = ()


@dataclass(frozen=True)
class WayFact:
    """The fewest safe turns to a combination, with everything running and with the engines stopped.

    None where there is none; ``at_rest`` is the way with every charging source off.
    """

    goal: str
    running: tuple[TurnFact, ...] | None
    stopped: tuple[TurnFact, ...] | None
    at_rest: tuple[TurnFact, ...] | None


@dataclass(frozen=True)
class StayFact:
    """What stays alive with every battery switch off, and the reason that is stated for it.

    ``part`` is its id; ``is_load`` says that a reason can be stated for it.
    """

    name: str
    reason: str | None
    part: str = ""
    is_load: bool = False


@dataclass(frozen=True)
class SwitchingFacts:
    """All of it for one mode; ``every_turn`` is empty where there are too many to show.

    ``tried`` are the positions that turns and ways start from where they are not those of the mode.
    """

    switches: tuple[str, ...]
    groups: tuple[LoadGroup, ...]
    combinations: tuple[CombinationFact, ...]
    turns: tuple[TurnFact, ...]
    every_turn: tuple[TurnFact, ...]
    ways: tuple[WayFact, ...]
    sources: tuple[str, ...]
    stays: tuple[StayFact, ...]
    load_dump: "LoadDump | None"
    tried: tuple[str, ...] = ()


def switching_facts(boat: Boat, mode_id: str | None, start: "Positions | None" = None) -> SwitchingFacts:
    """What the battery switches of a boat do, all else as a mode sets it (the first where none is named).

    Turns and ways start where the mode has the switches, or from the positions ``start``.

    Raises:
        UnknownChoiceError: the boat has no such mode, or no mode at all, or no such positions.
        TooManySwitchesError: there are more combinations than anyone goes through.
    """
    from server.engine.switching import Switching
    from server.practice.load_dump import load_dump

    mode = next((one for one in boat.modes if mode_id in {None, one.id}), None)
    if mode is None:
        raise UnknownChoiceError("this boat has no such mode: choose another")
    switching = Switching.of(boat, mode)
    if start is not None and start not in switching.states:
        raise UnknownChoiceError("the battery switches have no such positions: choose others")
    told = _Told(boat, switching, switching.now if start is None else start)
    groups = told.groups()
    every = switching.states if len(switching.states) <= MOST_TURNS_SHOWN else ()
    return SwitchingFacts(
        switches=tuple(switch.name for switch in switching.switches),
        groups=tuple(LoadGroup(told.parts(group)) for group in groups),
        combinations=tuple(told.combination(at, state, groups) for at, state in switching.states.items()),
        turns=tuple(told.turn(turn, joins=True) for turn in switching.turns(told.start)),
        every_turn=tuple(told.turn(turn) for at in every for turn in switching.turns(at)),
        ways=tuple(told.ways()),
        sources=told.parts(switching.sources),
        stays=tuple(told.stays(switching.state(switching.all_off))),
        load_dump=load_dump(boat.nominal_voltage_v),
        tried=() if told.start == switching.now else told.names(told.start),
    )


class _Told:
    """Says in the boat's own names what the engine found."""

    def __init__(self, boat: Boat, switching: "Switching", start: "Positions") -> None:
        self.boat, self.switching, self.start = boat, switching, start
        self.batteries = {part.id: part for part in boat.parts if isinstance(part, Battery)}

    def parts(self, ids: Iterable[str]) -> tuple[str, ...]:
        """Names in document order, each once."""
        wanted = set(ids)
        return tuple(dict.fromkeys(part.name for part in self.boat.parts if part.id in wanted))

    def position(self, switch: Contact, position: str) -> str:
        return next(one.name for one in switch.positions if one.id == position)

    def names(self, at: "Positions") -> tuple[str, ...]:
        return tuple(self.position(s, one) for s, one in zip(self.switching.switches, at, strict=True))

    def feeders(self, state: "SwitchState", part: str) -> frozenset[str]:
        """The batteries that feed any input of a load."""
        return frozenset().union(*(names for (owner, _), names in state.fed.items() if owner == part))

    def groups(self) -> tuple[tuple[str, ...], ...]:
        """Loads by what feeds them in every combination."""
        alike: dict[tuple[tuple[bool, frozenset[str]], ...], list[str]] = {}
        states = self.switching.states.values()
        for part in self.boat.parts:
            if isinstance(part, Load):
                fed = tuple((self.is_fed(state, part.id), self.feeders(state, part.id)) for state in states)
                alike.setdefault(fed, []).append(part.id)
        return tuple(map(tuple, alike.values()))

    def is_fed(self, state: "SwitchState", part: str) -> bool:
        return any(owner == part for owner, _ in state.fed)

    def combination(
        self, at: "Positions", state: "SwitchState", groups: tuple[tuple[str, ...], ...]
    ) -> CombinationFact:
        return CombinationFact(
            at=at,
            positions=self.names(at),
            is_now=at == self.switching.now,
            is_shown=at == self.start,
            fed=tuple(
                self.banks(self.feeders(state, group[0])) or "fed" if self.is_fed(state, group[0]) else ""
                for group in groups
            ),
            side_by_side=tuple(
                name for group in state.side_by_side if " and " in (name := self.banks(group))
            ),
            alone=self.parts(state.lone),
            mixed=bool(self.switching.mixes(at)),
        )

    def banks(self, batteries: Iterable[str]) -> str:
        """Batteries by their banks."""
        wanted = set(batteries)
        banks = (one.bank or one.name for one in self.batteries.values() if one.id in wanted)
        return " and ".join(dict.fromkeys(banks))

    def turn(self, turn: "Turn", *, joins: bool = False) -> TurnFact:
        switch = next(one for one in self.switching.switches if one.id == turn.switch)
        number = self.switching.switches.index(switch)
        return TurnFact(
            switch=switch.name,
            before=self.position(switch, turn.before[number]),
            after=self.position(switch, turn.after[number]),
            lost_between=self.parts(turn.lone),
            lost_after=self.parts(
                self.switching.state(turn.after).lone - self.switching.state(turn.before).lone
            ),
            certain=turn.certain,
            joins=tuple(self.joins(turn)) if joins else (),
            mixed=not self.switching.mixes(turn.after) <= self.switching.mixes(turn.before),
            field_opens=any(one.leads_main == "yes" for one in switch.auxiliary),
            at=turn.before,
            to=turn.after,
            goes_dead=self.goes_dead(turn),
            blinks=self.blinks(turn),
        )

    def goes_dead(self, turn: "Turn") -> tuple[str, ...]:
        before, after = self.switching.state(turn.before), self.switching.state(turn.after)
        fed = {part for part, _ in after.alive}
        return self.parts(part for part, _ in before.alive if part not in fed)

    def blinks(self, turn: "Turn") -> tuple[str, ...]:
        states = (self.switching.state(turn.before), self.switching.state(turn.after))
        kept = frozenset.intersection(*(frozenset(part for part, _ in state.alive) for state in states))
        fed = {part for part, _ in self.switching.between(turn.before, turn.after).alive}
        return self.parts(kept - fed)

    def joins(self, turn: "Turn") -> Iterable[JoinFact]:
        from server.engine.paralleling import joined_groups, paralleling

        for groups in joined_groups(self.switching, turn.before, turn.after):
            found = paralleling(self.switching, turn.before, turn.after, groups)
            kinds = {self.batteries[name].chemistry for group in groups for name in group}
            yield JoinFact(
                banks=tuple(map(self.banks, groups)),
                rest_v=found.rest_v,
                current_a=found.current_a,
                worst_a=found.worst_a,
                from_bank=self.banks(found.from_group),
                mixed="lifepo4" in kinds and len(kinds) > 1,
                unlike=len(kinds) > 1,
                unknown=found.unknown,
            )

    def ways(self) -> Iterable[WayFact]:
        """To all off, and to how each other mode has the switches."""
        from server.engine.switching import Switching

        switching = self.switching
        charging = switching.sources - switching.state(self.start).lone
        driven = {part.id for part in self.boat.parts if isinstance(part, Alternator | Outboard)}
        goals = {switching.all_off: "all off"}
        for mode in self.boat.modes:
            at = Switching(self.boat, mode, switching.switches).now
            goals.setdefault(at, f"how {mode.name} has them")
        for goal, name in goals.items():
            if goal != self.start or goal == switching.all_off:
                yield WayFact(
                    name,
                    running=self.way(goal, charging),
                    stopped=self.way(goal, charging - driven),
                    at_rest=self.way(goal, frozenset()),
                )

    def way(self, goal: "Positions", running: frozenset[str]) -> tuple[TurnFact, ...] | None:
        found = self.switching.safe_way(self.start, goal, running)
        return None if found is None else tuple(map(self.turn, found))

    def stays(self, off: "SwitchState") -> Iterable[StayFact]:
        for part in self.boat.parts:
            if self.is_fed(off, part.id):
                reason = part.bypasses_switch if isinstance(part, Load) else None
                yield StayFact(part.name, reason, part.id, isinstance(part, Load))

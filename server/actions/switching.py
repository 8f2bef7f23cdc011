"""What the battery switches do: every combination, every turn from where they stand, the way to all off."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.choices import UnknownChoiceError
from server.boat.boat import Boat
from server.boat.parts import Battery, Contact, Load

if TYPE_CHECKING:
    from server.engine.switching import Positions, Switching, SwitchState, Turn
    from server.practice.load_dump import LoadDump

__all__ = ["CombinationFact", "StayFact", "SwitchingFacts", "TurnFact", "switching_facts"]


@dataclass(frozen=True)
class CombinationFact:
    """One combination of positions: what is alive, which banks are joined, which sources stand alone."""

    positions: tuple[str, ...]
    is_now: bool
    alive: tuple[str, ...]
    dead: tuple[str, ...]
    side_by_side: tuple[str, ...]
    alone: tuple[str, ...]


@dataclass(frozen=True)
class TurnFact:
    """One switch turned: which sources lose their battery on the way, and which have none after it."""

    switch: str
    before: str
    after: str
    lost_between: tuple[str, ...]
    lost_after: tuple[str, ...]
    certain: bool


@dataclass(frozen=True)
class StayFact:
    """A load that stays alive with every battery switch off, and the reason that is stated for it."""

    name: str
    reason: str | None


@dataclass(frozen=True)
class SwitchingFacts:
    """All of it for one mode; ``way_off`` is None where no order of turns keeps every source on a battery."""

    switches: tuple[str, ...]
    combinations: tuple[CombinationFact, ...]
    turns: tuple[TurnFact, ...]
    way_off: tuple[TurnFact, ...] | None
    sources: tuple[str, ...]
    stays: tuple[StayFact, ...]
    load_dump: "LoadDump | None"


def switching_facts(boat: Boat, mode_id: str | None) -> SwitchingFacts:
    """What the battery switches of a boat do, all else as a mode sets it (the first where none is named).

    Raises:
        UnknownChoiceError: the boat has no such mode, or no mode at all.
        TooManySwitchesError: there are more combinations than anyone goes through.
    """
    from server.engine.switching import Switching
    from server.practice.load_dump import load_dump

    mode = next((one for one in boat.modes if mode_id in {None, one.id}), None)
    if mode is None:
        raise UnknownChoiceError("this boat has no such mode: add one, or choose another")
    switching = Switching.of(boat, mode)
    told = _Told(boat, switching)
    off = switching.state(switching.all_off)
    charging = switching.sources - switching.state(switching.now).lone
    way = switching.safe_way(switching.now, switching.all_off, charging)
    return SwitchingFacts(
        switches=tuple(switch.name for switch in switching.switches),
        combinations=tuple(told.combination(at, state) for at, state in switching.states.items()),
        turns=tuple(map(told.turn, switching.turns(switching.now))),
        way_off=None if way is None else tuple(map(told.turn, way)),
        sources=told.parts(switching.sources),
        stays=tuple(told.stays(off)),
        load_dump=load_dump(boat.nominal_voltage_v),
    )


class _Told:
    """Says in the boat's own names what the engine found."""

    def __init__(self, boat: Boat, switching: "Switching") -> None:
        self.boat, self.switching = boat, switching
        self.names = {part.id: part.name for part in boat.parts}

    def parts(self, ids: Iterable[str]) -> tuple[str, ...]:
        """Names in document order, each once."""
        wanted = set(ids)
        return tuple(dict.fromkeys(part.name for part in self.boat.parts if part.id in wanted))

    def position(self, switch: Contact, position: str) -> str:
        return next(one.name for one in switch.positions if one.id == position)

    def combination(self, at: "Positions", state: "SwitchState") -> CombinationFact:
        alive = {part for part, _ in state.alive}
        return CombinationFact(
            positions=tuple(
                self.position(s, one) for s, one in zip(self.switching.switches, at, strict=True)
            ),
            is_now=at == self.switching.now,
            alive=self.parts(alive),
            dead=tuple(p.name for p in self.boat.parts if isinstance(p, Load) and p.id not in alive),
            side_by_side=tuple(filter(None, map(self.banks, state.side_by_side))),
            alone=self.parts(state.lone),
        )

    def banks(self, batteries: frozenset[str]) -> str:
        """Batteries of several banks side by side, by bank; empty where they are one bank."""
        banks = dict.fromkeys(
            part.bank or part.name
            for part in self.boat.parts
            if isinstance(part, Battery) and part.id in batteries
        )
        return " and ".join(banks) if len(banks) > 1 else ""

    def turn(self, turn: "Turn") -> TurnFact:
        switch = next(one for one in self.switching.switches if one.id == turn.switch)
        number = self.switching.switches.index(switch)
        return TurnFact(
            switch=switch.name,
            before=self.position(switch, turn.before[number]),
            after=self.position(switch, turn.after[number]),
            lost_between=self.parts(turn.lone),
            lost_after=self.parts(self.switching.state(turn.after).lone),
            certain=turn.certain,
        )

    def stays(self, off: "SwitchState") -> Iterable[StayFact]:
        alive = {part for part, _ in off.alive}
        for part in self.boat.parts:
            if part.id in alive:
                yield StayFact(part.name, part.bypasses_switch if isinstance(part, Load) else None)

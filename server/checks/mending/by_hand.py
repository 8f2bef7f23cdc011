"""Mends that change nothing on the boat: in which order battery switches are turned, step by step."""

from collections.abc import Iterable, Iterator

from server.boat.boat import Boat
from server.boat.finding import Finding, Mend, MendStep
from server.boat.parts import Alternator, Load, Outboard
from server.checks.turns import asked
from server.checks.way_round import WayRound, ways_round
from server.checks.words import the
from server.engine.switching import Positions, Switching, Turn

STOPPED = "Stop the engine"


def by_hand(boat: Boat, finding: Finding) -> Iterator[Mend]:
    """What to do by hand about a turn that takes the battery off a charging source."""
    if finding.code == "turn-through-off":
        yield from _round(boat, finding)
    elif finding.code == "turn-loses-battery":
        yield from _another_way(boat, finding)


def _round(boat: Boat, finding: Finding) -> Iterator[Mend]:
    """Round the other way, there and back."""
    switching = Switching.of(boat, boat.modes[0])
    for one in ways_round(boat):
        if (one.switch.id, one.lone) == finding.subjects:
            names = [position.name for position in one.switch.positions]
            by = " and ".join(names[n] for n in one.safe)
            yield Mend(
                label=f"Turn {the(one.switch.name)} by way of {by}, never by way of {names[one.unsafe[0]]}",
                steps=tuple(steps(boat, switching, _turns(switching, one))),
            )


def _turns(switching: Switching, way: WayRound) -> Iterator[Turn]:
    """The turns of the safe way."""
    number = switching.switches.index(way.switch)
    dial = [position.id for position in way.switch.positions]
    passed = way.safe if (way.safe[0] - way.start) % len(dial) == 1 else way.safe[::-1]
    at = (*way.here[:number], dial[way.start], *way.here[number + 1 :])
    for n in (*passed, way.goal):
        turn = switching.turn(way.switch.id, at, dial[n])
        yield turn
        at = turn.after


def _another_way(boat: Boat, finding: Finding) -> Iterator[Mend]:
    """The order of turns that keeps the source on a battery, if there is one; and with the engine stopped."""
    switch, source = finding.subjects
    switching, parts = Switching.of(boat, boat.modes[0]), {part.id: part for part in boat.parts}
    losing = [
        turn
        for here in asked(boat, switching)
        for turn in switching.turns(here)
        if turn.switch == switch and source in turn.lone
    ]
    ways = (switching.safe_way(turn.before, turn.after, frozenset({source})) for turn in losing)
    way = next((way for way in ways if way is not None), None)
    if way is not None:
        told = ", then ".join(f"{the(parts[turn.switch].name)} to {_to(switching, turn)}" for turn in way)
        yield Mend(label=f"Turn {told}", steps=tuple(steps(boat, switching, way)))
    if isinstance(parts[source], Alternator | Outboard):
        label = f"Turn {the(parts[switch].name)} with the engine stopped alone"
        yield Mend(label=label, steps=(MendStep(what=STOPPED), *steps(boat, switching, losing[:1])))


def steps(boat: Boat, switching: Switching, turns: Iterable[Turn]) -> Iterator[MendStep]:
    """Turns one after another, with the loads that each leaves alive and dead, and takes the power from."""
    for turn in turns:
        before, between, after = (
            frozenset(part for part, _ in state.alive)
            for state in (
                switching.state(turn.before),
                switching.between(turn.before, turn.after),
                switching.state(turn.after),
            )
        )
        name = next(switch.name for switch in switching.switches if switch.id == turn.switch)
        was, becomes = _position(switching, turn, turn.before), _to(switching, turn)
        yield MendStep(
            what=f"{name}: {was} → {becomes}",
            alive=_loads(boat, after),
            dead=_loads(boat, frozenset(part.id for part in boat.parts) - after),
            goes_dead=_loads(boat, before - after),
            blinks=_loads(boat, (before & after) - between),
        )


def _loads(boat: Boat, parts: frozenset[str]) -> tuple[str, ...]:
    return tuple(part.name for part in boat.parts if isinstance(part, Load) and part.id in parts)


def _to(switching: Switching, turn: Turn) -> str:
    return _position(switching, turn, turn.after)


def _position(switching: Switching, turn: Turn, at: Positions) -> str:
    number = [one.id for one in switching.switches].index(turn.switch)
    switch = switching.switches[number]
    return next(one.name for one in switch.positions if one.id == at[number])

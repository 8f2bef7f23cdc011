"""Selectors that lead from one battery to another round by OFF, where a charging source has none."""

from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.boat.parts import Alternator, Contact, Outboard
from server.checks.banks import COMMON
from server.checks.turns import asked
from server.checks.words import the
from server.engine.switching import Positions, Switching, TooManySwitchesError


@dataclass(frozen=True, slots=True)
class WayRound:
    """Two positions of a switch, by number on its dial, that one way round is safe between and the other not.

    ``safe`` and ``unsafe`` are the numbers passed on the way, ``lone`` the source that has no battery there;
    ``here`` is how the other switches stand.
    """

    switch: Contact
    here: Positions
    start: int
    goal: int
    safe: tuple[int, ...]
    unsafe: tuple[int, ...]
    lone: str


def ways_round(boat: Boat) -> Iterator[WayRound]:
    """Of every selector and source the first pair of positions that a wrong way round lies between.

    Only sources that an engine drives are asked for: another can be switched off before. A selector whose
    auxiliary contact opens first is left out: that is what breaks an alternator's field.
    """
    if not boat.modes:
        return
    try:
        switching = Switching.of(boat, boat.modes[0])
    except TooManySwitchesError:
        return
    driven = [part.id for part in boat.parts if isinstance(part, Alternator | Outboard)]
    told = set[tuple[str, str]]()
    for here in asked(boat, switching):
        for number, switch in enumerate(switching.switches):
            if any(one.leads_main == "yes" for one in switch.auxiliary):
                continue
            for source in driven:
                found = _way_round(switching, here, number, source)
                if found is not None and (switch.id, source) not in told:
                    told.add((switch.id, source))
                    yield found


def _way_round(switching: Switching, here: Positions, number: int, source: str) -> WayRound | None:
    switch = switching.switches[number]
    dial = [
        source not in switching.state((*here[:number], one.id, *here[number + 1 :])).lone
        for one in switch.positions
    ]
    count = len(dial)
    for start in range(count):
        for goal in range(start + 2, count):
            inside = tuple(range(start + 1, goal))
            outside = tuple((goal + n) % count for n in range(1, count - (goal - start)))
            if not (dial[start] and dial[goal] and inside and outside):
                continue
            for safe, unsafe in ((inside, outside), (outside, inside)):
                if all(dial[n] for n in safe) and not all(dial[n] for n in unsafe):
                    return WayRound(switch, here, start, goal, safe, unsafe, source)
    return None


def turned_through_off(boat: Boat) -> Iterator[Finding]:
    """Selectors that can be turned from battery to battery round by OFF, however fast, with an engine on."""
    parts = {part.id: part for part in boat.parts}
    for one in ways_round(boat):
        names = [position.name for position in one.switch.positions]
        off = next(names[n] for n in one.unsafe)
        by = " and ".join(names[n] for n in one.safe)
        yield Finding(
            code="turn-through-off",
            severity="advice",
            subjects=(one.switch.id, one.lone),
            message=f"Turned from {names[one.start]} to {names[one.goal]} by way of {off}, "
            f"{the(one.switch.name)} takes the battery off {the(parts[one.lone].name)}, however fast; "
            f"by way of {by} it does not. Mark it so beside the switch.",
            source=COMMON,
            source_status="common-practice",
        )

"""How the loads fare in an event."""

from dataclasses import dataclass
from functools import partial
from itertools import compress
from weakref import WeakKeyDictionary

from server.boat.parts import AnyPart
from server.engine.answer import Verdict
from server.engine.drop import unknown_on_way
from server.engine.needs import Need, need_of, verdict
from server.engine.netlist_rows import Terminal
from server.engine.solution import EventSolution, Solution
from server.engine.unit_ways import UnitWays
from server.units import Volt


@dataclass(frozen=True)
class Outcome:
    """How the loads fare in an event; heavy loads are not counted."""

    needs: dict[Terminal, Need]
    unknown: dict[Terminal, tuple[int, ...]]
    """The wires of unknown resistance on the way of each load, where there are any."""
    verdicts: dict[Terminal, Verdict]
    restarts: int
    worst: Terminal | None
    lowest_v: Volt | None

    @classmethod
    def of(cls, solution: Solution, solved: EventSolution) -> "Outcome":
        """The outcome of an event, the same one again while its solution is in use."""
        found = _KNOWN.get(solved)
        if found is None:
            found = _KNOWN[solved] = cls._made(solution, solved)
        return found

    @classmethod
    def _made(cls, solution: Solution, solved: EventSolution) -> "Outcome":
        needs = {key: need_for(solution, solved, key) for key in solved.inputs}
        unknown = _unknown(solved)
        verdicts = {
            key: verdict(band, needs[key], at_best=key in unknown)
            for key, band in zip(solved.inputs, solved.lowest, strict=True)
        }
        volts = {
            key: band.value
            for key, band in zip(solved.inputs, solved.lowest, strict=True)
            if not is_heavy(solution.parts[key[0]]) and needs[key].can_restart
        }
        worst = min(volts, key=lambda key: volts[key] - (needs[key].value_v or 0.0)) if volts else None
        restarts = sum(verdicts[key] == "restarts" for key in volts)
        return cls(needs, unknown, verdicts, restarts, worst, None if worst is None else volts[worst])


_KNOWN: "WeakKeyDictionary[EventSolution, Outcome]" = WeakKeyDictionary()
"""Outcomes of solutions still held by someone: a solution has only one, so this changes no answer."""


def _unknown(solved: EventSolution) -> dict[Terminal, tuple[int, ...]]:
    if not len(solved.net.unknown_wires):
        return {}
    reached = solved.source_network.reaches(solved.elements)
    ways = UnitWays(solved.source_network, solved.elements[reached])
    keys = compress(solved.inputs, reached.tolist())
    found = ((key, unknown_on_way(solved.net, partial(ways.unit, at))) for at, key in enumerate(keys))
    return {key: rows for key, rows in found if rows}


def need_for(solution: Solution, solved: EventSolution, key: Terminal) -> Need:
    """What an input needs to keep running."""
    part = solution.parts[key[0]]
    return need_of(part, key[1], solution.nominal_v(part), solved.net.figures)


def is_heavy(part: AnyPart) -> bool:
    """Whether a part is a heavy load itself."""
    return bool(getattr(part, "heavy", part.kind == "outboard"))

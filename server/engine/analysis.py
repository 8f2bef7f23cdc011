"""Answers about a boat: a mode with its events, the worst event."""

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.engine.answer import (
    AssumedValue,
    BranchFlow,
    EventAnswer,
    InputAnswer,
    LoadState,
    ModeAnswer,
    Trouble,
)
from server.engine.arrays import Flags
from server.engine.best_tap import IsAllowed
from server.engine.diagnose import diagnosed, input_state
from server.engine.drops import Drops
from server.engine.event_report import EventReport
from server.engine.loop import loop
from server.engine.naming import Names
from server.engine.netlist_rows import Terminal
from server.engine.outcome import Outcome, is_heavy
from server.engine.solution import EventSolution, Solution, UnknownModeError
from server.engine.taps import NoLeadError, pick_up

__all__ = ["NoLeadError", "UnknownModeError", "analyse_mode", "explained", "loop", "pick_up", "worst_event"]


def analyse_mode(
    boat: Boat,
    mode_id: str,
    *,
    events: Sequence[str] | None = None,
    explained: Container[Terminal] | None = None,
    is_allowed: IsAllowed | None = None,
) -> ModeAnswer:
    """A mode solved: its loads, the chosen events (all of the mode where none is named), flows, troubles.

    ``explained`` names the inputs whose sag is split over the elements and whose best tap is searched: all of
    them where it is left out. ``is_allowed`` judges the places of best taps besides what the engine sees.

    Raises:
        UnknownModeError: the boat has no such mode.
    """
    chosen = None if events is None else tuple(events)
    return _ModeReport(Solution.of(boat, mode_id), chosen, explained, is_allowed).answer()


def explained(  # noqa: PLR0913 - each names one thing of the input
    boat: Boat,
    mode_id: str,
    event_id: str,
    key: Terminal,
    is_allowed: IsAllowed | None = None,
    *,
    searches: bool = True,
) -> EventAnswer:
    """One input in an event, with its sag split over the elements and, if searched for, its best tap.

    Raises:
        UnknownModeError: the boat has no such mode or event, or no such input is fed in it.
    """
    solution = Solution.of(boat, mode_id)
    solved = solution.event(event_id)
    if key not in solved.inputs:
        raise UnknownModeError(f"no input “{key[1]}” of “{key[0]}” is fed in “{event_id}”")
    outcome = Outcome.of(solution, solved)
    return EventReport(solution, solved, outcome, (key,), is_allowed, searches).of(key)


def worst_event(boat: Boat) -> tuple[str, str] | None:
    """Mode and event in which most loads restart, then where the voltage is lowest; None without events."""
    ranked = []
    for mode in boat.modes:
        solution = Solution.of(boat, mode.id)
        for solved in solution.solved_events():
            outcome = Outcome.of(solution, solved)
            lowest = outcome.lowest_v if outcome.lowest_v is not None else np.inf
            ranked.append((-outcome.restarts, lowest, mode.id, solved.event.id))
    return min(ranked)[2:] if ranked else None


@dataclass(frozen=True, eq=False)
class _ModeReport:
    solution: Solution
    chosen: tuple[str, ...] | None
    explained: Container[Terminal] | None
    is_allowed: IsAllowed | None

    @property
    def names(self) -> Names:
        return self.solution.names

    @cached_property
    def solved(self) -> tuple[EventSolution, ...]:
        return tuple(self.solution.solved_events(self.chosen))

    @cached_property
    def outcomes(self) -> tuple[Outcome, ...]:
        return tuple(Outcome.of(self.solution, solved) for solved in self.solved)

    @cached_property
    def reports(self) -> tuple[EventReport, ...]:
        return tuple(
            EventReport(self.solution, solved, outcome, self.explained, self.is_allowed)
            for solved, outcome in zip(self.solved, self.outcomes, strict=True)
        )

    @cached_property
    def drops(self) -> Drops:
        return Drops(self.solution)

    def answer(self) -> ModeAnswer:
        solution = self.solution
        loads = tuple(
            self._input(column, key) for column, key in enumerate(solution.inputs) if self._is_load(key)
        )
        return ModeAnswer(
            mode=solution.mode.id,
            loads=loads,
            events=tuple(one.info() for one in self.reports),
            flows=tuple(self._flows()),
            live_terminals=self._live(),
            troubles=self._troubles(),
            assumptions=self._assumptions(),
            not_assessed=self._not_assessed(),
        )

    def _is_load(self, key: Terminal) -> bool:
        return self.solution.net.labels[self.solution.net.inputs[key]].kind != "coil"

    def _input(self, column: int, key: Terminal) -> InputAnswer:
        solution = self.solution
        part, element = solution.parts[key[0]], solution.net.inputs[key]
        state, reason = self._state(column, key)
        on = not solution.net.off[element]
        powered = on and state in {"fed", "cannot-run"}
        return InputAnswer(
            part=key[0],
            input=key[1],
            name=self.names.input(*key),
            heavy=is_heavy(part),
            state=state,
            reason=reason,
            on=on,
            voltage_v=float(solution.steady.element_v[element]) if powered else None,
            current_a=float(solution.steady.current_a[element]) if powered else None,
            drop=self.drops.of(column) if state in {"fed", "cannot-run"} else None,
            events=tuple(one.of(key) for one in self.reports if key in one.outcome.verdicts),
        )

    def _state(self, column: int, key: Terminal) -> tuple[LoadState, str]:
        return ("fed", "") if self._plainly_fed[column] else input_state(self.solution, key, column)

    @cached_property
    def _plainly_fed(self) -> Flags:
        """The inputs that a source reaches by copper, running and settled: nothing is to be told of them."""
        solution, elements = self.solution, self.solution.elements
        network, metal, steady = solution.net.network, solution.topology.metal, solution.steady
        starved = np.zeros(network.size, bool)
        starved[network.spans["loads"]] = steady.states.starved
        apart = metal[network.tail[elements]] != metal[network.head[elements]]
        settled = ~np.isin(elements, steady.unsettled)
        fed: Flags = solution.source_network.reaches(elements) & apart & settled & ~starved[elements]
        return fed

    def _flows(self) -> Iterator[BranchFlow]:
        """Flows of conductors, contacts, devices and batteries; at the first event where one was solved."""
        steady, net = self.solution.steady, self.solution.net
        solved = self.solved[0] if len(self.solved) == 1 else self._worst_solved()
        current, volts = steady.current_a.tolist(), np.nan_to_num(steady.element_v).tolist()
        event_current, event_volts = current, volts
        if solved is not None:
            event_current = solved.present.current_a.tolist()
            event_volts = np.nan_to_num(solved.present.element_v).tolist()
        for element, rows in net.rows_of.items():
            row, event_row = rows[0], rows[0]
            if len(rows) > 1:
                row = max(rows, key=lambda row: abs(current[row]))
                event_row = max(rows, key=lambda row: abs(event_current[row]))
            yield BranchFlow(
                element=element,
                current_a=current[row],
                drop_v=volts[row],
                event_current_a=None if solved is None else event_current[event_row],
                event_drop_v=None if solved is None else event_volts[event_row],
            )

    def _worst_solved(self) -> EventSolution | None:
        ranked = [
            (-outcome.restarts, np.inf if outcome.lowest_v is None else outcome.lowest_v, number)
            for number, outcome in enumerate(self.outcomes)
        ]
        return self.solved[min(ranked)[2]] if ranked else None

    def _live(self) -> frozenset[Terminal]:
        """Terminals that a source reaches through copper and closed switches."""
        topology, network = self.solution.topology, self.solution.net.network
        on = ~self.solution.net.off
        rows = np.concatenate(
            [np.arange(network.size)[network.spans[kind]] for kind in ("sources", "limited")]
        )
        rows = rows[on[rows]]
        pieces = np.zeros(network.nodes, bool)
        metal = topology.metal_with_states(self.solution.steady)
        pieces[metal[network.head[rows]]] = True
        pieces[metal[network.tail[rows]]] = True
        return frozenset(
            terminal for terminal, node in self.solution.net.nodes.items() if pieces[metal[node]]
        )

    def _troubles(self) -> tuple[Trouble, ...]:
        return tuple(diagnosed(self.solution, self.solved, self.names))

    def _assumptions(self) -> tuple[AssumedValue, ...]:
        used: dict[tuple[str, str | None], AssumedValue] = {}
        for net in (self.solution.net, *(solved.net for solved in self.solved)):
            used |= {(one.key, one.subject): one for one in net.figures.used if one is not None}
        return tuple(used[key] for key in sorted(used, key=str))

    def _not_assessed(self) -> tuple[str, ...]:
        unknown = {f"{self.names.element(name)}: {why}" for name, why in self.solution.net.unknown}
        unseen = {f"not seen: {one.what}" for one in self.solution.boat.not_seen}
        unsearched = [
            f"better taps in {one.solved.event.name}: {one.taps.unsearched} loads were not searched; "
            "the worst come first"
            for one in self.reports
            if one.taps.unsearched
        ]
        charging = [VOLTAGES_WHILE_CHARGING] if is_charging(self.solution) else []
        return (*sorted(unknown), *sorted(unseen), *unsearched, *charging)


VOLTAGES_WHILE_CHARGING = (
    "voltages while charging: each battery stands at its rest voltage here; "
    "a bank that is nearly full comes up to the charging voltage, 1 to 2 V higher on 12 V"
)
SMALLEST_CHARGE_A = 0.1
"""A charging current that raises a battery above its rest voltage (common practice, no source)."""


def is_charging(solution: Solution) -> bool:
    """Whether a charging source is on and current flows into a battery in the steady mode."""
    net, steady = solution.net, solution.steady
    sources, limited = net.network.spans["sources"], net.network.spans["limited"]
    gives = (steady.current_a[limited] > SMALLEST_CHARGE_A) & ~net.off[limited]
    into_battery = any(
        net.labels[row].kind == "battery" and steady.current_a[row] < -SMALLEST_CHARGE_A
        for row in range(sources.start, sources.stop)
    )
    return bool(gives.any()) and into_battery

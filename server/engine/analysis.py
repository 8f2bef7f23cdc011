"""Answers about a boat: a mode with its events, the worst event."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import starmap
from typing import NamedTuple

import numpy as np

from server.boat.boat import Boat
from server.engine.answer import (
    AssumedValue,
    BranchFlow,
    Drop,
    ElementShare,
    EventAnswer,
    EventInfo,
    InputAnswer,
    LoadState,
    ModeAnswer,
    Trouble,
)
from server.engine.arrays import Floats
from server.engine.best_tap import BestTap, BestTaps
from server.engine.diagnose import diagnosed, input_state
from server.engine.drop import DropNetwork, drop_of
from server.engine.joint_split import joint_split
from server.engine.loop import loop
from server.engine.naming import Names
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal
from server.engine.outcome import Outcome, is_heavy
from server.engine.shared_path import post_voltage
from server.engine.sides import Side, side_of
from server.engine.solution import EventSolution, Solution, UnknownModeError
from server.engine.taps import NoLeadError, pick_up

__all__ = ["NoLeadError", "UnknownModeError", "analyse_mode", "loop", "pick_up", "worst_event"]

SMALLEST_SHARE_V = 1e-13
"""Shares below this are rounding; leaving them out keeps the sum within 1e-10 V."""


def analyse_mode(boat: Boat, mode_id: str, *, events: Sequence[str] | None = None) -> ModeAnswer:
    """A mode solved: its loads, the chosen events (all of the mode where none is named), flows, troubles.

    Raises:
        UnknownModeError: the boat has no such mode.
    """
    return _ModeReport(Solution.of(boat, mode_id), None if events is None else tuple(events)).answer()


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
    def best_taps(self) -> tuple[BestTaps, ...]:
        return tuple(
            BestTaps(self.solution, solved, outcome)
            for solved, outcome in zip(self.solved, self.outcomes, strict=True)
        )

    @cached_property
    def drops(self) -> DropNetwork:
        one = self.solution
        return DropNetwork(one.boat, one.topology, one.steady, one.places, one.names)

    def answer(self) -> ModeAnswer:
        solution = self.solution
        loads = tuple(
            self._input(column, key) for column, key in enumerate(solution.inputs) if self._is_load(key)
        )
        infos = tuple(
            self._info(solved, outcome) for solved, outcome in zip(self.solved, self.outcomes, strict=True)
        )
        return ModeAnswer(
            mode=solution.mode.id,
            loads=loads,
            events=infos,
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
        state, reason = input_state(solution, key, column)
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
            drop=self._drop(column, key, state),
            events=tuple(self._events(key)),
        )

    def _drop(self, column: int, key: Terminal, state: LoadState) -> Drop | None:
        if state not in {"fed", "cannot-run"}:
            return None
        unit = self.solution.unit_currents[:, column]
        if np.isnan(unit).any():
            return None
        return drop_of(self.drops, key, unit, self.solution.nominal_v(self.solution.parts[key[0]]))

    def _events(self, key: Terminal) -> Iterator[EventAnswer]:
        for solved, outcome, taps in zip(self.solved, self.outcomes, self.best_taps, strict=True):
            if key in outcome.verdicts:
                yield self._event(solved, outcome, taps.of(key), key)

    def _event(
        self, solved: EventSolution, outcome: Outcome, best: BestTap | None, key: Terminal
    ) -> EventAnswer:
        column, need = solved.inputs.index(key), outcome.needs[key]
        split = solved.split
        sag, transfer = float(split.sag_v[column]), float(split.transfer_ohm[column])
        inrush = float(solved.present.current_a[solved.heavy_element])
        if np.isnan(transfer):  # the heavy load, or the other one, shares no island of sources with it
            transfer = 0.0
        return EventAnswer(
            event=solved.event.id,
            lowest=solved.lowest[column],
            need_v=need.value_v,
            need_source=need.source,
            need_assumed=need.assumed,
            verdict=outcome.verdicts[key],
            sag_v=sag,
            heavy_alone_v=transfer * inrush,
            others_v=sag - transfer * inrush,
            transfer_resistance_ohm=transfer,
            shared_path=self._shares(solved, column),
            floor_v=self._floor(solved, column),
            best_tap=None if best is None else best.tap,
            best_tap_v=None if best is None else best.lowest_v,
            can_restart=need.can_restart,
            unknown=self._names_of(outcome.unknown.get(key, ())),
        )

    def _names_of(self, rows: tuple[int, ...]) -> tuple[str, ...]:
        return tuple(self._element_names[self.solution.net.labels[row].element] for row in rows)

    @staticmethod
    def _floor(solved: EventSolution, column: int) -> float:
        """Voltage at the posts; the load's own where only another load feeds it."""
        unit = solved.unit_currents[:, column]
        if np.isnan(unit).any():
            return solved.lowest[column].value
        return post_voltage(solved.present, unit)

    def _shares(self, solved: EventSolution, column: int) -> tuple[ElementShare, ...]:
        """The elements that add to a sag, the largest first; rows of one part are added up."""
        share = solved.split.share_v[:, column]
        rows = np.flatnonzero(np.abs(share) > SMALLEST_SHARE_V)
        columns = (
            rows,
            share[rows],
            self._ohm(solved)[rows],
            solved.unit_currents[rows, column],
            solved.unit_currents[rows, -1],
        )
        found: dict[str, list[_RowShare]] = {}
        for row in starmap(_RowShare, zip(*(one.tolist() for one in columns), strict=True)):
            found.setdefault(solved.net.labels[row.row].element, []).append(row)
        shares = (self._element_share(solved.net, element, rows) for element, rows in found.items())
        return tuple(sorted(shares, key=lambda one: (-one.share_v, one.element)))

    def _element_share(self, net: Netlist, element: str, rows: "list[_RowShare]") -> ElementShare:
        first = rows[0].row
        share = sum(row.share_v for row in rows)
        split = joint_split(net, self.names.conductors, first, share)
        kind = self.solution.net.labels[first].kind
        return ElementShare(
            element=element,
            name=self._element_names[element],
            kind=kind,
            share_v=share,
            resistance_ohm=sum(row.ohm for row in rows),
            load_fraction=max((row.load_fraction for row in rows), key=abs),
            heavy_fraction=max((row.heavy_fraction for row in rows), key=abs),
            unavoidable=kind == "battery",
            side=self._sides[first],
            wire_v=split.wire_v,
            tail_joint_v=split.tail_joint_v,
            head_joint_v=split.head_joint_v,
        )

    @cached_property
    def _element_names(self) -> dict[str, str]:
        return {element: self.names.element(element) for element in self.solution.net.rows_of}

    @cached_property
    def _sides(self) -> tuple[Side, ...]:
        topology = self.solution.topology
        return tuple(side_of(topology, row, label.kind) for row, label in enumerate(topology.net.labels))

    def _ohm(self, solved: EventSolution) -> Floats:
        """Resistance of every element before the start; zero where it is none."""
        if solved.event.id not in self._ohms:
            g = solved.absent.conductance
            self._ohms[solved.event.id] = np.divide(1.0, g, out=np.zeros_like(g), where=g > 0)
        return self._ohms[solved.event.id]

    @cached_property
    def _ohms(self) -> dict[str, Floats]:
        return {}

    def _info(self, solved: EventSolution, outcome: Outcome) -> EventInfo:
        heavy = solved.heavy
        inrush = float(solved.present.current_a[solved.heavy_element])
        is_fed = not np.isnan(solved.unit_currents[:, -1]).any()
        return EventInfo(
            event=solved.event.id,
            name=solved.event.name,
            mode=solved.event.mode,
            heavy_part=heavy[0],
            heavy_input=heavy[1],
            heavy_name=self.names.input(*heavy),
            inrush_a=inrush if is_fed else None,
            worst_part=None if outcome.worst is None else outcome.worst[0],
            worst_lowest_v=outcome.lowest_v,
            restarts=outcome.restarts,
            conditions=_conditions(solved),
        )

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
            f"better taps in {solved.event.name}: {taps.unsearched} loads were not searched; "
            "the worst come first"
            for solved, taps in zip(self.solved, self.best_taps, strict=True)
            if taps.unsearched
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


class _RowShare(NamedTuple):
    """What one element of the network adds to a sag."""

    row: int
    share_v: float
    ohm: float
    load_fraction: float
    heavy_fraction: float


def _conditions(solved: EventSolution) -> str:
    """The stated conditions in words."""
    stated = solved.event.conditions
    if stated is None:
        return "conditions of the mode"
    words = []
    if stated.state_of_charge is not None:
        words.append(f"charge {stated.state_of_charge:.0%}")
    if stated.temperature_c is not None:
        words.append(f"battery at {stated.temperature_c:g} °C")
    if stated.age_factor is not None:
        words.append(f"age factor {stated.age_factor:g}")
    return ", ".join(words) or "conditions of the mode"

"""One event as it is answered: how low each input goes, and why where that was asked for."""

from collections.abc import Container, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import starmap
from typing import NamedTuple

import numpy as np

from server.engine.answer import ElementShare, EventAnswer, EventInfo
from server.engine.arrays import Floats
from server.engine.best_tap import BestTaps, IsAllowed
from server.engine.event_ports import EventPorts
from server.engine.joint_split import joint_split
from server.engine.naming import Names
from server.engine.netlist_rows import Terminal
from server.engine.outcome import Outcome
from server.engine.shared_path import SagSplit
from server.engine.sides import side_of
from server.engine.solution import EventSolution, Solution

SMALLEST_SHARE_V = 1e-13
"""Shares below this are rounding; leaving them out keeps the sum within 1e-10 V."""


@dataclass(frozen=True, eq=False)
class EventReport:
    """The answers of one event; ``explained`` are the inputs whose sag is split (None: all).

    ``searches`` says whether their best taps are looked for too.
    """

    solution: Solution
    solved: EventSolution
    outcome: Outcome
    explained: Container[Terminal] | None
    is_allowed: IsAllowed | None
    searches: bool = True

    @property
    def names(self) -> Names:
        """What things are called."""
        return self.solution.names

    @cached_property
    def taps(self) -> BestTaps:
        """The best places of the explained inputs."""
        return BestTaps(self.solution, self.solved, self.outcome, self.explained, self.is_allowed)

    def of(self, key: Terminal) -> EventAnswer:
        """One input in the event."""
        solved, outcome = self.solved, self.outcome
        column, need = self._column_of[key], outcome.needs[key]
        sag, transfer = self._sag_v[column], float(self._ports.transfer_ohm[column])
        is_explained = self.explained is None or key in self.explained
        is_searched = is_explained and self.searches
        best = self.taps.of(key) if is_searched else None
        return EventAnswer(
            event=solved.event.id,
            lowest=solved.lowest[column],
            need_v=need.value_v,
            need_source=need.source,
            need_assumed=need.assumed,
            verdict=outcome.verdicts[key],
            sag_v=sag,
            heavy_alone_v=transfer * self._inrush_a,
            others_v=sag - transfer * self._inrush_a,
            transfer_resistance_ohm=transfer,
            split=self._shares(key) if is_explained else None,
            floor_v=self._floor_v(column),
            best_tap=None if best is None else best.tap,
            best_tap_v=None if best is None else best.lowest_v,
            can_restart=need.can_restart,
            unknown=tuple(self._name_of(row) for row in outcome.unknown.get(key, ())),
            common_wires=self._ports.common_wires[column],
            is_searched=is_searched,
            need_band=need.band,
        )

    def info(self) -> EventInfo:
        """The event itself."""
        solved, outcome = self.solved, self.outcome
        heavy = solved.heavy
        return EventInfo(
            event=solved.event.id,
            name=solved.event.name,
            mode=solved.event.mode,
            heavy_part=heavy[0],
            heavy_input=heavy[1],
            heavy_name=self.names.input(*heavy),
            inrush_a=self._inrush_a if self._ports.is_fed else None,
            worst_part=None if outcome.worst is None else outcome.worst[0],
            worst_lowest_v=outcome.lowest_v,
            restarts=outcome.restarts,
            conditions=_conditions(solved),
        )

    @cached_property
    def _ports(self) -> EventPorts:
        return EventPorts(self.solved)

    @cached_property
    def _inrush_a(self) -> float:
        return float(self.solved.present.current_a[self.solved.heavy_element])

    @cached_property
    def _column_of(self) -> Mapping[Terminal, int]:
        return {key: column for column, key in enumerate(self.solved.inputs)}

    @cached_property
    def _sag_v(self) -> list[float]:
        at = self.solved.elements
        sag: Floats = self.solved.absent.element_v[at] - self.solved.present.element_v[at]
        return list(map(float, sag))

    def _floor_v(self, column: int) -> float:
        """Voltage at the posts; the load's own where only another load feeds it."""
        floor = float(self._ports.floor_v[column])
        return self.solved.lowest[column].value if np.isnan(floor) else floor

    @cached_property
    def _explained_at(self) -> Mapping[Terminal, int]:
        """The explained inputs, and their columns in the split."""
        keys = [one for one in self.solved.inputs if self.explained is None or one in self.explained]
        return {key: at for at, key in enumerate(keys)}

    @cached_property
    def _split(self) -> SagSplit:
        inputs = self.solved.net.inputs
        return self.solved.split_of(np.array([inputs[key] for key in self._explained_at], np.intp))

    def _shares(self, key: Terminal) -> tuple[ElementShare, ...]:
        """The elements that add to a sag, the largest first; rows of one part are added up."""
        column, unit = self._explained_at[key], self._split.unit
        share = self._split.share_v[:, column]
        rows = np.flatnonzero(np.abs(share) > SMALLEST_SHARE_V)
        columns = (rows, share[rows], self._ohm[rows], unit[rows, column], unit[rows, -1])
        found: dict[str, list[_RowShare]] = {}
        for row in starmap(_RowShare, zip(*(one.tolist() for one in columns), strict=True)):
            found.setdefault(self.solved.net.labels[row.row].element, []).append(row)
        shares = (self._element_share(element, rows) for element, rows in found.items())
        return tuple(sorted(shares, key=lambda one: (-one.share_v, one.element)))

    def _element_share(self, element: str, rows: "list[_RowShare]") -> ElementShare:
        first = rows[0].row
        share = sum(row.share_v for row in rows)
        split = joint_split(self.solved.net, self.names.conductors, first, share)
        kind = self.solution.net.labels[first].kind
        return ElementShare(
            element=element,
            name=self._name_of(first),
            kind=kind,
            share_v=share,
            resistance_ohm=sum(row.ohm for row in rows),
            load_fraction=max((row.load_fraction for row in rows), key=abs),
            heavy_fraction=max((row.heavy_fraction for row in rows), key=abs),
            unavoidable=kind == "battery",
            side=side_of(self.solution.topology, first, kind),
            wire_v=split.wire_v,
            tail_joint_v=split.tail_joint_v,
            head_joint_v=split.head_joint_v,
        )

    def _name_of(self, row: int) -> str:
        if row not in self._names_of_rows:
            self._names_of_rows[row] = self.names.element(self.solution.net.labels[row].element)
        return self._names_of_rows[row]

    @cached_property
    def _names_of_rows(self) -> dict[int, str]:
        return {}

    @cached_property
    def _ohm(self) -> Floats:
        """Resistance of every element before the start; zero where it is none."""
        g = self.solved.absent.conductance
        return np.divide(1.0, g, out=np.zeros_like(g), where=g > 0)


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

"""A load's loop as an ordered list: battery +, out, the load, back, battery −; its volts add up."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from server.boat.boat import Boat
from server.boat.value import TerminalRef
from server.engine.answer import LoopStep
from server.engine.arrays import Floats
from server.engine.joint_split import NO_SPLIT, joint_split
from server.engine.naming import Names
from server.engine.shared_path import SagSplit
from server.engine.solution import EventSolution, Solution, UnknownModeError

SHARED_FRACTION = 0.01
"""An element is called shared from one per cent of the heavy load's current on."""


def loop(boat: Boat, part: str, terminal: str, mode_id: str, event_id: str | None) -> tuple[LoopStep, ...]:
    """The loop of one input, in the steady mode and with its share of an event's sag.

    In a mesh the way that carries most of the load's current is taken; the volts along it add up all the
    same: those of the batteries, minus all steps, are zero. Empty where the load is not fed.

    Raises:
        UnknownModeError: the boat has no such mode, event or input.
    """
    solution = Solution.of(boat, mode_id)
    key = (part, terminal)
    if key not in solution.net.inputs:
        raise UnknownModeError(f"no input “{terminal}” on “{part}”")
    solved = None if event_id is None else solution.event(event_id)
    unit = solution.source_network.unit_currents(np.array([solution.net.inputs[key]]))[:, 0]
    if np.isnan(unit).any():
        return ()
    return _Walk(solution, solved, solution.net.inputs[key], unit).steps()


@dataclass(frozen=True, eq=False)
class _Walk:
    solution: Solution
    solved: EventSolution | None
    element: int
    unit: Floats

    def steps(self) -> tuple[LoopStep, ...]:
        network = self.solution.net.network
        tail, head = int(network.tail[self.element]), int(network.head[self.element])
        out = self._way(tail, head, upstream=True)
        back = self._way(head, tail, upstream=False)
        names = Names(self.solution.boat)
        found = [
            self._step(names, row, "battery" if self._is_source(row) else "positive") for row in reversed(out)
        ]
        found.append(self._load_step(names))
        found += [self._step(names, row, "negative") for row in back]
        return tuple(found)

    def _is_source(self, row: int) -> bool:
        spans = self.solution.net.network.spans
        return bool(spans["sources"].start <= row < spans["limited"].stop)

    def _way(self, start: int, goal: int, *, upstream: bool) -> list[int]:
        """Follow the largest unit current from a node: up through the sources, or down to their negative."""
        rows, metal = list[int](), self.solution.topology.metal
        node, seen = start, {start}
        into = self._currents_by_node(upstream=upstream)
        while choices := [one for one in into.get(node, ()) if one[2] not in seen]:
            _, row, node = max(choices)
            if self._is_source(row) and not upstream:
                break
            rows.append(row)
            seen.add(node)
            if self._is_source(row) and metal[node] == metal[goal]:
                break
        return rows

    def _currents_by_node(self, *, upstream: bool) -> dict[int, list[tuple[float, int, int]]]:
        """For each node, the elements whose unit current arrives (or leaves), with their other node."""
        network = self.solution.net.network
        found: dict[int, list[tuple[float, int, int]]] = {}
        for row in np.flatnonzero(np.abs(self.unit) > SMALLEST_FLOW).tolist():
            source, drain = int(network.tail[row]), int(network.head[row])
            flow = float(self.unit[row])
            if flow < 0:
                source, drain, flow = drain, source, -flow
            here, there = (drain, source) if upstream else (source, drain)
            found.setdefault(here, []).append((flow, row, there))
        return found

    def _step(self, names: Names, row: int, side: Literal["positive", "negative", "battery"]) -> LoopStep:
        net, steady = self.solution.net, self.solution.steady
        along = 1.0 if self.unit[row] >= 0 else -1.0
        label = net.labels[row]
        volts = steady.element_v[row] * along
        if self._is_source(row):
            volts += steady.rise_v[row]
        share = self._share(row)
        split = NO_SPLIT
        if self.solved is not None:
            split = joint_split(self.solved.net, names.conductors, row, share)
        return LoopStep(
            element=label.element,
            name=names.element(label.element),
            kind=label.kind,
            steady_v=float(volts),
            share_v=share,
            load_fraction=self._load_fraction(row),
            shared=self._is_shared(row),
            side=side,
            tap=self._tap(row, along, side),
            wire_v=split.wire_v,
            tail_joint_v=split.tail_joint_v,
            head_joint_v=split.head_joint_v,
        )

    def _load_step(self, names: Names) -> LoopStep:
        label = self.solution.net.labels[self.element]
        volts = float(self.solution.steady.element_v[self.element])
        return LoopStep(
            element=label.element,
            name=names.element(label.element),
            kind=label.kind,
            steady_v=volts,
            share_v=0.0,
            load_fraction=1.0,
            shared=False,
            side="load",
            tap=None,
        )

    def _share(self, row: int) -> float:
        split = self._split
        if split is None or not self._runs_in_event:
            return 0.0
        return float(split.share_v[row, 0])

    @cached_property
    def _runs_in_event(self) -> bool:
        return self.solved is not None and self.element in self.solved.elements

    @cached_property
    def _split(self) -> SagSplit | None:
        """The load's sag in the event, split over the elements."""
        return None if self.solved is None else self.solved.split_of(np.array([self.element]))

    def _load_fraction(self, row: int) -> float:
        """In the event's conditions where there is one, as in its shares: a cold bank divides otherwise."""
        split = self._split
        if split is None or not self._runs_in_event:
            return abs(float(self.unit[row]))
        return abs(float(split.unit[row, 0]))

    def _is_shared(self, row: int) -> bool:
        split = self._split
        return split is not None and bool(abs(split.unit[row, -1]) >= SHARED_FRACTION)

    def _tap(self, row: int, along: float, side: str) -> TerminalRef | None:
        """The terminal at the element's battery end, where a lead could land instead."""
        if side == "battery":
            return None
        network, topology = self.solution.net.network, self.solution.topology
        upstream = (side == "positive") == (along > 0)
        node = int(network.tail[row] if upstream else network.head[row])
        terminals = topology.terminals_of_node.get(node, ())
        return TerminalRef(part=terminals[0][0], terminal=terminals[0][1]) if terminals else None


SMALLEST_FLOW = 1e-9
"""Unit currents below this are rounding."""

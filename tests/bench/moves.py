"""All single-lead moves of a boat at once, against a full solution of each.

Two yardsticks. The one solves a moved network, arrays to voltages: the document is not edited and no netlist
is built for it. The other does what a person's move does: the edit, and the solution of the boat that it
makes, objects to voltages.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from server.boat.boat import Boat
from server.boat.edits import MoveLead, apply
from server.boat.leads import Lead, lead
from server.engine.analysis import analyse_mode
from server.engine.lead_update import Moves
from server.engine.linearised import Linearised
from server.engine.netlist import netlist
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.places import Places
from server.engine.solution import EventSolution, Solution, event_states
from server.engine.what_if import moved_voltages, solve_moved
from tests.bench.boats import EVENT, MODE
from tests.bench.clock import timed

TAPS = 40
"""Places tried for each lead."""


@dataclass(frozen=True)
class MovesResult:
    """Every lead to forty places; times in milliseconds."""

    loads: int
    moves: int
    all_moves_ms: float
    network_each_ms: float
    times_a_network_each: float
    edit_each_ms: float
    times_an_edit_each: float
    worst_relative_difference: float
    compared: int
    solved_in_full: int


def moves_result(boat: Boat, compared: int = 200, seed: int = 1) -> MovesResult:
    """Time all moves in the event; ``compared`` of them, chosen at random, are also solved in full."""
    rng = random.Random(seed)
    solution = Solution.of(boat, MODE)
    solved = solution.event(EVENT)
    moves, edits = all_moves(boat, solution, solved, rng)
    sweep = timed(lambda: moved_voltages(Linearised(solved.present), moves, relays_held=True), runs=5)
    chosen = rng.sample(range(len(moves)), min(compared, len(moves)))
    full = timed(lambda: [solve_moved(solved.present, moves, at, True) for at in chosen], runs=2)
    edited = timed(lambda: [_edited(boat, solved, edits[at]) for at in chosen], runs=2)
    quick = sweep.result
    worst = max(
        float(np.nanmax(np.abs(quick.voltage_v[at] - point.element_v[quick.elements])))
        for at, point in zip(chosen, full.result, strict=True)
    )
    each_s = full.best_s / len(chosen)
    return MovesResult(
        loads=len(solved.inputs),
        moves=len(moves),
        all_moves_ms=sweep.best_ms,
        network_each_ms=each_s * 1e3,
        times_a_network_each=each_s * len(moves) / sweep.best_s,
        edit_each_ms=edited.best_ms / len(chosen),
        times_an_edit_each=edited.best_s / len(chosen) * len(moves) / sweep.best_s,
        worst_relative_difference=worst / boat.nominal_voltage_v,
        compared=len(chosen),
        solved_in_full=int(quick.in_full.sum()),
    )


def _edited(boat: Boat, solved: EventSolution, edit: MoveLead) -> OperatingPoint:
    """The first instant of the boat that a move makes, its relays as they stood."""
    net = netlist(apply(boat, edit), boat.modes[0], solved.event.conditions)
    _, with_heavy = event_states(net, solved.heavy)
    return operating_point(net.network, with_heavy, solved.present.states.relays)


def all_moves(
    boat: Boat, solution: Solution, solved: EventSolution, rng: random.Random
) -> tuple[Moves, list[MoveLead]]:
    """Both leads of every load to places of their own polarity, each with a length of its own.

    The edits make the same moves, with the lengths that they estimate.
    """
    places, topology, net = Places(boat), solution.topology, solved.net
    rows: list[tuple[int, int, int, float]] = []
    edits: list[MoveLead] = []
    for part, terminal in _terminals(solved):
        held = lead(boat, part, terminal, places.landings)
        row, kept = _row_and_kept(net.rows_of[str(held.last)][0], held, solved, part, terminal)
        assert held.tap is not None
        side = topology.metal[net.node(held.tap.part, held.tap.terminal)]
        spots = {net.node(*spot): spot for spot in places.candidates(held)}
        taps = sorted(node for node in spots if topology.metal[node] == side)
        for tap in rng.sample(taps, min(TAPS, len(taps))):
            rows.append((row, kept, tap, rng.uniform(0.005, 0.1)))
            edits.append(MoveLead(part=part, terminal=terminal, to=places.ref(spots[tap])))
    row_at, kept_at, tap_at, ohm = zip(*rows, strict=True)
    return Moves(np.array(row_at), np.array(kept_at), np.array(tap_at), np.array(ohm)), edits


def _terminals(solved: EventSolution) -> Iterator[tuple[str, str]]:
    for part, terminal in solved.inputs:
        yield part, terminal
        yield part, "negative"


def _row_and_kept(row: int, held: Lead, solved: EventSolution, part: str, terminal: str) -> tuple[int, int]:
    """A bench boat's lead is one wire: the end that stays is the load's own."""
    assert len(held.conductors) == 1
    return row, solved.net.node(part, terminal)


def attribution_error_v(boat: Boat) -> float:
    """The largest difference between a sag and the sum of its shares."""
    return max(
        abs(sum(share.share_v for share in seen.shared_path) - seen.sag_v)
        for one in analyse_mode(boat, MODE).loads
        for seen in one.events
    )

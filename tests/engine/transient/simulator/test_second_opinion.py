"""Second opinion on events in time: our solver and an independent general circuit simulator (ngspice).

Eight random circuits of one and two motors, and starts on demo boats, held for a tenth of a second.
Settings that work were found by trial: ``NORMAL`` for most, ``ROUGH`` where the simulator's own rounding
behind many inductances stops it ("timestep too small").
Not judged, because it does not get through with any of these settings: the workboat (it settles on a wrong
operating point before the press), the outboard boat's start under way, and the trawler's inverter surge let
go after a tenth of a second. The yacht was not tried.
The first 0.1 µs after an edge is not judged either: the simulator's contact takes 10 ns, ours no time.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from server.boat.document import read_boat
from server.engine.arrays import Floats
from server.engine.solution import Solution
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.model import circuit_of
from server.engine.transient.solver import solve
from server.papers.transient_deck import NORMAL, ROUGH, Stepping
from tests.engine.transient.simulator.opinion import AWAY_S, EDGE_S, away_from, opinion
from tests.engine.transient.strategies import random_circuit

SEED_BOATS = Path(__file__).parents[4] / "seed_boats"
LOW_V, HIGH_V, WAVE_V = 0.001, 0.005, 0.010
"""The aims set: minima, peaks, and waveforms further than ``AWAY_S`` from an edge."""
STARTS = (
    ("1-sloop", "starting", "engine-start", NORMAL),
    ("2-trawler", "starting", "engine-start", ROUGH),
    ("2-trawler", "under-way", "thruster-burst", ROUGH),
    ("2-trawler", "anchoring", "windlass-break-out", ROUGH),
    ("4-outboard", "starting", "outboard-start", NORMAL),
)


@pytest.mark.parametrize("seed", [0, 1, 2, 5, 6, 7, 12, 15])
def test_they_agree_on_random_circuits(seed: int) -> None:
    """Odd ones have two motors that overlap."""
    judge(f"random-{seed}", random_circuit(seed, motors=1 + seed % 2), NORMAL)


@pytest.mark.parametrize(("name", "mode", "event", "stepping"), STARTS)
def test_they_agree_on_demo_boats(name: str, mode: str, event: str, stepping: Stepping) -> None:
    solution = Solution.of(read_boat((SEED_BOATS / f"{name}.json").read_bytes()), mode)
    circuit = circuit_of(solution, solution.event(event))

    judge(f"{name}-{event}", held_for(circuit, 0.1), stepping)


def held_for(circuit: TransientCircuit, seconds: float) -> TransientCircuit:
    """The same, released sooner: a starter has met its lowest voltage long before."""
    motors = tuple(replace(motor, release_s=motor.press_s + seconds) for motor in circuit.motors)
    return replace(circuit, motors=motors, end_s=max(motor.release_s for motor in motors) + 0.01)


def judge(name: str, circuit: TransientCircuit, stepping: Stepping) -> None:
    """Compare extremes and waveforms across every motor, battery and draw."""
    solution = solve(circuit)
    arcs = [solution.arc_end(k) for k in range(len(circuit.motors))]
    moved = [t for motor in circuit.motors for t in (motor.press_s, motor.release_s)]
    edges = np.array([*moved, *(arc for arc in arcs if arc is not None)])
    pairs, instants = points(circuit), sampling(circuit, edges)

    theirs = opinion(name, circuit, pairs, edges, instants, stepping)

    low, high = extremes(circuit, edges)
    worst = [np.abs(x).max() for x in (low - theirs.low, high - theirs.high)]
    wave = np.abs(solution.at_times(pairs, instants) - theirs.sampled).max()
    print(
        f"{name}: lowest {worst[0] * 1e3:.3f} mV, highest {worst[1] * 1e3:.3f} mV, wave {wave * 1e3:.3f} mV"
    )
    assert worst[0] < LOW_V
    assert worst[1] < HIGH_V
    assert wave < WAVE_V


def points(circuit: TransientCircuit) -> list[tuple[int, int]]:
    """Where volts are read: motors, batteries, draws."""
    rows, draws = circuit.branches, circuit.draws
    batteries = np.flatnonzero(rows.emf_v)
    found = [(motor.tail, motor.head) for motor in circuit.motors]
    found += zip(rows.head[batteries].tolist(), rows.tail[batteries].tolist(), strict=True)
    found += zip(draws.tail.tolist(), draws.head.tolist(), strict=True)
    return list(dict.fromkeys(found))


def extremes(circuit: TransientCircuit, edges: Floats) -> tuple[Floats, Floats]:
    """Our extremes of every point over the same time: in each stretch between edges, its start left out."""
    solution, pairs = solve(circuit), points(circuit)
    starts = np.unique([*edges + EDGE_S, -1e-4])
    ends = np.unique([*edges - EDGE_S, circuit.end_s])
    found = [
        solution.extremes_of(pairs, float(start), float(end))
        for start, end in zip(starts, ends, strict=True)
        if start < end
    ]
    return np.min([one.low for one in found], axis=0), np.max([one.high for one in found], axis=0)


def sampling(circuit: TransientCircuit, edges: Floats) -> Floats:
    """Instants at which waveforms are compared: closer together after each edge."""
    after = np.geomspace(2 * AWAY_S, 0.02, 25)
    times = np.unique(np.concatenate([*(edge + after for edge in edges), np.linspace(0, circuit.end_s, 40)]))
    inside = times[(times >= 0) & (times <= circuit.end_s)]
    return inside[away_from(edges, inside, AWAY_S)]

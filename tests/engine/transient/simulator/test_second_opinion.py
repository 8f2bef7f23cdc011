"""Second opinion on events in time: our solver and an independent general circuit simulator (ngspice).

Random circuits of one and two motors, and events on the demo boats, held for a tenth of a second, all with
one set of options. What stopped the simulator before, and what the deck does about it, is in the deck.
The first 0.1 µs after an edge is not judged: the simulator's contact takes 10 ns, ours no time.
"""

from dataclasses import replace

import numpy as np
import pytest

from server.engine.arrays import Floats
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.solver import solve
from server.papers.switched_deck import with_plain_converters
from tests.engine.transient.simulator.events import Case
from tests.engine.transient.simulator.opinion import AWAY_S, EDGE_S, away_from, opinion
from tests.engine.transient.strategies import random_circuit

LOW_V, HIGH_V, WAVE_V = 0.001, 0.002, 0.003
"""Minima, peaks, and waveforms further than ``AWAY_S`` from an edge; 5 and 10 mV were the aims."""
OVERLAPPING = (("windlass", 0.0, 0.12), ("thruster", 0.03, 0.09))
AGAIN = (("windlass", 0.0, 0.1), ("windlass", 0.14, 0.2))
"""Pressed again while it still turns."""
PREHEATED = {"attempt": 2, "preheat_before_a": 60.0, "preheat_before_s": 20.0, "preheat_during_a": 60.0}
CASES = (
    Case("1-sloop", "starting", "engine-start"),
    Case("2-trawler", "starting", "engine-start"),
    Case("2-trawler", "under-way", "thruster-burst"),
    Case("2-trawler", "anchoring", "windlass-break-out"),
    Case("2-trawler", "at-anchor", "inverter-surge"),
    Case("3-workboat", "starting", "port-start"),
    Case("3-workboat", "starting", "star-start"),
    Case("3-workboat", "working", "winch-lift"),
    Case("4-outboard", "starting", "outboard-start"),
    Case("4-outboard", "under-way", "outboard-start"),
    Case("2-trawler", "anchoring", "windlass-and-thruster", OVERLAPPING),
    Case("2-trawler", "anchoring", "windlass-again", AGAIN),
    Case("1-sloop", "starting", "start-combined", (("starter", 0.0, 0.1),), positions={"combiner": "closed"}),
    Case("3-workboat", "starting", "preheated-start", (("star-starter", 0.0, 0.1),), PREHEATED),
)
YACHT = Case("5-large-yacht", "manoeuvring", "start-of-bow-thruster")


@pytest.mark.parametrize("seed", range(16))
def test_they_agree_on_random_circuits(seed: int) -> None:
    """Odd ones have two motors that overlap."""
    judge(f"random-{seed}", random_circuit(seed, motors=1 + seed % 2))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_they_agree_on_demo_boats(case: Case) -> None:
    judge(case.name, case.circuit())


def test_they_agree_on_a_yacht_of_a_thousand_conductors() -> None:
    """The whole run takes the simulator up to a minute: judged as recorded, its first 2 ms live as well.

    With capacitors at the outputs of its converters the simulator stops at the press, whatever its settings:
    here they draw what they drew before it. What they draw by what they give is compared on the workboat.
    """
    circuit = with_steady_converters(YACHT.circuit())

    judge(YACHT.name, circuit, is_live=False)
    judge(f"{YACHT.name}-at-first", replace(circuit, end_s=0.002))


def with_steady_converters(circuit: TransientCircuit) -> TransientCircuit:
    """The same, converters drawing a constant power, without capacitors at their outputs."""
    outputs = [one.output for one in circuit.converters]
    inputs = ~np.isin(np.arange(len(circuit.draws)), outputs)
    plain = with_plain_converters(circuit, ())
    return replace(
        plain,
        capacitors=circuit.capacitors.chosen(inputs),
        draws=circuit.draws.chosen(inputs),
        converters=(),
    )


def judge(name: str, circuit: TransientCircuit, *, is_live: bool = True) -> None:
    """Compare extremes and waveforms across every motor, battery and draw."""
    solution, edges = solve(circuit), edges_of(circuit)
    pairs, instants = points(circuit), sampling(circuit, edges)

    asked = with_plain_converters(circuit, solution.changes)
    theirs = opinion(name, asked, pairs, edges, instants, is_live=is_live)

    low, high = extremes(circuit, edges)
    worst = [np.abs(x).max() for x in (low - theirs.low, high - theirs.high)]
    wave = np.abs(solution.at_times(pairs, instants) - theirs.sampled).max()
    print(
        f"{name}: lowest {worst[0] * 1e3:.3f} mV, highest {worst[1] * 1e3:.3f} mV, wave {wave * 1e3:.3f} mV"
    )
    assert worst[0] < LOW_V
    assert worst[1] < HIGH_V
    assert wave < WAVE_V


def edges_of(circuit: TransientCircuit) -> Floats:
    """Instants at which a contact moves or an arc goes out."""
    solution = solve(circuit)
    arcs = [solution.arc_end(k) for k in range(len(circuit.motors))]
    moved = [t for motor in circuit.motors for t in (motor.press_s, motor.release_s)]
    return np.array([*moved, *(arc for arc in arcs if arc is not None)])


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

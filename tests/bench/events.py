"""Events in time: how long one takes, how that grows, against a simulator, bands, every tap, and memory."""

import gc
import math
import resource
import time
import tracemalloc
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from server.engine.solution import Solution
from server.engine.taps import pick_up
from server.engine.transient.at_taps import event_at_taps
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.event_bands import DRAWS
from server.engine.transient.event_in_time import EventInTime
from server.engine.transient.event_verdicts import EventVerdicts
from server.engine.transient.extremes import Extremes
from server.engine.transient.model import circuit_of
from server.engine.transient.solver import solve
from server.papers.transient_deck import NORMAL, transient_deck
from tests.bench.boats import EVENT, MODE, boat_of_conductors
from tests.engine.demo import demo_boat
from tests.engine.simulator.run import simulator
from tests.engine.transient.simulator.run import run_transient

SIZES = (50, 200, 1000)
LARGEST_SIMULATED = 200
"""The simulator takes minutes for more."""
FLAT_EVENTS = 1000
WARMING_UP = 20
"""Events before memory is first looked at: by then caches have their size."""
SHORT_S = 0.01
AWAY_S = 1e-4
"""So far from an edge waveforms are compared with the simulator's, whose contact takes its time."""


@dataclass(frozen=True)
class EventRow:
    """The engine start of one size of boat, from its circuit on; times of the processor.

    ``simulated`` is the simulator's run of the same circuit and length; None where it is not installed or the
    boat is too large for it.
    """

    conductors: int
    states: int
    loads: int
    solution_ms: float
    waveforms_ms: float
    whole_ms: float
    decomposition_ms: float
    simulated: "SimulatorRun | None"

    @property
    def decompositions(self) -> float:
        """The whole event in dense eigenvalue problems of its size: the machine's speed drops out."""
        return self.whole_ms / self.decomposition_ms

    @property
    def faster_than_simulator(self) -> float | None:
        """How many times faster the waveforms of all loads are here."""
        return None if self.simulated is None else self.simulated.took_ms / self.waveforms_ms


@dataclass(frozen=True)
class SimulatorRun:
    """The processor's time for a run, and how far its waveforms are from ours away from the edges."""

    took_ms: float
    difference_v: float


@dataclass(frozen=True)
class BandsRow:
    """An event's bands with every assumption drawn, for all loads of a boat."""

    conductors: int
    draws: int
    took_s: float


@dataclass(frozen=True)
class TapsRow:
    """A demo boat's event at every place that a held lead may take."""

    boat: str
    event: str
    places: int
    took_s: float


@dataclass(frozen=True)
class MemoryRow:
    """Memory held before and after many events, in mebibytes."""

    events: int
    before_mib: float
    after_mib: float

    @property
    def grown_mib(self) -> float:
        """How much more it is."""
        return self.after_mib - self.before_mib


def event_rows(sizes: tuple[int, ...] = SIZES) -> Iterator[EventRow]:
    """A row for each size."""
    return (_row(size) for size in sizes)


def event_growth(rows: Sequence[EventRow]) -> float:
    """The exponent with which an event's time grows with its states, between the two largest boats."""
    small, large = rows[-2:]
    return math.log(large.whole_ms / small.whole_ms) / math.log(large.states / small.states)


def bands_row(conductors: int) -> BandsRow:
    """The bands of the engine start on a boat of so many conductors."""
    solution = Solution.of(boat_of_conductors(conductors), MODE)
    event = EventInTime(solution, solution.event(EVENT))
    took_ms = processor_ms(lambda: EventVerdicts(event, draws_bands=True).drawn, runs=2)
    return BandsRow(conductors, DRAWS, took_ms / 1e3)


def taps_row(name: str, mode: str, event: str, load: tuple[str, str]) -> TapsRow:
    """A load's lead held on a demo boat: what it would see of an event at each place that breaks nothing."""
    boat = demo_boat(name)
    places = [tap.terminal for tap in pick_up(boat, *load, mode, event).taps if not tap.breaks]
    took_ms = processor_ms(lambda: event_at_taps(boat, mode, event, load, load, places), runs=3)
    return TapsRow(name, event, len(places), took_ms / 1e3)


def event_circuit(conductors: int) -> TransientCircuit:
    """The circuit of the engine start on a boat of so many conductors."""
    solution = Solution.of(boat_of_conductors(conductors), MODE)
    return circuit_of(solution, solution.event(EVENT))


def loads_answered(circuit: TransientCircuit) -> tuple[Extremes, object]:
    """Lowest, highest and mean at every load and at the motor, from the circuit on."""
    solution, pairs = solve(circuit), load_pairs(circuit)
    return solution.extremes_of(pairs), solution.averages(pairs, 0.0, circuit.end_s)


def memory_row(events: int = FLAT_EVENTS) -> MemoryRow:
    """Solve a small boat's start, cut short, many times; what Python and numpy hold before and after."""
    circuit = event_circuit(50)
    motors = tuple(replace(motor, release_s=motor.press_s + SHORT_S) for motor in circuit.motors)
    short = replace(circuit, motors=motors, end_s=2 * SHORT_S)
    tracemalloc.start()
    try:
        before_mib = _held_after(short, WARMING_UP)
        return MemoryRow(events, before_mib, _held_after(short, events))
    finally:
        tracemalloc.stop()


def _held_after(circuit: TransientCircuit, events: int) -> float:
    for _ in range(events):
        solve(circuit)
    gc.collect()
    return tracemalloc.get_traced_memory()[0] / 2**20


def _row(conductors: int) -> EventRow:
    circuit = event_circuit(conductors)
    runs = 15 if conductors <= LARGEST_SIMULATED else 2
    pairs = load_pairs(circuit)
    matrix = solve(circuit).segments[1].system.A
    return EventRow(
        conductors=conductors,
        states=len(matrix),
        loads=len(circuit.draws),
        solution_ms=processor_ms(lambda: solve(circuit), runs),
        waveforms_ms=processor_ms(lambda: solve(circuit).voltages(pairs), runs),
        whole_ms=processor_ms(lambda: loads_answered(circuit), runs),
        decomposition_ms=processor_ms(lambda: np.linalg.eig(matrix), runs),
        simulated=simulated(circuit) if conductors <= LARGEST_SIMULATED else None,
    )


def simulated(circuit: TransientCircuit) -> SimulatorRun | None:
    """The simulator's run of a circuit, its process included; None without a simulator."""
    if simulator() is None:
        return None
    deck, pairs = transient_deck(circuit, "bench", stepping=NORMAL), load_pairs(circuit)
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    theirs = run_transient(deck, pairs, len(circuit.motors), NORMAL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    took_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    motor = circuit.motors[0]
    times = np.linspace(motor.press_s + AWAY_S, motor.release_s - AWAY_S, 1000)
    volts = np.array([np.interp(times, theirs.time_s, row) for row in theirs.volts])
    return SimulatorRun(took_s * 1e3, float(np.abs(volts - solve(circuit).at_times(pairs, times)).max()))


def load_pairs(circuit: TransientCircuit) -> list[tuple[int, int]]:
    """The nodes of every load that draws, and of the motor."""
    tails = [*circuit.draws.tail.tolist(), circuit.motors[0].tail]
    heads = [*circuit.draws.head.tolist(), circuit.motors[0].head]
    return list(zip(tails, heads, strict=True))


def processor_ms(work: Callable[[], object], runs: int = 15) -> float:
    """The processor's time for some work, the least of several runs: other programs do not count."""
    took = []
    for _ in range(runs):
        begun = time.process_time()
        work()
        took.append(time.process_time() - begun)
    return min(took) * 1e3

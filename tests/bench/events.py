"""Events in time: how long one takes, how that grows, and that thousands leave no memory behind."""

import resource
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from server.engine.solution import Solution
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.extremes import Extremes
from server.engine.transient.model import circuit_of
from server.engine.transient.modes import Modes
from server.engine.transient.solver import solve
from tests.bench.boats import EVENT, MODE, boat_of_conductors

SIZES = (50, 200)
FLAT_EVENTS = 1000
WARMING_UP = 50
"""Events before memory is first looked at: by then caches and arenas have their size."""


@dataclass(frozen=True)
class EventRow:
    """The engine start of one size of boat, from its circuit on; times of the processor."""

    conductors: int
    states: int
    loads: int
    waveforms_ms: float
    extremes_and_means_ms: float
    whole_ms: float
    modes_ms: float

    @property
    def eigenvalues(self) -> float:
        """The whole event in times of one eigenvalue problem of its size: the machine's speed drops out."""
        return self.whole_ms / self.modes_ms


@dataclass(frozen=True)
class MemoryRow:
    """Memory over many events, in mebibytes of the largest resident set."""

    events: int
    before_mib: float
    after_mib: float

    @property
    def grown_mib(self) -> float:
        """How much more it was at its largest."""
        return self.after_mib - self.before_mib


def event_rows(sizes: tuple[int, ...] = SIZES) -> Iterator[EventRow]:
    """A row for each size."""
    return (_row(size) for size in sizes)


def event_circuit(conductors: int) -> TransientCircuit:
    """The circuit of the engine start on a boat of so many conductors."""
    solution = Solution.of(boat_of_conductors(conductors), MODE)
    return circuit_of(solution, solution.event(EVENT))


def loads_answered(circuit: TransientCircuit) -> tuple[Extremes, object]:
    """Lowest, highest and mean at every load and at the motor, from the circuit on."""
    solution = solve(circuit)
    tails = [*circuit.draws.tail.tolist(), circuit.motors[0].tail]
    heads = [*circuit.draws.head.tolist(), circuit.motors[0].head]
    pairs = list(zip(tails, heads, strict=True))
    return solution.extremes_of(pairs), solution.averages(pairs, 0.0, circuit.end_s)


def memory_row(events: int = FLAT_EVENTS) -> MemoryRow:
    """Solve a small boat's event many times."""
    circuit = event_circuit(50)
    for _ in range(WARMING_UP):
        loads_answered(circuit)
    before = _largest_mib()
    for _ in range(events):
        loads_answered(circuit)
    return MemoryRow(events, before, _largest_mib())


def _row(conductors: int) -> EventRow:
    circuit = event_circuit(conductors)
    waveforms_ms = processor_ms(lambda: solve(circuit))
    whole_ms = processor_ms(lambda: loads_answered(circuit))
    system = solve(circuit).segments[1].system
    return EventRow(
        conductors=conductors,
        states=len(system.A),
        loads=len(circuit.draws),
        waveforms_ms=waveforms_ms,
        extremes_and_means_ms=max(whole_ms - waveforms_ms, 0.0),
        whole_ms=whole_ms,
        modes_ms=processor_ms(lambda: Modes.of(system.A, system.size)),
    )


def processor_ms(work: Callable[[], object], runs: int = 15) -> float:
    """The processor's time for some work, the least of several runs: other programs do not count."""
    took = []
    for _ in range(runs):
        begun = time.process_time()
        work()
        took.append(time.process_time() - begun)
    return min(took) * 1e3


def _largest_mib() -> float:
    largest = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    unit = 2**20 if sys.platform == "darwin" else 2**10
    return largest / unit

"""Events leave no memory behind; the bench solves a thousand of them."""

import gc
import tracemalloc

import pytest

from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.solver import solve
from tests.engine.transient.loops import MOTOR, circuit
from tests.engine.transient.strategies import random_circuit

WARMING_UP = 5
MOST_LEFT = 0.05
"""The most an event may leave, as a share of what a solved one holds: scipy keeps a hundred bytes or so."""


@pytest.mark.parametrize(
    ("plan", "events"), [(circuit(MOTOR), 100), (random_circuit(10), 10)], ids=["smallest", "electronics"]
)
def test_an_event_leaves_next_to_nothing_of_what_it_held(plan: TransientCircuit, events: int) -> None:
    tracemalloc.start()
    try:
        left_by(plan, WARMING_UP)
        solution = solve(plan)
        held = tracemalloc.get_traced_memory()[0]
        del solution
        gc.collect()
        one = held - tracemalloc.get_traced_memory()[0]

        assert one > 0
        assert left_by(plan, events) / events < MOST_LEFT * one
    finally:
        tracemalloc.stop()


def left_by(plan: TransientCircuit, events: int) -> int:
    """Bytes that are held after solving an event so often, beyond those held before."""
    before = tracemalloc.get_traced_memory()[0]
    for _ in range(events):
        solve(plan)
    gc.collect()
    return tracemalloc.get_traced_memory()[0] - before

"""Steps do not matter: halved, ours move no extreme by more than 0.1 mV, the simulator's by less than 1."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from server.engine.transient.march import March
from server.engine.transient.segment import Motion
from server.engine.transient.solution import TransientSolution
from server.engine.transient.solver import solve
from server.papers.transient_deck import NORMAL
from tests.engine.transient.simulator.events import Case
from tests.engine.transient.simulator.opinion import opinion
from tests.engine.transient.simulator.test_second_opinion import CASES, LOW_V, edges_of, points, sampling

OURS_V = 1e-4
FINER = replace(NORMAL, longest_step_s=NORMAL.longest_step_s / 2, relative=NORMAL.relative / 8)
"""Half the longest step, and elsewhere half of each: the error of its method grows as the third power."""


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_halved_steps_move_no_extreme(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    circuit = case.circuit()
    whole = solve(circuit)
    as_found = March._accurate_step

    def halved(march: March, exponent: int) -> tuple[Any, int]:
        step, following = as_found(march, exponent)
        half = round(2 * math.log2(step.table.span)) - 2
        found = march.stepper.step(march.now, march.motors, half)
        assert found is not None
        return found, following

    monkeypatch.setattr(March, "_accurate_step", halved)
    finer = solve(circuit)

    assert steps(finer) > 1.5 * steps(whole)
    coarse, fine = (one.extremes_of(points(circuit), one.start_s) for one in (whole, finer))
    moved = max(np.abs(fine.low - coarse.low).max(), np.abs(fine.high - coarse.high).max())
    print(f"{case.name}: {steps(whole)} steps, halved {steps(finer)}: {moved * 1e3:.2g} mV")
    assert moved < OURS_V


def steps(solution: TransientSolution) -> int:
    """How many steps an answer took in its nonlinear stretches."""
    return sum(
        len(one.starts) for one in solution.segments if isinstance(one, Motion) and len(one.starts) > 1
    )


def test_the_simulators_own_steps_halved_move_its_extremes_by_less_than_the_aim() -> None:
    case = CASES[0]
    circuit = case.circuit()
    edges = edges_of(circuit)
    pairs, instants = points(circuit), sampling(circuit, edges)

    coarse = opinion(case.name, circuit, pairs, edges, instants)
    fine = opinion(f"{case.name}-finer", circuit, pairs, edges, instants, FINER)

    moved = max(np.abs(fine.low - coarse.low).max(), np.abs(fine.high - coarse.high).max())
    print(f"{case.name}: the simulator's extremes move by {moved * 1e3:.3g} mV")
    assert moved < LOW_V

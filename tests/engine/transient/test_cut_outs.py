"""A draw that passes its cut-out within a step: the step ends there, and what follows is exact too.

A load of constant current is a straight line on both sides of its cut-out, so that each side has a closed
form: x(t) = e^{A t} x₀ and what stands still, with the matrix exponential of another library.
"""

import math
from functools import partial

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import expm
from scipy.optimize import brentq

from server.engine.arrays import Floats
from server.engine.transient.march import falls
from server.engine.transient.segment import Motion
from server.engine.transient.solution import TransientSolution
from server.engine.transient.solver import solve
from tests.engine.transient.loops import BATTERY, LEAD, MOTOR, circuit

AMPS, CUT_OUT_V = 8.0, 9.0
FEEDER = (2, 3, 0.05, 4e-6, 0.0)
FARAD, ESR = 4e-3, 0.01
CAPACITOR = (3, 0, FARAD, ESR)
UP_OHM, UP_HENRY = 0.02, 1e-5
"""Battery and lead together."""


def side(*, below: bool) -> tuple[Floats, Floats, Floats]:
    """One side's x' = A x + b of motor and feeder current and capacitor voltage; v = c·x + d at the draw."""
    conductance, amps = (AMPS / CUT_OUT_V, 0.0) if below else (0.0, AMPS)
    share = 1 / (1 + ESR * conductance)
    volts = np.array([0.0, ESR * share, share, -ESR * share * amps])
    drawn = conductance * volts + np.array([0.0, 0.0, 0.0, amps])
    mass = np.array([[UP_HENRY + 20e-6, UP_HENRY], [UP_HENRY, UP_HENRY + 4e-6]])
    forces = np.array(
        [
            [-UP_OHM - 0.02, -UP_OHM, 0.0, 12.0],
            np.array([-UP_OHM, -UP_OHM - 0.05, 0.0, 12.0]) - volts,
        ]
    )
    charging = (np.array([0.0, 1.0, 0.0, 0.0]) - drawn) / FARAD
    rows = np.vstack([np.linalg.solve(mass, forces), charging])
    return rows[:, :3], rows[:, 3], volts


def moved(rows: tuple[Floats, Floats, Floats], x: Floats, span: float) -> Floats:
    """A state after a span on one side: its distance from where it would stand still, in exponentials."""
    A, b, _ = rows
    still = np.linalg.solve(A, -b)
    found: Floats = still + expm(A * span) @ (x - still)
    return found


def at_draw(rows: tuple[Floats, Floats, Floats], x: Floats) -> float:
    return float(rows[2] @ np.append(x, 1.0))


def passings(solution: TransientSolution) -> list[float]:
    return [at for one in solution.segments if isinstance(one, Motion) for at in one.edges.tolist()]


def test_a_constant_current_passes_its_cut_out_as_its_closed_form_does() -> None:
    above, below = side(below=False), side(below=True)
    start = np.array([0.0, AMPS, 12.0 - AMPS * (UP_OHM + 0.05)])
    passes = float(
        brentq(lambda t: at_draw(above, moved(above, start, t)) - CUT_OUT_V, 1e-6, 2e-3, xtol=1e-15)
    )
    there = moved(above, start, passes)
    draw = (3, 0, AMPS, 0.0, CUT_OUT_V)

    solution = solve(circuit(MOTOR, branches=(BATTERY, LEAD, FEEDER), capacitors=(CAPACITOR,), draws=(draw,)))

    assert passings(solution)[0] == pytest.approx(passes, abs=1e-9)
    later = passes + np.array([1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 0.1])
    expected = [at_draw(below, moved(below, there, t - passes)) for t in later]
    assert expected[-1] < CUT_OUT_V - 1.0
    assert solution.at_times([(3, 0)], later)[0] == pytest.approx(expected, abs=2e-6)


def test_alike_draws_pass_together_and_come_back() -> None:
    """Each of two alike is what one alone sees with half of what it shares with the other."""
    twin = ((2, 4, 0.05, 4e-6, 0.0), (4, 0, FARAD, ESR), (4, 0, 60.0, 1.0, CUT_OUT_V))
    both = solve(
        circuit(
            MOTOR,
            branches=(BATTERY, LEAD, FEEDER, twin[0]),
            capacitors=(CAPACITOR, twin[1]),
            draws=((3, 0, 60.0, 1.0, CUT_OUT_V), twin[2]),
        )
    )
    alone = solve(
        circuit(
            MOTOR,
            branches=(BATTERY, LEAD, (2, 3, 0.025, 2e-6, 0.0)),
            capacitors=((3, 0, 2 * FARAD, ESR / 2),),
            draws=((3, 0, 120.0, 1.0, CUT_OUT_V),),
        )
    )

    assert len(passings(alone)) == 2
    assert passings(both) == pytest.approx(passings(alone), abs=1e-9)
    times = np.linspace(0.0, 0.6, 500)
    first, second = both.at_times([(3, 0), (4, 0)], times)
    assert first == pytest.approx(second, abs=1e-9)
    assert first == pytest.approx(alone.at_times([(3, 0)], times)[0], abs=2e-5)


def test_a_constant_power_passes_its_cut_out_as_an_integrator_says() -> None:
    """Held to Runge-Kutta steps of 1e-11 that end at the cut-out, on either side of it with its own law."""
    watts = 100.0
    solution = solve(
        circuit(
            MOTOR,
            branches=(BATTERY, LEAD, FEEDER),
            capacitors=((3, 0, FARAD, 0.0),),
            draws=((3, 0, watts, 1.0, CUT_OUT_V),),
        )
    )
    mass = np.array([[UP_HENRY + 20e-6, UP_HENRY], [UP_HENRY, UP_HENRY + 4e-6]])

    def slopes(x: Floats, amps: float) -> Floats:
        up = 12.0 - UP_OHM * (x[0] + x[1])
        rising = np.linalg.solve(mass, [up - 0.02 * x[0], up - 0.05 * x[1] - x[2]])
        return np.array([*rising, (x[1] - amps) / FARAD])

    def passing(_: float, x: Floats) -> float:
        return float(x[2]) - CUT_OUT_V

    passing.terminal = True  # type: ignore[attr-defined]
    at_rest = watts / ((12.0 + math.sqrt(144.0 - 4 * 0.07 * watts)) / 2)
    start = [0.0, at_rest, 12.0 - 0.07 * at_rest]
    accurate = partial(solve_ivp, method="DOP853", rtol=1e-11, atol=1e-12)
    above = accurate(lambda _, x: slopes(x, watts / x[2]), (0.0, 0.1), start, events=passing)
    passes, there = float(above.t[-1]), above.y[:, -1]
    times = [1e-5, 1e-4, 1e-3, 1e-2]
    below = [
        accurate(lambda _, x: slopes(x, watts * x[2] / CUT_OUT_V**2), (0.0, t), there).y[2, -1] for t in times
    ]

    assert passings(solution)[0] == pytest.approx(passes, abs=1e-8)
    assert solution.at_times([(3, 0)], passes + np.array(times))[0] == pytest.approx(below, abs=2e-6)


@pytest.mark.parametrize(("fall_at", "found"), [(0.25, 0.25), (-1e-17, 0.0), (1.0 + 1e-16, 1.0), (2.0, 1.0)])
def test_a_fall_that_rounding_puts_on_an_end_is_found_there(fall_at: float, found: float) -> None:
    assert falls(lambda sigma: fall_at - sigma, 0.0, 1.0) == pytest.approx(found, abs=1e-14)

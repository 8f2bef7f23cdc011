"""Motors from what is known: they do at their running point, and in their run-up, what was entered."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from server.engine.transient.motor_figures import (
    RUN_UP,
    KnownMotor,
    UnfitMotorError,
    motor_constants,
    run_up_time,
)

MAGNET = KnownMotor(
    ohm=0.025, running_a=100.0, running_v=11.0, run_up_s=0.3, load_share=0.0, winding="permanent-magnet"
)
SERIES = replace(MAGNET, winding="series", load_share=0.7)


@pytest.mark.parametrize("known", [MAGNET, SERIES], ids=["permanent-magnet", "series"])
def test_at_its_running_point_a_motor_takes_its_running_current(known: KnownMotor) -> None:
    """U = R·I + e and, at steady speed, e·I = friction + load."""
    made = motor_constants(known)
    flux_v = made.flux_v + made.flux_ohm * known.running_a

    assert known.ohm * known.running_a + flux_v == pytest.approx(known.running_v)
    assert flux_v * known.running_a == pytest.approx(made.friction_w + made.load_w)
    assert made.load_w == pytest.approx(known.load_share * flux_v * known.running_a)


def test_a_magnet_motor_runs_up_exponentially() -> None:
    """Closed form: J ds/dt = φ(U - φ s)/R - f s is first order with τ = J / (φ²/R + f)."""
    made = motor_constants(MAGNET)
    tau = made.inertia_j / (made.flux_v**2 / MAGNET.ohm + made.friction_w)

    assert tau * math.log(1 / (1 - RUN_UP)) == pytest.approx(MAGNET.run_up_s)


@pytest.mark.parametrize("known", [MAGNET, SERIES, replace(SERIES, load_share=0.95)])
def test_the_run_up_lasts_as_long_as_was_entered(known: KnownMotor) -> None:
    """The equation of motion integrated step by step (scipy) instead of by quadrature."""
    made = motor_constants(known)

    def rise(_: float, speed: np.ndarray) -> np.ndarray:
        amps = (known.running_v - made.flux_v * speed) / (known.ohm + made.flux_ohm * speed)
        turning = (made.flux_v + made.flux_ohm * amps) * amps
        return np.asarray((turning - made.friction_w * speed - made.load_w) / made.inertia_j)

    run = solve_ivp(rise, (0.0, known.run_up_s), [0.0], rtol=1e-9, atol=1e-12)

    assert run.y[0, -1] == pytest.approx(RUN_UP, abs=1e-6)
    assert run_up_time(known, made) == pytest.approx(known.run_up_s)


@pytest.mark.parametrize("running_a", [500.0, 440.0, 0.0])
def test_currents_that_contradict_each_other_are_refused(running_a: float) -> None:
    """440 A through 25 mΩ take all of the 11 V: nothing is left to turn the motor."""
    with pytest.raises(UnfitMotorError, match="check inrush and running current"):
        motor_constants(replace(MAGNET, running_a=running_a))

"""Two motors alike on one lead do the same at the same instants, whichever of them is looked at first."""

from dataclasses import replace

import numpy as np
import pytest

from server.engine.transient.solver import solve
from tests.engine.transient.loops import MOTOR, circuit

LOADED = replace(MOTOR, flux_v=8.0, friction_w=20.0, inertia_j=30.0)


@pytest.mark.parametrize("load_w", [150.0, 300.0, 450.0, 600.0])
def test_twins_break_loose_at_the_same_instant_and_turn_alike(load_w: float) -> None:
    one = replace(LOADED, load_w=load_w)
    solved = solve(circuit(one, replace(one, name="Twin"), end_s=0.6))
    instants = np.linspace(0.0, 0.45, 46)

    speeds = [np.interp(instants, *solved.motor_speed(number)) for number in (0, 1)]
    amps = [[solved.motor_current_at(number, at_s) for at_s in instants] for number in (0, 1)]

    assert speeds[0][-1] > 0.1
    assert speeds[0] == pytest.approx(speeds[1], rel=1e-9, abs=1e-12)
    assert amps[0] == pytest.approx(amps[1], rel=1e-9, abs=1e-9)


def test_a_motor_breaks_loose_where_its_torque_meets_its_load() -> None:
    """At rest flux·i = load; behind one resistance i rises as E/R (1 - exp(-t R/L))."""
    one = replace(LOADED, load_w=300.0)
    solved = solve(circuit(one, replace(one, name="Twin"), end_s=0.6))
    resistance, inductance = 0.02 + one.ohm / 2, 10e-6 + one.leakage_henry / 2
    needed_a = 2 * one.load_w / one.flux_v
    loose_s = -inductance / resistance * np.log(1 - needed_a * resistance / 12.0)

    times, speed = solved.motor_speed(0)
    assert float(times[speed > 0][0]) > loose_s - 1e-9
    assert solved.motor_current_at(0, loose_s) == pytest.approx(needed_a / 2, rel=1e-6)

"""A motor that is pressed again: while it still turns, after it stopped, while its arc still burns."""

from dataclasses import replace

import numpy as np
import pytest

from server.engine.network import Loads
from server.engine.transient.circuit import (
    Arc,
    Branches,
    Capacitors,
    MotorDrive,
    TransientCircuit,
    TransientError,
)
from server.engine.transient.solver import solve
from tests.engine.transient.simulator.events import Case

E, R = 12.0, 0.04
FIRST = MotorDrive(
    name="Windlass",
    tail=1,
    head=0,
    ohm=R - 0.01,
    leakage_henry=2e-5,
    main_henry=0.0,
    eddy_ohm=None,
    winding="permanent-magnet",
    flux_v=10.0,
    flux_ohm=0.0,
    inertia_j=20.0,
    friction_w=50.0,
    load_w=0.0,
    ripple_fraction=0.0,
    ripples_per_s_at_speed=0.0,
    arc=Arc(18.0, 2e4),
    press_s=0.0,
    release_s=0.2,
)


def pressed_again(at_s: float, load_w: float = 0.0) -> TransientCircuit:
    first = replace(FIRST, load_w=load_w)
    again = replace(first, press_s=at_s, release_s=at_s + 0.2, continues=0)
    return TransientCircuit(
        nodes=2,
        branches=Branches.of([(0, 1, 0.01, 0.0, E)]),
        capacitors=Capacitors.of([]),
        draws=Loads.of([]),
        motors=(first, again),
        end_s=at_s + 0.3,
    )


def test_a_coasting_motor_takes_its_speed_into_the_next_press() -> None:
    """J s' = -f s without a load: s = s₀ e^{-f t/J}; then its current rises towards (E - Φ s)/R."""
    solution = solve(pressed_again(0.5))
    out = solution.arc_end(0)
    assert out is not None
    time, speed = solution.motor_speed(0)

    released = np.interp(out + 1e-6, time, speed)
    taken = released * np.exp(-50.0 / 20.0 * (0.5 - out))
    assert 0.3 < taken < 0.9
    assert np.interp(0.4999999, time, speed) == pytest.approx(taken, rel=1e-4)  # a chord of the waveform
    assert np.interp(0.5000001, time, speed) == pytest.approx(taken, rel=1e-5)
    rest, turning = (solution.motor_current(number)[1].max() for number in (0, 1))
    assert turning < (E - 10.0 * taken) / R
    assert turning == pytest.approx(rest * (E - 10.0 * taken) / E, rel=0.05)


def test_a_motor_that_has_stopped_begins_anew() -> None:
    """Its second current is its first one, later: the time-shift law."""
    solution = solve(pressed_again(2.0, load_w=400.0))

    _, speed = solution.motor_speed(0)
    assert not speed[-1]
    for after_s in (1e-4, 1e-3, 0.05, 0.19):
        first, second = (solution.motor_current_at(n, press + after_s) for n, press in ((0, 0.0), (1, 2.0)))
        assert second == pytest.approx(first, rel=1e-6)


def test_pressed_into_its_own_arc_it_is_refused_by_name() -> None:
    with pytest.raises(
        TransientError, match="Windlass: pressed again while the arc of its last release burns"
    ):
        solve(pressed_again(0.2 + 1e-6))


def test_a_boats_motor_pressed_twice_is_one_motor() -> None:
    """The windlass, 40 ms after its release, still turns, so it draws less than at its first press."""
    again = Case("2-trawler", "anchoring", "again", (("windlass", 0.0, 0.1), ("windlass", 0.14, 0.2)))
    both = Case("2-trawler", "anchoring", "both", (("windlass", 0.0, 0.1), ("thruster", 0.14, 0.2)))

    circuit = again.circuit()

    assert [motor.continues for motor in circuit.motors] == [None, 0]
    assert [motor.continues for motor in both.circuit().motors] == [None, None]
    first, second = (solve(circuit).motor_current(number)[1].max() for number in (0, 1))
    assert second < 0.95 * first

"""A source whose EMF follows a wave in time, against closed forms (any textbook: ramps into R-L and R-C)."""

from dataclasses import replace

import numpy as np
import pytest

from server.engine.arrays import Floats
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.solution import TransientSolution
from server.engine.transient.solver import solve
from server.engine.transient.supply import Supply
from tests.engine.transient.loops import MOTOR, circuit

OHM, HENRY = 0.5, 1e-3
"""The whole loop; its time constant is 2 ms, which the corners of the wave are not far apart for."""
SOURCE = (0.0, 1.0, 0.1, 0.0, 12.0)
LEAD = (1.0, 2.0, 0.15, HENRY, 0.0)
LAMP = (2.0, 0.0, 0.25, 0.0, 0.0)
CORNERS_S = np.array([0.0, 0.005, 0.02, 0.07, 0.3, 0.4])
RISE_V = np.array([0.0, -7.5, -7.5, -5.5, -5.5, 0.0])
"""The dip of ISO 16750-2's level II (verified row), its plateau cut to 0.23 s."""
INSTANTS = np.concatenate([CORNERS_S[1:] - 1e-6, CORNERS_S[:-1] + 1e-6, np.linspace(-1e-3, 0.499, 173)])


def supplied(of: TransientCircuit, rows: tuple[int, ...] = (0,), share: float = 1.0) -> TransientSolution:
    wave = Supply(np.array(rows), np.full(len(rows), share), CORNERS_S, RISE_V)
    return solve(replace(of, supplies=(wave,)))


def ramped(times: Floats, tau: float) -> Floats:
    """What follows the wave as τ y' = u - y: every change of slope adds k·(t - τ (1 - e^{-t/τ}))."""
    slopes = np.concatenate([np.diff(RISE_V) / np.diff(CORNERS_S), [0.0]])
    found = np.zeros(len(times))
    for at, change in zip(CORNERS_S, np.diff(slopes, prepend=0.0), strict=True):
        since = np.maximum(times - at, 0.0)
        found += change * (since + tau * np.expm1(-since / tau))
    return found


def test_a_lamp_behind_a_coil_follows_every_slope_with_the_time_constant_of_its_loop() -> None:
    solution = supplied(circuit(branches=(SOURCE, LEAD, LAMP), end_s=0.5))

    lamp = solution.at_times([(2, 0)], INSTANTS)[0]
    assert lamp == pytest.approx((12.0 + ramped(INSTANTS, HENRY / OHM)) / 2, abs=1e-9)


def test_a_charged_input_follows_every_slope_with_the_time_constant_of_its_lead() -> None:
    """A capacitance without a load behind 0.25 Ω: RC = 5 ms."""
    lead = (1.0, 2.0, 0.15, 0.0, 0.0)
    solution = supplied(circuit(branches=(SOURCE, lead), capacitors=((2.0, 0.0, 0.02, 1e-9),), end_s=0.5))

    held = solution.at_times([(2, 0)], INSTANTS)[0]
    assert held == pytest.approx(12.0 + ramped(INSTANTS, 0.02 * 0.25), abs=1e-6)


def test_two_halves_in_series_make_the_whole_wave() -> None:
    """Superposition: two sources of half the EMF and half the wave each are one of both."""
    halves = ((0.0, 3.0, 0.05, 0.0, 6.0), (3.0, 1.0, 0.05, 0.0, 6.0))
    one = supplied(circuit(branches=(SOURCE, LEAD, LAMP), end_s=0.5))
    two = supplied(circuit(branches=(*halves, LEAD, LAMP), end_s=0.5), (0, 1), 0.5)

    volts = [found.at_times([(2, 0)], INSTANTS)[0] for found in (one, two)]
    assert volts[1] == pytest.approx(volts[0], abs=1e-12)


def test_the_lowest_and_the_average_are_those_of_the_closed_form() -> None:
    solution = supplied(circuit(branches=(SOURCE, LEAD, LAMP), end_s=0.5))
    fine = np.linspace(0.0, 0.5, 500_001)
    exact = (12.0 + ramped(fine, HENRY / OHM)) / 2

    low, low_at, _, _ = solution.extremes(2, 0)

    assert low == pytest.approx(exact.min(), abs=1e-9)
    assert low_at == pytest.approx(fine[exact.argmin()], abs=2e-6)
    assert solution.average(2, 0, 0.0, 0.5) == pytest.approx(np.trapezoid(exact, fine) / 0.5, abs=1e-8)


def test_a_draw_of_constant_power_stands_on_the_curve_of_its_power() -> None:
    """Slow against its lead, 30 W behind R: v = u/2 + sqrt(u²/4 - P R) at every instant of the plateau."""
    lead = (1.0, 2.0, 0.15, 1e-5, 0.0)
    solution = supplied(
        circuit(
            branches=(SOURCE, lead),
            capacitors=((2.0, 0.0, 1e-3, 0.05),),
            draws=((2.0, 0.0, 30.0, 1.0, 4.0),),
            end_s=0.5,
        )
    )

    late = np.linspace(0.1, 0.29, 20)
    assert solution.at_times([(2, 0)], late)[0] == pytest.approx(3.25 + np.sqrt(3.25**2 - 30 * 0.25))


def test_a_motor_is_pressed_while_the_supply_is_low() -> None:
    """Pressed on the plateau, the winch without flux settles at 6.5 V · 20 / (20 + 10 + 10) of its loop."""
    winch = replace(MOTOR, press_s=0.1, release_s=0.25)
    battery, lead = (0.0, 1.0, 0.01, 1e-6, 12.0), (1.0, 2.0, 0.01, 9e-6, 0.0)
    solution = supplied(circuit(winch, branches=(battery, lead), end_s=0.5))

    at = solution.at_times([(2, 0)], np.array([0.09, 0.2, 0.35]))[0]
    assert at == pytest.approx([6.5, 3.25, 12.0 - 5.5 / 2], abs=1e-9)


def test_a_branchs_parts_add_up_to_its_voltage_on_the_way() -> None:
    """Resistance, inductance and source of every branch are its voltage; the source has the wave in it."""
    solution = supplied(circuit(branches=(SOURCE, LEAD, LAMP), end_s=0.5))

    for at in (0.001, 0.01, 0.05, 0.35):
        parts = solution.branch_volts(at)
        whole = [solution.at(tail, head, at) for tail, head in ((0, 1), (1, 2), (2, 0))]
        assert np.sum(parts, axis=0) == pytest.approx(whole, abs=1e-9)
        assert -parts.source_v[0] == pytest.approx(12.0 + np.interp(at, CORNERS_S, RISE_V), abs=1e-12)


def test_before_its_first_corner_a_supply_is_at_rest() -> None:
    """A winch pressed at zero, the wave from 0.2 s on: until then it has the whole 12 V, half at its stud."""
    battery, lead = (0.0, 1.0, 0.01, 1e-6, 12.0), (1.0, 2.0, 0.01, 9e-6, 0.0)
    wave = Supply(np.array([0]), np.ones(1), CORNERS_S + 0.2, RISE_V)
    solution = solve(replace(circuit(MOTOR, branches=(battery, lead), end_s=0.6), supplies=(wave,)))

    at = solution.at_times([(2, 0)], np.array([0.1, 0.199, 0.4]))[0]
    assert at == pytest.approx([6.0, 6.0, 3.25], abs=1e-9)

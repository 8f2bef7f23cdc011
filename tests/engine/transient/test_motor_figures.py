"""Motors from what is known: they do at their running point, and in their run-up, what was entered."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from server.engine.transient.motor_figures import (
    LEAST_SHARE,
    RUN_UP,
    KnownMotor,
    MotorConstants,
    UnfitMotorError,
    constants_at,
    current_at,
    current_top,
    motor_constants,
    run_up_time,
)

MAGNET = KnownMotor(
    inrush_a=400.0,
    inrush_v=10.0,
    running_a=100.0,
    running_v=11.0,
    run_up_s=0.3,
    load_share=0.0,
    winding="permanent-magnet",
    leakage_henry=5e-6,
    main_henry=175e-6,
)
SERIES = replace(MAGNET, winding="series", load_share=0.7)
SATURATED = replace(SERIES, saturation_a=100.0)
ALL = pytest.mark.parametrize("known", [MAGNET, SERIES, SATURATED], ids=["magnet", "series", "saturated"])


def flux(known: KnownMotor, made: MotorConstants, amps: float) -> float:
    """Back-EMF at running speed: constant, or by Froelich's law."""
    return made.flux_v + made.flux_ohm * amps / (1 + amps / known.saturation_a)


def run(known: KnownMotor, made: MotorConstants, volts: float, henry: float, end_s: float) -> np.ndarray:
    """Currents and speeds (rows) of a start at a constant voltage, integrated step by step by scipy."""

    def slopes(_: float, y: np.ndarray) -> list[float]:
        amps, speed = y
        turning = flux(known, made, amps) * amps - made.friction_w * speed - made.load_w
        current = (volts - made.ohm * amps - flux(known, made, amps) * speed) / henry
        return [current, max(turning, 0.0) / made.inertia_j]

    found = solve_ivp(slopes, (0.0, end_s), [0.0, 0.0], rtol=1e-8, atol=1e-8, max_step=end_s / 2000)
    return np.asarray(found.y)


@ALL
def test_at_its_running_point_a_motor_takes_its_running_current(known: KnownMotor) -> None:
    """U = R·I + e and, at steady speed, e·I = friction + load."""
    made = motor_constants(known)
    back_emf_v = flux(known, made, known.running_a)

    assert made.ohm * known.running_a + back_emf_v == pytest.approx(known.running_v)
    assert back_emf_v == pytest.approx(made.back_emf_v)
    assert back_emf_v * known.running_a == pytest.approx(made.friction_w + made.load_w)
    assert made.load_w == pytest.approx(known.load_share * (made.friction_w + made.load_w))


@ALL
def test_its_current_rises_to_the_inrush_current(known: KnownMotor) -> None:
    """At the inrush voltage the top of the current, integrated by scipy, is what was entered."""
    made = motor_constants(known)
    henry = known.leakage_henry + made.main_henry

    amps = run(known, made, known.inrush_v, henry, 0.06)[0]

    assert amps.max() == pytest.approx(known.inrush_a, rel=3e-3)
    assert made.ohm < known.inrush_ohm


def test_without_inductance_the_resistance_is_inrush_voltage_over_inrush_current() -> None:
    """The steady network's first instant, where nothing holds the current back."""
    made = motor_constants(replace(SERIES, leakage_henry=0.0, main_henry=0.0))

    assert made.ohm == pytest.approx(10.0 / 400.0)


def test_with_ever_less_inductance_the_resistance_comes_up_to_that() -> None:
    shares = [
        motor_constants(replace(SERIES, leakage_henry=5e-6 * k, main_henry=175e-6 * k)).ohm
        / SERIES.inrush_ohm
        for k in (1.0, 0.1, 0.01, 0.001)
    ]

    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0, abs=0.02)


def test_a_motor_that_turns_too_soon_is_given_less_main_inductance() -> None:
    """A winch of six times its running current at first, unsaturated: its flux would choke it before."""
    winch = replace(SERIES, inrush_a=420.0, running_a=70.0, load_share=0.2, main_henry=400e-6)
    made = motor_constants(winch)

    assert made.ohm == pytest.approx(LEAST_SHARE * winch.inrush_ohm)
    assert made.main_henry < winch.main_henry
    assert current_top(winch, made) == pytest.approx(winch.inrush_a, rel=1e-3)


def test_a_magnet_motor_runs_up_exponentially() -> None:
    """Closed form: J ds/dt = φ(U - φ s)/R - f s is first order with τ = J / (φ²/R + f)."""
    made = motor_constants(MAGNET)
    tau = made.inertia_j / (made.flux_v**2 / made.ohm + made.friction_w)

    assert tau * math.log(1 / (1 - RUN_UP)) == pytest.approx(MAGNET.run_up_s)


@ALL
def test_the_run_up_lasts_as_long_as_was_entered(known: KnownMotor) -> None:
    """The equation of motion integrated by scipy, the inductance small, instead of by quadrature."""
    made = constants_at(known, 0.8 * known.inrush_ohm, 0.0)

    speed = run(known, made, known.running_v, 1e-6, known.run_up_s)[1]

    assert speed[-1] == pytest.approx(RUN_UP, abs=1e-3)
    assert run_up_time(known, made) == pytest.approx(known.run_up_s)


@ALL
def test_current_and_speed_agree_on_the_voltage(known: KnownMotor) -> None:
    """U = R i + flux(i) s at any speed; the running current at running speed."""
    made = motor_constants(known)
    speeds = np.array([0.0, 0.3, 1.0])
    amps = current_at(known, made, speeds)

    back = np.array([flux(known, made, one) for one in amps.tolist()]) * speeds
    assert made.ohm * amps + back == pytest.approx(np.full(3, known.running_v))
    assert amps[-1] == pytest.approx(known.running_a)


def test_iron_that_saturates_keeps_the_current_up() -> None:
    """At half speed the flux of a saturated motor is less, so that it draws more."""
    half = np.array([0.5])
    plain, saturated = (
        float(current_at(one, constants_at(one, 0.02, 0.0), half)[0]) for one in (SERIES, SATURATED)
    )

    assert saturated > plain


@pytest.mark.parametrize("running_a", [500.0, 440.0, 0.0])
def test_currents_that_contradict_each_other_are_refused(running_a: float) -> None:
    """440 A through 25 mΩ take all of the 11 V: nothing is left to turn the motor."""
    with pytest.raises(UnfitMotorError, match="check both currents"):
        motor_constants(replace(MAGNET, running_a=running_a))

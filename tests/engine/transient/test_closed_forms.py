"""Events in time known from a closed form, or from an integrator on equations set up by hand."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from server.engine.arrays import Floats
from server.engine.network import Loads, Network, Resistors, Sources
from server.engine.operating_point import operating_point
from server.engine.transient.circuit import Arc
from server.engine.transient.solver import solve
from tests.engine.transient.loops import BATTERY, LEAD, MOTOR, SERIES, circuit

E, R, L = 12.0, 0.04, 30e-6
"""The whole loop of battery, lead and motor without flux."""
AFTER_PRESS = np.logspace(-7, -1, 40)


def test_current_rises_with_the_time_constant_of_the_loop() -> None:
    """The current is E/R·(1 - e^{-t R/L}) (any textbook: R-L circuit)."""
    solution = solve(circuit(MOTOR))

    current = [solution.motor_current_at(0, t) for t in AFTER_PRESS]
    volts = solution.at_times([(2, 0)], AFTER_PRESS)[0]
    assert current == pytest.approx(E / R * -np.expm1(-AFTER_PRESS * R / L), rel=1e-9)
    assert volts == pytest.approx(
        E - 0.02 * E / R + (0.02 - R * 10 / 30) * E / R * np.exp(-AFTER_PRESS * R / L)
    )


def test_the_stud_falls_at_once_to_the_inductive_divider() -> None:
    """At the first instant the current is zero and the volts divide as inductances: 12 V · 20 µH / 30 µH."""
    time, volts = solve(circuit(MOTOR)).between(2, 0)

    at_press = volts[time == 0.0]
    assert at_press == pytest.approx([12.0, 8.0], rel=1e-12)


def test_average_is_the_integral_of_the_exponential() -> None:
    """The mean of v = 6 + 2 e^{-t/τ}: 6 + 2 τ/T (1 - e^{-T/τ})."""
    tau, span = L / R, 2e-3

    average = solve(circuit(MOTOR)).average(2, 0, 0.0, span)

    assert average == pytest.approx(6.0 + 2.0 * tau / span * -math.expm1(-span / tau), rel=1e-12)


def test_time_below_a_level_is_where_the_exponential_crosses_it() -> None:
    """The voltage 6 + 2 e^{-t/τ} passes 7 V at τ ln 2; it stays below until the contact opens at 0.5 s."""
    below = solve(circuit(MOTOR)).longest_below(2, 0, 7.0)

    assert below == pytest.approx(0.5 - L / R * math.log(2.0), abs=1e-9)


def test_opening_contact_lifts_the_stud_by_the_inductive_divider() -> None:
    """The arc's 18 V divide as inductances: the stud steps up by 18 V · 10 µH / 30 µH, from 6 V."""
    solution = solve(circuit(MOTOR))

    time, volts = solution.between(2, 0)
    assert volts[time == 0.5] == pytest.approx([6.0, 12.0], rel=1e-9)


@pytest.mark.parametrize("slope", [0.0, 2e5])
def test_arc_lasts_until_its_voltage_has_used_up_the_current(slope: float) -> None:
    """L di/dt = E - R i - V - k t, solved for i = 0; about I·L/(V - E + R·I/2) for a steady arc."""
    motor = replace(MOTOR, arc=Arc(18.0, slope))
    tau, start = L / R, E / R

    def current(t: float) -> float:
        settled = (E - 18.0 + slope * tau) / R
        return settled - slope * t / R + (start - settled) * math.exp(-t / tau)

    lasts = brentq(current, 1e-6, 5e-3, xtol=1e-15)
    solution = solve(circuit(motor))

    ends = solution.arc_end(0)
    assert ends is not None
    assert ends - 0.5 == pytest.approx(lasts, rel=1e-9)
    assert [segment.kind for segment in solution.segments] == ["before", "closed", "arc", "open"]
    assert solution.at(2, 0, ends) == pytest.approx(12.0, abs=1e-9)


def test_an_electronic_input_rings_as_a_series_circuit_after_the_arc() -> None:
    """v_C = E + e^{-αt}(A cos ωt + B sin ωt), α = R/2L, ω² = 1/LC - α² (any textbook: R-L-C circuit).

    A and B from the capacitor's voltage and current when the arc has gone out.
    """
    ohm, henry, farad = 0.02, 10e-6, 100e-6
    solution = solve(circuit(MOTOR, capacitors=((2, 0, farad, 0.005),)))
    alpha = (ohm + 0.005) / (2 * henry)
    omega = math.sqrt(1 / (henry * farad) - alpha**2)
    start = solution.arc_end(0) or 0.0
    current = float(solution.branch_currents_at(start)[1])
    charged = solution.at(2, 0, start) - 0.005 * current

    t = np.linspace(0.0, 1e-3, 50)
    A, rising = charged - E, current / farad
    B = (rising + alpha * A) / omega
    v_C = E + np.exp(-alpha * t) * (A * np.cos(omega * t) + B * np.sin(omega * t))
    turning = (omega * B - alpha * A) * np.cos(omega * t) - (omega * A + alpha * B) * np.sin(omega * t)
    amps = farad * np.exp(-alpha * t) * turning
    assert abs(A) > 0.1
    assert solution.at_times([(2, 0)], start + t)[0] == pytest.approx(v_C + 0.005 * amps, abs=1e-9)


def test_critical_damping_gives_no_trouble() -> None:
    """R = 2 √(L/C): both modes run into one; v_C = E + (A + B t) e^{-αt}."""
    farad = 4 * 10e-6 / 0.02**2
    solution = solve(circuit(MOTOR, capacitors=((2, 0, farad, 0.0),)))
    start, alpha = solution.arc_end(0) or 0.0, 0.02 / 20e-6
    A = solution.at(2, 0, start) - E
    B = float(solution.branch_currents_at(start)[1]) / farad + alpha * A

    t = np.linspace(0.0, 8e-3, 30)
    assert solution.at_times([(2, 0)], start + t)[0] == pytest.approx(
        E + (A + B * t) * np.exp(-alpha * t), abs=1e-4
    )


def test_permanent_magnet_motor_runs_up_as_two_exponentials() -> None:
    """L i' = E - R i - Φ s and J s' = Φ i - f s: roots of λ² + (R/L + f/J) λ + (R f + Φ²)/(L J)."""
    flux, inertia, friction = 10.0, 80.0, 40.0
    motor = replace(MOTOR, flux_v=flux, inertia_j=inertia, friction_w=friction)
    solution = solve(circuit(motor))
    fast, slow = np.roots([1.0, R / L + friction / inertia, (R * friction + flux**2) / (L * inertia)])
    settled = E * friction / (R * friction + flux**2)

    A = np.linalg.solve([[1.0, 1.0], [fast, slow]], [-settled, E / L])
    current = settled + A @ np.exp(np.outer([fast, slow], AFTER_PRESS))
    assert [solution.motor_current_at(0, t) for t in AFTER_PRESS] == pytest.approx(current, rel=1e-8)
    time, speed = solution.motor_speed(0)
    expected = (E - R * current - L * A * [fast, slow] @ np.exp(np.outer([fast, slow], AFTER_PRESS))) / flux
    assert np.interp(AFTER_PRESS, time, speed) == pytest.approx(expected, abs=2e-3)


def test_loaded_motor_stands_until_its_torque_is_there() -> None:
    """The load holds like a brake: it turns from Φ i = load on, at t = -τ ln(1 - R·load/(Φ E))."""
    motor = replace(MOTOR, flux_v=10.0, inertia_j=80.0, load_w=1000.0)
    starts = -L / R * math.log(1 - R * 100.0 / E)

    solution = solve(circuit(motor))

    time, speed = solution.motor_speed(0)
    assert not speed[time < starts * 0.999].any()
    assert speed[(time > starts * 1.05) & (time < 0.5)].min() > 0
    assert solution.motor_current_at(0, starts) == pytest.approx(100.0, rel=1e-6)


def test_a_motor_too_weak_for_its_load_stays_at_rest() -> None:
    """Φ·E/R = 3 kW at standstill against a load of 3.1 kW: the current settles at E/R."""
    solution = solve(circuit(replace(MOTOR, flux_v=10.0, load_w=3100.0)))

    assert not solution.motor_speed(0)[1].any()
    assert solution.motor_current_at(0, 0.499) == pytest.approx(E / R, rel=1e-7)


def test_coasting_motor_slows_down_and_stops() -> None:
    """J s' = -f s - load from s0: s = (s0 + load/f) e^{-f t/J} - load/f, then at rest."""
    motor = replace(MOTOR, flux_v=10.0, inertia_j=20.0, friction_w=50.0, load_w=100.0)
    solution = solve(circuit(motor))
    start = solution.arc_end(0) or 0.0

    time, speed = solution.motor_speed(0)
    coasting = time >= start
    t, s = time[coasting] - start, speed[coasting]
    expected = np.maximum((s[0] + 2.0) * np.exp(-2.5 * t) - 2.0, 0.0)
    assert s[0] > 0.5
    assert s == pytest.approx(expected, abs=1e-7)
    assert s[-1] == 0.0


@pytest.mark.parametrize("saturation_a", [None, 200.0])
def test_series_wound_motor_settles_where_torque_and_load_agree(saturation_a: float | None) -> None:
    """E = R i + φ(i) s and φ(i) i = f s + load, φ = κ i/(1 + i/i_s) (Froelich): one equation in i."""
    motor = replace(SERIES, saturation_a=saturation_a, release_s=9.0)
    solution = solve(circuit(motor, end_s=8.0))
    ohm = 0.02 + motor.ohm

    def off(i: float) -> float:
        flux = motor.flux_ohm * i / (1.0 if saturation_a is None else 1 + i / saturation_a)
        return flux * i - motor.friction_w * (E - ohm * i) / flux - motor.load_w

    assert solution.motor_current_at(0, 7.99) == pytest.approx(brentq(off, 20.0, 400.0), rel=1e-6)


def test_series_wound_motor_beside_electronics_agrees_with_an_integrator() -> None:
    """Battery, lead, motor with eddy path and ripple, 60 W behind a lead: Radau on equations made by hand.

    States: the motor's current, that of the lead to the electronics, its capacitor, i_m, speed, angle.
    """
    motor = replace(SERIES, ripple_fraction=0.6, ripples_per_s_at_speed=20.0, load_w=900.0)
    plan = circuit(
        motor,
        branches=(BATTERY, LEAD, (2, 3, 0.006, 10e-6, 0.0)),
        capacitors=((3, 0, 2e-3, 0.008),),
        draws=((3, 0, 60.0, 1.0, 10.5),),
    )
    solution = solve(plan)

    def draw_v(i: float, v_C: float) -> float:
        """Volts with v = v_C + r (i - j(v)), j = 60/v above 10.5 V, else a resistance."""
        w = v_C + 0.008 * i
        high = (w + math.sqrt(w * w - 4 * 0.008 * 60.0)) / 2
        return high if high > 10.5 else w / (1 + 0.008 * 60.0 / 10.5**2)

    def spare(_: float, x: Floats) -> float:
        """The power that is left to turn faster."""
        i, _lead, _v, _magnetising, s, angle = x.tolist()
        return float(0.06 * i * i - 50.0 * s - 900.0 * (1 + 0.6 * math.sin(2 * math.pi * 20.0 * angle)))

    def slope(_: float, x: Floats) -> list[float]:
        i, lead, v_C, magnetising, s, _angle = x.tolist()
        v = draw_v(lead, v_C)
        back_v = motor.ohm * i + 0.51 * (i - magnetising) + 0.06 * i * s
        # node 2: i_battery = i + lead; 10 µH (i' + lead') = E - R i_b - v2
        v_2 = (E - 0.02 * (i + lead)) / 10e-6 + back_v / 4.2e-6 + (v + 0.006 * lead) / 10e-6
        v_2 /= 1 / 10e-6 + 1 / 4.2e-6 + 1 / 10e-6
        return [
            (v_2 - back_v) / 4.2e-6,
            (v_2 - v - 0.006 * lead) / 10e-6,
            (lead - (60.0 / v if v > 10.5 else v * 60.0 / 10.5**2)) / 2e-3,
            0.51 * (i - magnetising) / 144e-6,
            spare(_, x) / 60.0 if s > 0 or spare(_, x) > 0 else 0.0,
            s,
        ]

    at_rest = 60.0 / ((12.0 + math.sqrt(144.0 - 4 * 0.026 * 60.0)) / 2)
    start = np.array([0.0, at_rest, 12.0 - 0.026 * at_rest, 0.0, 0.0, 0.0])
    spare.terminal = True  # type: ignore[attr-defined]
    held = solve_ivp(slope, (0.0, 0.1), start, method="Radau", rtol=1e-9, atol=1e-10, events=spare)
    turns_at = float(held.t[-1])
    t = np.array([turns_at, *(turns_at + np.array([3e-4, 1e-3, 3e-3, 0.01, 0.05, 0.1, 0.15]))])
    states = [held.y[:, -1]]
    for span in pairwise(t.tolist()):  # from instant to instant: between its steps it only interpolates
        found = solve_ivp(slope, span, states[-1], method="Radau", rtol=1e-8, atol=1e-9)
        states.append(found.y[:, -1])

    volts = [draw_v(x[1], x[2]) for x in states[1:]]
    assert min(volts) < 10.5
    assert solution.motor_current_at(0, turns_at) == pytest.approx(states[0][0], abs=1e-3)
    assert solution.at_times([(3, 0)], t[1:])[0] == pytest.approx(volts, abs=1e-4)
    current = [solution.motor_current_at(0, at) for at in t[1:]]
    assert current == pytest.approx([x[0] for x in states[1:]], abs=0.01)


@pytest.mark.parametrize(("watts", "cut_out_v"), [(150.0, 5.0), (150.0, 11.0), (20.0, 0.0)])
def test_a_stalled_motor_ends_at_the_static_answer(watts: float, cut_out_v: float) -> None:
    """Once currents stand still, inductance and capacitance do nothing: the steady network's own solution."""
    draw = (3, 0, watts, 1.0, cut_out_v)
    plan = circuit(
        MOTOR,
        branches=(BATTERY, LEAD, (2, 3, 0.02, 5e-6, 0.0)),
        capacitors=((3, 0, 10e-3, 0.02),),
        draws=(draw,),
    )
    network = Network(
        nodes=4,
        sources=Sources.of([(0, 1, 12.0, 0.01)]),
        resistors=Resistors.of([(1, 2, 0.01), (2, 3, 0.02)]),
        resistive=Resistors.of([(2, 0, 0.02)]),
        loads=Loads.of([draw]),
    )
    absent = np.array([False, False, False, True, False])
    present, before = operating_point(network), operating_point(network, absent)

    solution = solve(plan)

    for time, point in ((-0.005, before), (0.49, present)):
        expected = [point.node_v[node] - point.node_v[0] for node in (1, 2, 3)]
        found = solution.at_times([(1, 0), (2, 0), (3, 0)], np.array([time]))[:, 0]
        assert found == pytest.approx(expected, abs=1e-6)


def test_the_lowest_voltage_becomes_the_static_one_as_inductance_vanishes() -> None:
    """A resistive boat's dip tends to the divider 12 V · 20/40 as the inductances go to zero."""
    small = [(*row[:3], row[3] * 1e-4, row[4]) for row in (BATTERY, LEAD)]
    motor = replace(MOTOR, leakage_henry=2e-9)

    low, _, _, _ = solve(circuit(motor, branches=tuple(small))).extremes(2, 0, since_s=0.0, until_s=0.49)

    assert low == pytest.approx(6.0, abs=1e-9)


def test_what_makes_up_a_voltage_adds_up() -> None:
    """R i, L di/dt and -EMF of battery and lead are the stud's voltage; L di/dt is L/τ·E/R·e^{-t/τ}."""
    solution = solve(circuit(MOTOR))
    t = 3e-4

    parts = solution.branch_volts(t)
    total = parts.resistance_v + parts.inductance_v + parts.source_v
    assert -total.sum() == pytest.approx(solution.at(2, 0, t), abs=1e-12)
    assert parts.inductance_v == pytest.approx(
        np.array([1e-6, 9e-6]) * E / L * math.exp(-t * R / L), rel=1e-9
    )
    assert parts.source_v == pytest.approx([-12.0, 0.0])

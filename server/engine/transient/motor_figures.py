"""Motors from what a person knows: inrush and running current at a voltage, and the time to run up.

Speed ``s`` is a share of the running speed, so that mechanical figures are electrical ones (see
``circuit.MotorDrive``). At the running point the back-EMF is e = U - R·I, and the power that turns the shaft
is e·I, of which a share does not grow with speed (weight, compression) and the rest does (friction). The
inertia is what makes the run-up last as long as stated: J ds/dt = flux·i - friction·s - load gives
t = J ∫ ds/(flux·i - friction·s - load) (any textbook on machines; the inductance is left out of the run-up,
which lasts many times longer than the current takes to rise).

The inrush current is what a clamp shows: the top of the current, while the motor begins to turn and its
inductance still holds the current back. So the resistance is chosen such that the current's top, at the
inrush voltage, is the inrush current. Without inductance the top stands at the first instant, and the
resistance is inrush voltage over inrush current, as in the steady network.

The flux of a series-wound motor follows its current by Froelich's law, flux = k i / (1 + i/saturation).
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq

from server.engine.arrays import Floats
from server.engine.transient.circuit import Winding
from server.units import Ampere, Ohm, Ratio, Second, Volt, Watt

RUN_UP: Ratio = 0.95
"""A motor has run up when it turns at this share of its running speed."""
_POINTS = 64
_AT, _WEIGHT = np.polynomial.legendre.leggauss(_POINTS)


class UnfitMotorError(ValueError):
    """The stated currents and voltages of a motor contradict each other."""


@dataclass(frozen=True, slots=True)
class KnownMotor:
    """What is known of a motor: at standstill, at its running point, and its run-up at the running voltage.

    ``load_share`` is the share of its torque that does not grow with speed.
    """

    inrush_a: Ampere
    inrush_v: Volt
    running_a: Ampere
    running_v: Volt
    run_up_s: Second
    load_share: Ratio
    winding: Winding
    leakage_henry: float
    main_henry: float
    saturation_a: Ampere = math.inf

    @property
    def inrush_ohm(self) -> Ohm:
        """What it looks like at the top of its current."""
        return self.inrush_v / self.inrush_a


@dataclass(frozen=True, slots=True)
class MotorConstants:
    """The figures of a motor that were worked out; ``flux_v`` or ``flux_ohm`` is zero by its winding."""

    ohm: Ohm
    main_henry: float
    back_emf_v: Volt
    flux_v: Volt
    flux_ohm: Ohm
    inertia_j: float
    friction_w: Watt
    load_w: Watt


@lru_cache(maxsize=64)
def motor_constants(known: KnownMotor) -> MotorConstants:
    """The constants of a motor from what is known of it.

    Where even ``LEAST_SHARE`` of inrush voltage over inrush current would not let the current rise so high
    before the motor turns too fast, that share is taken, and less main inductance.

    Raises:
        UnfitMotorError: at its running point nothing would be left to turn it.
    """
    if known.running_a <= 0 or known.inrush_ohm * known.running_a >= known.running_v:
        raise UnfitMotorError(
            f"at {known.running_a:g} A its {known.inrush_ohm * 1e3:.3g} mΩ of inrush voltage over inrush "
            f"current would take all of its running voltage of {known.running_v:g} V: check both currents"
        )

    def excess(share: Ratio, of_main: Ratio) -> Ampere:
        constants = constants_at(known, share * known.inrush_ohm, of_main * known.main_henry)
        return current_top(known, constants) - known.inrush_a

    if known.leakage_henry + known.main_henry <= 0:
        return constants_at(known, known.inrush_ohm, 0.0)
    if excess(LEAST_SHARE, 1.0) > 0:
        share = brentq(lambda share: excess(share, 1.0), LEAST_SHARE, 1.0, xtol=SHARE_TOLERANCE)
        return constants_at(known, share * known.inrush_ohm, known.main_henry)
    of_main = brentq(lambda of_main: excess(LEAST_SHARE, of_main), 0.0, 1.0, xtol=SHARE_TOLERANCE)
    return constants_at(known, LEAST_SHARE * known.inrush_ohm, of_main * known.main_henry)


LEAST_SHARE: Ratio = 0.25
"""A motor's resistance is hardly less than this share of inrush voltage over inrush current (common practice,
no source: about 6 mΩ in a small diesel's starter that looks like 21 to 27 mΩ at the top of its current)."""
SHARE_TOLERANCE = 1e-4


def constants_at(known: KnownMotor, ohm: Ohm, main_henry: float) -> MotorConstants:
    """The constants of a motor of this resistance at standstill and this main inductance.

    >>> known = KnownMotor(500.0, 10.0, 160.0, 10.0, 0.15, 0.7, "series", 0.0, 0.0)
    >>> constants_at(known, 0.02, 0.0).back_emf_v
    6.8
    """
    back_emf_v = known.running_v - ohm * known.running_a
    shaft_w = back_emf_v * known.running_a
    series = known.winding == "series"
    still = MotorConstants(
        ohm=ohm,
        main_henry=main_henry,
        back_emf_v=back_emf_v,
        flux_v=0.0 if series else back_emf_v,
        flux_ohm=back_emf_v * (1 / known.running_a + 1 / known.saturation_a) if series else 0.0,
        inertia_j=1.0,
        friction_w=(1 - known.load_share) * shaft_w,
        load_w=known.load_share * shaft_w,
    )
    return replace(still, inertia_j=known.run_up_s / run_up_time(known, still))


def run_up_time(known: KnownMotor, constants: MotorConstants) -> Second:
    """Time from rest to ``RUN_UP`` of the running speed at the running voltage, by Gauss's quadrature."""
    speed = RUN_UP * (_AT + 1) / 2
    current_a = current_at(known, constants, speed)
    flux = constants.flux_v + constants.flux_ohm * current_a / (1 + current_a / known.saturation_a)
    turning_w = flux * current_a
    surplus_w = turning_w - constants.friction_w * speed - constants.load_w
    return float(constants.inertia_j * RUN_UP / 2 * (_WEIGHT / surplus_w).sum())


def current_at(known: KnownMotor, constants: MotorConstants, speed: Floats) -> Floats:
    """Current at the running voltage and some speeds, from U = R i + flux s.

    With Froelich's law that is R/a i² + (R + k s - U/a) i - U = 0, a quadratic with one root above zero.
    """
    volts, per_a = known.running_v - constants.flux_v * speed, 1 / known.saturation_a
    linear = constants.ohm + constants.flux_ohm * speed - volts * per_a
    root = np.sqrt(linear**2 + 4 * constants.ohm * per_a * volts)
    found: Floats = 2 * volts / (linear + root)
    return found


def current_top(known: KnownMotor, constants: MotorConstants) -> Ampere:
    """The top of the current at the inrush voltage: L di/dt = U - R i - e beside J ds/dt, by Runge and Kutta.

    The eddy path, which hardly moves the top, is left out.
    """
    ohm, inertia_j = constants.ohm, constants.inertia_j
    henry = known.leakage_henry + constants.main_henry
    flux_v, flux_ohm, per_a = constants.flux_v, constants.flux_ohm, 1 / known.saturation_a

    def slopes(i: float, s: float) -> tuple[float, float]:
        flux = flux_v + flux_ohm * i / (1 + i * per_a)
        surplus_w = flux * i - constants.friction_w * s - constants.load_w
        return (known.inrush_v - ohm * i - flux * s) / henry, max(surplus_w, 0.0) / inertia_j

    step, i, s = henry / ohm / STEPS_A_TIME_CONSTANT, 0.0, 0.0
    step = min(step, known.run_up_s / STEPS_A_TIME_CONSTANT)
    while True:
        a = slopes(i, s)
        b = slopes(i + step / 2 * a[0], s + step / 2 * a[1])
        c = slopes(i + step / 2 * b[0], s + step / 2 * b[1])
        d = slopes(i + step * c[0], s + step * c[1])
        rise = step / 6 * (a[0] + 2 * b[0] + 2 * c[0] + d[0])
        if rise <= SMALLEST_RISE * known.inrush_a:
            return i + _above_the_last(step, a[0], d[0])
        i += rise
        s += step / 6 * (a[1] + 2 * b[1] + 2 * c[1] + d[1])


STEPS_A_TIME_CONSTANT = 30
SMALLEST_RISE = 1e-6


def _above_the_last(step: Second, slope: float, later: float) -> Ampere:
    """How far a parabola of these slopes at both ends of a step rises above its start."""
    return step * slope**2 / (2 * (slope - later)) if slope > 0 > later else 0.0

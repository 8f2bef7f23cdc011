"""Motors from what a person knows: inrush and running current at a voltage, and the time to run up.

Speed ``s`` is a share of the running speed, so that mechanical figures are electrical ones (see
``circuit.MotorDrive``). At standstill there is no back-EMF: R = U/I. At the running point the back-EMF is
e = U - R·I, and the power that turns the shaft is e·I, of which a share does not grow with speed (weight,
compression) and the rest does (friction). The inertia is what makes the run-up last as long as stated:
J ds/dt = flux·i - friction·s - load gives t = J ∫ ds/(flux·i - friction·s - load) (any textbook on machines;
the inductance is left out of the run-up, which lasts many times longer than the current takes to rise).
"""

from dataclasses import dataclass

import numpy as np

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

    ohm: Ohm
    running_a: Ampere
    running_v: Volt
    run_up_s: Second
    load_share: Ratio
    winding: Winding


@dataclass(frozen=True, slots=True)
class MotorConstants:
    """The figures of a motor that were worked out; ``flux_v`` or ``flux_ohm`` is zero by its winding."""

    back_emf_v: Volt
    flux_v: Volt
    flux_ohm: Ohm
    inertia_j: float
    friction_w: Watt
    load_w: Watt


def motor_constants(known: KnownMotor) -> MotorConstants:
    """The constants of a motor from what is known of it.

    Raises:
        UnfitMotorError: at its running point nothing would be left to turn it.

    >>> motor_constants(KnownMotor(0.02, 160.0, 10.0, 0.15, 0.7, "series")).back_emf_v
    6.8
    """
    back_emf_v = known.running_v - known.ohm * known.running_a
    if back_emf_v <= 0 or known.running_a <= 0:
        raise UnfitMotorError(
            f"at {known.running_a:g} A its resistance at standstill of {known.ohm * 1e3:.3g} mΩ would take "
            f"all of its running voltage of {known.running_v:g} V: check inrush and running current"
        )
    shaft_w = back_emf_v * known.running_a
    series = known.winding == "series"
    constants = MotorConstants(
        back_emf_v=back_emf_v,
        flux_v=0.0 if series else back_emf_v,
        flux_ohm=back_emf_v / known.running_a if series else 0.0,
        inertia_j=1.0,
        friction_w=(1 - known.load_share) * shaft_w,
        load_w=known.load_share * shaft_w,
    )
    inertia_j = known.run_up_s / run_up_time(known, constants)
    return MotorConstants(
        back_emf_v, constants.flux_v, constants.flux_ohm, inertia_j, constants.friction_w, constants.load_w
    )


def run_up_time(known: KnownMotor, constants: MotorConstants) -> Second:
    """Time from rest to ``RUN_UP`` of the running speed at the running voltage, by Gauss's quadrature."""
    speed = RUN_UP * (_AT + 1) / 2
    surplus_w = torque(known, constants, speed) - constants.friction_w * speed - constants.load_w
    return float(constants.inertia_j * RUN_UP / 2 * (_WEIGHT / surplus_w).sum())


def torque(known: KnownMotor, constants: MotorConstants, speed: Floats) -> Floats:
    """Torque times running speed at the running voltage and these shares of the running speed, in watts."""
    current_a = (known.running_v - constants.flux_v * speed) / (known.ohm + constants.flux_ohm * speed)
    turning: Floats = (constants.flux_v + constants.flux_ohm * current_a) * current_a
    return turning

"""What motors and their contacts do to the equations: back-EMF, torque, brake at rest, ripple, arc.

A permanent-magnet motor's constant flux is in the equations already; what is not a straight line comes in as
two inputs: the voltage against the current, and the power that holds the speed back.
"""

import math
from dataclasses import dataclass
from typing import NamedTuple, cast

import numpy as np
from scipy.integrate import OdeSolution, solve_ivp

from server.engine.arrays import Floats
from server.engine.transient.circuit import MotorDrive

ROUNDING = 1e-9
"""A speed this little below zero is rounding."""


class Wanted(NamedTuple):
    """What a motor's laws ask of its two inputs, and how that follows its current and speed.

    The power held back follows the speed through its load's ripple alone, which is no slope.
    """

    volts: Floats | float
    power_w: Floats | float
    volts_by_current: Floats | float = 0.0
    volts_by_speed: Floats | float = 0.0
    power_by_current: Floats | float = 0.0


@dataclass(slots=True)
class MotorState:
    """A motor in the course of an event; ``arc_sign`` is 0 while no arc burns, ``angle`` is ∫ speed dt."""

    drive: MotorDrive
    is_held: bool = True
    angle: float = 0.0
    arc_sign: float = 0.0

    def __post_init__(self) -> None:
        self.is_held = self.drive.load_w > 0

    @property
    def is_series(self) -> bool:
        """Whether flux follows current."""
        return self.drive.winding == "series"

    @property
    def is_plain(self) -> bool:
        """Whether its equations are linear and nothing about it has to be watched."""
        return not self.is_series and self.drive.load_w == 0 and self.arc_sign == 0

    @property
    def bends(self) -> bool:
        """Whether its inputs follow its current or speed."""
        return self.is_series != self.is_held

    def load(self, angle: Floats) -> Floats:
        """The load's power at full speed, with its ripple, at angles."""
        drive = self.drive
        turns = 2 * math.pi * drive.ripples_per_s_at_speed * angle
        return drive.load_w * (1 + drive.ripple_fraction * np.sin(turns))

    def driving(self, i: Floats) -> Floats:
        """Flux times current: the power at full speed that drives."""
        return self.flux(i)[0] * i if self.is_series else self.drive.flux_v * i

    def flux(self, i: Floats) -> tuple[Floats, Floats]:
        """A series-wound motor's flux at currents, and its rise with them (Froelich's law of saturation)."""
        drive = self.drive
        shrunk = 1.0 / (1.0 + np.abs(i) / (drive.saturation_a or math.inf))
        rise = drive.flux_ohm * shrunk
        return rise * i, rise * shrunk

    def arc_v(self, times: Floats) -> Floats:
        """The arc's voltage, against the current that burns in it."""
        arc = self.drive.arc
        return self.arc_sign * (arc.volts + arc.slope_v_per_s * (times - self.drive.release_s))

    def inputs(self, i: Floats, s: Floats, angle: Floats, times: Floats) -> "Wanted":
        """The voltage against the current, and the power held back, at instants, with their slopes."""
        volts = self.arc_v(times) if self.arc_sign else 0.0
        if not self.is_series:
            if self.is_held:
                return Wanted(volts, self.drive.flux_v * i, 0.0, 0.0, self.drive.flux_v)
            return Wanted(volts, self.load(angle))
        if self.is_held:
            return Wanted(volts, 0.0)
        flux, rise = self.flux(i)
        turned = rise * s
        return Wanted(volts + flux * s, self.load(angle) - flux * i, turned, flux, -flux - rise * i)

    def margin(self, i: Floats, s: Floats, angle: Floats) -> Floats:
        """Above zero while the motor stays as it is; below: a held one starts, a turning one stops."""
        if self.drive.load_w <= 0 and not self.is_held:
            return np.ones_like(i)
        if self.is_held:
            return self.load(angle) - self.driving(i)
        return s + ROUNDING

    def arc_margin(self, i: Floats) -> Floats:
        """Above zero while the arc burns."""
        return i * self.arc_sign if self.arc_sign else np.ones_like(i)


def coasting(state: MotorState, speed: float, times: Floats) -> tuple[Floats, Floats]:
    """Speeds and angles of a motor without current, at times after its contact opened: ascending, from 0 on.

    ``inertia ds/dt = -friction s - load``; at rest it stays there.
    """
    drive = state.drive
    if not times.size or speed <= 0:
        return np.zeros(len(times)), np.full(len(times), state.angle)

    def slowing(_: float, y: Floats) -> list[float]:
        held_back = drive.friction_w * y[0] + float(state.load(y[1:])[0])
        return [-held_back / drive.inertia_j, float(y[0])]

    def at_rest(_: float, y: Floats) -> float:
        return float(y[0])

    at_rest.terminal = True  # type: ignore[attr-defined]
    span, start = (0.0, float(times[-1])), [speed, state.angle]
    found = solve_ivp(
        slowing, span, start, method="DOP853", rtol=1e-9, atol=1e-12, events=at_rest, dense_output=True
    )
    course, stops = cast("OdeSolution", found.sol), found.t[-1]
    speeds, angles = course(np.minimum(times, stops))
    return np.where((found.status == 1) & (times >= stops), 0.0, speeds), angles

"""Heavy loads as motors behind their contacts, with every figure that was worked out or assumed."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from server.boat.devices import Motor
from server.boat.modes import Conditions
from server.boat.parts import AnyPart, Load, Outboard
from server.boat.value import nominal
from server.engine.answer import AssumedValue
from server.engine.figures import Figures, Level
from server.engine.transient.circuit import Arc, MotorDrive, TransientError, Winding
from server.engine.transient.draw import Draw, at
from server.engine.transient.motor_figures import KnownMotor, UnfitMotorError, motor_constants
from server.engine.transient.schedule import Press
from server.units import Ampere, Ohm, Second, Volt

HOISTS = frozenset({"windlass", "winch"})
SURGE_LEAKAGE_HENRY = 1e-7
"""Inductance inside a heavy load that is no motor: its own short leads (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class HeavyMotor:
    """A heavy load that is a motor: what was entered, and the assumptions that stand for the rest."""

    part: AnyPart
    motor: Motor
    role: str
    nominal_v: Volt
    run_up: Level
    load_share: Level
    ripple: Level | None
    ripple_rate: Level | None
    leakage_time: Level
    main_time: Level
    eddy_ratio: Level
    saturation: Level | None

    @property
    def winding(self) -> Winding:
        """As entered; else a starter is series-wound and any other motor has permanent magnets."""
        return winding_of(self.motor, self.role)

    @property
    def inrush_v(self) -> Volt:
        """The voltage of the inrush current: as entered, else as the steady network takes it."""
        return self.motor.inrush_voltage_v or self.motor.running_voltage_v or self.nominal_v

    @property
    def running_v(self) -> Volt:
        """The voltage of the running current: as entered, else the nominal one."""
        return self.motor.running_voltage_v or self.nominal_v


def winding_of(motor: Motor, role: str) -> Winding:
    """As entered; else a starter is series-wound and any other motor has permanent magnets."""
    by_role: Winding = "series" if role == "starter" else "permanent-magnet"
    return motor.winding or by_role


def motor_of(part: AnyPart, terminal: str) -> Motor | None:
    """The motor behind a heavy input; None where it is something else."""
    match part:
        case Outboard():
            return part.starter
        case Load():
            demand = next(one.demand for one in part.inputs if one.id == terminal)
            return demand if isinstance(demand, Motor) else None
        case _:
            return None


def heavy_motor(
    part: AnyPart, motor: Motor, nominal_v: Volt, own: Figures, conditions: tuple[Conditions, ...]
) -> HeavyMotor:
    """A motor with the assumptions it needs; a starter cranks a loaded engine unless a bench is stated."""
    role = "starter" if isinstance(part, Outboard) else part.role if isinstance(part, Load) else "other"
    on_bench = next((c.cranking == "bench" for c in conditions if c.cranking is not None), False)
    cranks = role == "starter" and not on_bench
    kind = "starter" if role == "starter" else "hoist" if role in HOISTS else "other"
    free = role == "starter" and on_bench
    series = winding_of(motor, role) == "series"
    share = Level(0.0, 0.0, 0.0) if free else own.level(f"motor_load_share_{kind}", part.id)
    return HeavyMotor(
        part=part,
        motor=motor,
        role=role,
        nominal_v=nominal_v,
        run_up=_run_up(motor, part, role, own),
        load_share=share,
        ripple=own.level("cranking_ripple", part.id) if cranks else None,
        ripple_rate=own.level("cranking_ripple_rate", part.id) if cranks else None,
        leakage_time=own.level("motor_leakage_time", part.id),
        main_time=own.level("motor_main_time", part.id),
        eddy_ratio=own.level("motor_eddy_ratio", part.id),
        saturation=own.level("series_saturation", part.id) if series else None,
    )


def _run_up(motor: Motor, part: AnyPart, role: str, own: Figures) -> Level:
    if motor.run_up_s is not None:
        return own.given(motor.run_up_s, part.id, "run-up time")
    return own.level(f"motor_run_up_time_{'starter' if role == 'starter' else 'other'}", part.id)


@dataclass(frozen=True, slots=True)
class Contacts:
    """The arc that all opening contacts of heavy loads draw."""

    volts: Level
    slope: Level

    @classmethod
    def of(cls, own: Figures) -> "Contacts":
        """As assumed."""
        return cls(own.level("contact_arc_voltage", ""), own.level("contact_arc_slope", ""))

    def arc(self, draw: Draw) -> Arc:
        """The arc at a draw."""
        return Arc(at(self.volts, draw.own), at(self.slope, draw.own))


@dataclass(frozen=True, slots=True)
class Drive:
    """A heavy load where it stands in the circuit."""

    name: str
    tail: int
    head: int
    inrush_ohm: Ohm
    """Inrush voltage over inrush current, as in the steady network."""
    running_a: Ampere


def motor_drive(drive: Drive, heavy: HeavyMotor, press: Press, contacts: Contacts, draw: Draw) -> MotorDrive:
    """A motor in its circuit.

    Raises:
        TransientError: what was entered for the motor contradicts itself.
    """
    try:
        constants = motor_constants(known_motor(drive, heavy, draw))
    except UnfitMotorError as error:
        raise TransientError(f"{drive.name} cannot be computed in time: {error}") from error
    own = draw.own
    return MotorDrive(
        name=drive.name,
        tail=drive.tail,
        head=drive.head,
        ohm=constants.ohm,
        leakage_henry=at(heavy.leakage_time, own) * drive.inrush_ohm,
        main_henry=constants.main_henry,
        eddy_ohm=at(heavy.eddy_ratio, own) * drive.inrush_ohm,
        winding=heavy.winding,
        flux_v=constants.flux_v,
        flux_ohm=constants.flux_ohm,
        inertia_j=constants.inertia_j,
        friction_w=constants.friction_w,
        load_w=constants.load_w,
        ripple_fraction=0.0 if heavy.ripple is None else at(heavy.ripple, own),
        ripples_per_s_at_speed=0.0 if heavy.ripple_rate is None else at(heavy.ripple_rate, own),
        arc=contacts.arc(draw),
        press_s=press.press_s,
        release_s=press.release_s,
        saturation_a=_saturation_a(drive, heavy, draw),
    )


def known_motor(drive: Drive, heavy: HeavyMotor, draw: Draw) -> KnownMotor:
    """What is known of a motor, with its uncertain figures placed."""
    inrush_v = heavy.inrush_v
    return KnownMotor(
        inrush_a=inrush_v / drive.inrush_ohm,
        inrush_v=inrush_v,
        running_a=drive.running_a,
        running_v=heavy.running_v,
        run_up_s=at(heavy.run_up, draw.own),
        load_share=at(heavy.load_share, draw.own),
        winding=heavy.winding,
        leakage_henry=at(heavy.leakage_time, draw.own) * drive.inrush_ohm,
        main_henry=at(heavy.main_time, draw.own) * drive.inrush_ohm,
        saturation_a=_saturation_a(drive, heavy, draw) or math.inf,
    )


def _saturation_a(drive: Drive, heavy: HeavyMotor, draw: Draw) -> Ampere | None:
    return None if heavy.saturation is None else at(heavy.saturation, draw.own) * drive.running_a


def surge_drive(drive: Drive, press: Press, contacts: Contacts, draw: Draw) -> MotorDrive:
    """A heavy load that is no motor: the resistance that takes its surge, for as long as it lasts."""
    return MotorDrive(
        name=drive.name,
        tail=drive.tail,
        head=drive.head,
        ohm=drive.inrush_ohm,
        leakage_henry=SURGE_LEAKAGE_HENRY,
        arc=contacts.arc(draw),
        press_s=press.press_s,
        release_s=press.release_s,
    )


def running_a(motor: Motor) -> Ampere:
    """The running current as entered, at its likeliest."""
    return nominal(motor.running_current_a)


def derived_figures(name: str, part_id: str, heavy: HeavyMotor, motor: MotorDrive) -> list[AssumedValue]:
    """The figures of a motor that were worked out, each with its formula in words."""
    made: Mapping[str, tuple[str, float, str, str]] = {
        "stalled_resistance": (
            "resistance at standstill", motor.ohm, "Ω",
            f"lets its current rise to the inrush current at {heavy.inrush_v:g} V while it begins to turn",
        ),
        "back_emf": (
            "back-EMF at running speed", (motor.friction_w + motor.load_w) / running_a(heavy.motor), "V",
            f"running voltage of {heavy.running_v:g} V less resistance times running current",
        ),
        "inertia": (
            "energy of its spin, doubled", motor.inertia_j, "J",
            "what makes the run-up to 95 % of running speed last as long as stated, at the running voltage",
        ),
        "load": (
            "power that does not depend on friction, at running speed", motor.load_w, "W",
            "its share of back-EMF times running current",
        ),
        "friction": (
            "power of friction at running speed", motor.friction_w, "W",
            "the rest of back-EMF times running current",
        ),
        "leakage_inductance": (
            "leakage inductance", motor.leakage_henry, "H",
            "inrush voltage over inrush current, times the assumed leakage time",
        ),
        "main_inductance": (
            "main inductance", motor.main_henry, "H",
            "inrush voltage over inrush current, times the assumed time of the winding",
        ),
        "eddy_resistance": (
            "resistance of the eddy-current path", motor.eddy_ohm or 0.0, "Ω",
            "inrush voltage over inrush current, times the assumed ratio",
        ),
    }  # fmt: skip
    return [
        AssumedValue(
            f"motor_{key}", f"{name}: {title}", part_id, value, value, value, unit, how, "derived", False
        )
        for key, (title, value, unit, how) in made.items()
    ]


def hold_after(run_up: Level, own: Figures, part_id: str) -> Second:
    """How long a heavy load is held where nobody says: its run-up and an assumed time."""
    return run_up.value + own.level("hold_after_run_up", part_id).value

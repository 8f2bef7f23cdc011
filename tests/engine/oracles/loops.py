"""Boats of one loop, in which nothing is assumed: every resistance stands in the document."""

from server.boat.boat import Boat, Override, Practice
from server.boat.conductors import Conductor, Joint, Size
from server.boat.constructors import at
from server.boat.devices import ConstantCurrent, ConstantPower, LoadInput
from server.boat.modes import Mode, Running
from server.boat.parts import AnyPart, Battery, Load

FOOT_M = 0.3048
STIFF_OHM = 1e-4
"""Internal resistance of a battery that hardly gives way."""


def battery(volts: float, ohm: float = STIFF_OHM, name: str = "battery", nominal_v: float = 12.0) -> Battery:
    """A battery whose rest voltage and resistance are given, so that neither is assumed."""
    return Battery(
        kind="battery",
        id=name,
        name=name,
        chemistry="flooded",
        nominal_voltage_v=nominal_v,
        rest_voltage_v=volts,
        internal_resistance_ohm=ohm,
    )


def load(demand: ConstantPower | ConstantCurrent, *, design_current_a: float | None = None) -> Load:
    """A load called ``load`` with its terminals ``main`` and ``negative``."""
    only = LoadInput(id="main", demand=demand, design_current_a=design_current_a)
    return Load(kind="load", id="load", name="Load", role="other", inputs=(only,))


def wire(  # noqa: PLR0913 - what a wire is made of
    name: str, tail: str, head: str, *, ohm_per_m: float, length_m: float, area_mm2: float = 2.5
) -> Conductor:
    """A wire of a stated resistance per metre at 20 °C between perfect joints."""
    perfect = Joint(resistance_ohm=0.0)
    return Conductor(
        id=name,
        kind="wire",
        tail=at(tail),
        head=at(head),
        tail_joint=perfect,
        head_joint=perfect,
        size=Size(label="as stated", area_mm2=area_mm2, resistance_ohm_per_m=ohm_per_m),
        length_m=length_m,
    )


def measured(name: str, tail: str, head: str, ohm: float) -> Conductor:
    """A conductor of a measured resistance, joints and all; of 0 Ω it is a dead joint."""
    return Conductor(id=name, kind="wire", tail=at(tail), head=at(head), measured_resistance_ohm=ohm)


def boat(
    parts: tuple[AnyPart, ...],
    conductors: tuple[Conductor, ...],
    *,
    nominal_v: float = 12.0,
    conductor_c: float = 20.0,
    kink: float = 0.5,
) -> Boat:
    """A boat in one mode, ``on``, with its load on and its copper at a stated temperature."""

    def taken(key: str, value: float) -> Override:
        return Override(key=key, low=value, value=value, high=value, source="stated by the example")

    return Boat(
        format="tapchart.boat",
        version=1,
        name="One loop",
        nominal_voltage_v=nominal_v,
        practice=Practice(),
        assumptions=(taken("conductor_temperature", conductor_c), taken("undervoltage_kink", kink)),
        parts=parts,
        conductors=conductors,
        modes=(Mode(id="on", name="On", on=(Running(part="load"),)),),
    )

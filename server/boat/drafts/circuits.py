"""The branch circuits of a draft: what a boat of a length usually carries, in round figures of our own."""

from dataclasses import dataclass
from typing import Literal

from server.boat.devices import ConstantPower, Demand, LoadInput, Motor, Overcurrent, PanelWay
from server.boat.drafts.sheet import Sheet
from server.boat.drafts.sizing import device_a, gauge_for
from server.boat.parts import Load, LoadRole
from server.boat.value import Id
from server.units import Ampere, Metre, Volt, Watt

FIGURE_SOURCE = (
    "Assumed in the draft: electronics of usual make run down to three quarters of the nominal voltage"
)
LEAST_SHARE, MOST_SHARE = 0.75, 1.3
BRANCH_INTERRUPTING_A: Ampere = 5000.0
SMALLEST_DEVICE_A: Ampere = 5.0
CRITICAL_DROP, OTHER_DROP = 0.015, 0.06
"""Well within the published 3 and 10 per cent, for the feeder, joints and devices take their part."""


@dataclass(frozen=True, slots=True)
class Circuit:
    """One load on one way of the panel; shorter boats than ``from_m`` do without it."""

    id: Id
    name: str
    role: LoadRole
    design_w: Watt
    usual_w: Watt
    share: float
    zone: str
    from_m: Metre = 0.0
    critical: bool = False
    is_motor: bool = False
    consequence: Literal["safety", "operation", "comfort"] = "comfort"


CIRCUITS = (
    Circuit(
        "navigation-lights", "Navigation lights", "navigation-lights", 18, 12, 0.06, "bow",
        critical=True, consequence="safety",
    ),
    Circuit(
        "plotter", "Chart plotter", "electronics", 24, 18, 0.8, "helm", critical=True, consequence="operation"
    ),
    Circuit("vhf", "VHF radio", "radio", 60, 7, 0.56, "cabin", critical=True, consequence="safety"),
    Circuit(
        "instruments", "Instruments", "electronics", 12, 9, 0.8, "helm", 7,
        critical=True, consequence="operation",
    ),
    Circuit(
        "autopilot", "Autopilot", "autopilot", 96, 36, 0.92, "helm", 9,
        critical=True, consequence="operation",
    ),
    Circuit("cabin-lights", "Cabin lights", "lights", 30, 20, 0.4, "cabin"),
    Circuit("water-pump", "Fresh-water pump", "pump", 60, 60, 0.45, "cabin", 7, is_motor=True),
    Circuit("fridge", "Refrigerator", "refrigeration", 60, 48, 0.5, "cabin", 8),
)  # fmt: skip


def circuits(length_m: Metre) -> tuple[Circuit, ...]:
    """What a boat of this length carries."""
    return tuple(one for one in CIRCUITS if length_m >= one.from_m)


def way(circuit: Circuit, volts: Volt) -> PanelWay:
    """Its way of the panel with a breaker."""
    return PanelWay(
        id=circuit.id, name=circuit.name, device_kind="breaker", device=breaker(rating(circuit, volts))
    )


def rating(circuit: Circuit, volts: Volt) -> Ampere:
    """The rating of its breaker."""
    return max(SMALLEST_DEVICE_A, device_a(circuit.design_w / volts))


def breaker(rating_a: Ampere) -> Overcurrent:
    """A branch breaker."""
    return Overcurrent(
        device_class="thermal-magnetic-breaker",
        rating_a=rating_a,
        voltage_rating_v=32.0,
        interrupting_a=BRANCH_INTERRUPTING_A,
        reset="manual-trip-free",
    )


def put_circuit(sheet: Sheet, circuit: Circuit, number: int) -> None:
    """The load with its two leads to the panel; ``number`` is its stud of the negative bar."""
    volts = sheet.volts
    sheet.put(
        Load(
            kind="load",
            id=circuit.id,
            name=circuit.name,
            place=sheet.spot(circuit.share, 0.5, 1.0),
            zone=circuit.zone,
            role=circuit.role,
            inputs=(_input(circuit, volts),),
            consequence=circuit.consequence,
            duty="short-time" if circuit.is_motor else "continuous",
            circuit_class="critical" if circuit.critical else "other",
        )
    )
    out, home = (
        (f"panel.dc-{circuit.id}", f"{circuit.id}.supply"),
        (f"{circuit.id}.negative", f"panel.neg-stud-{number}"),
    )
    path_m = sheet.metres(*out) + sheet.metres(*home)
    allowed = (CRITICAL_DROP if circuit.critical else OTHER_DROP) * volts
    gauge = gauge_for(rating(circuit, volts), circuit.design_w / volts, path_m, allowed, hot=False)
    sheet.wire(f"{circuit.id}-pos", *out, gauge, "red")
    sheet.wire(f"{circuit.id}-neg", *home, gauge, "black")


def _input(circuit: Circuit, volts: Volt) -> LoadInput:
    demand: Demand = (
        Motor(
            kind="motor",
            running_current_a=circuit.usual_w / volts,
            running_voltage_v=volts,
            winding="permanent-magnet",
        )
        if circuit.is_motor
        else ConstantPower(kind="constant-power", power_w=circuit.usual_w)
    )
    has_limits = not circuit.is_motor and circuit.role != "lights"
    return LoadInput(
        id="supply",
        demand=demand,
        design_current_a=circuit.design_w / volts,
        minimum_voltage_v=LEAST_SHARE * volts if has_limits else None,
        maximum_voltage_v=MOST_SHARE * volts if has_limits else None,
        limit_source=FIGURE_SOURCE if has_limits else None,
    )

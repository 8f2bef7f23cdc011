"""Values that several kinds of part are made of: protective devices, coils, what a load asks for."""

from typing import Annotated, Literal

from pydantic import Field

from server.boat.value import (
    Id,
    Known,
    Name,
    NonNegative,
    Positive,
    Temperature,
    TerminalName,
    Text,
    Value,
    YesNo,
)

DeviceClass = Literal[
    "blade",
    "glass",
    "bolt-down",
    "class-t",
    "terminal",
    "thermal-breaker",
    "magnetic-breaker",
    "thermal-magnetic-breaker",
]
BLADES = frozenset({"blade", "glass"})
"""Small fuses in clips."""


class CurvePoint(Value):
    """One point of a time-current band: at this multiple of its rating a device opens between two times."""

    multiple: Positive
    shortest_s: NonNegative
    longest_s: NonNegative | None = None


class Overcurrent(Value):
    """The figures of a fuse or a circuit breaker."""

    device_class: DeviceClass | None = None
    rating_a: Positive | None = None
    voltage_rating_v: Positive | None = None
    interrupting_a: Positive | None = None
    resistance_ohm: Known | None = None
    curve: tuple[CurvePoint, ...] | None = None
    curve_source: Text | None = None
    holder: Name | None = None
    reset: Literal["manual-trip-free", "manual", "automatic", "replace"] | None = None
    polarity_sensitive: YesNo | None = None
    ambient_c: Temperature | None = None


class Suppression(Value):
    """What limits the voltage of a coil when its current is broken."""

    kind: Literal["none", "diode", "varistor", "resistor", "diode-and-zener"]
    clamp_v: Positive | None = None
    resistance_ohm: Positive | None = None


class ConstantPower(Value):
    """Electronics behind a converter: less voltage, more current."""

    kind: Literal["constant-power"]
    power_w: Known


class ConstantCurrent(Value):
    """A load that draws the same current at any voltage it works at."""

    kind: Literal["constant-current"]
    current_a: Known


class Resistive(Value):
    """A resistance, given by what it takes at its rated voltage."""

    kind: Literal["resistive"]
    rated_power_w: Known
    rated_voltage_v: Positive


class Motor(Value):
    """A motor; its inrush is the current at the voltage at the motor's own terminals at standstill."""

    kind: Literal["motor"]
    running_current_a: Known
    running_voltage_v: Positive | None = None
    inrush_current_a: Known | None = None
    inrush_voltage_v: Positive | None = None
    run_up_s: Known | None = None
    winding: Literal["series", "permanent-magnet"] | None = None


class Coil(Value):
    """The coil of a solenoid, relay or contactor: a load with pull-in and hold voltages."""

    kind: Literal["coil"]
    current_a: Known
    rated_voltage_v: Positive
    inductance_h: Known | None = None
    pull_in_v: Known | None = None
    hold_v: Known | None = None
    suppression: Suppression | None = None


Demand = Annotated[
    ConstantPower | ConstantCurrent | Resistive | Motor | Coil,
    Field(discriminator="kind"),
]


class LoadInput(Value):
    """One supply input of a load; its id is the name of its terminal."""

    id: TerminalName
    name: Name | None = None
    demand: Demand
    returns_to: TerminalName = "negative"
    design_current_a: Known | None = None
    minimum_voltage_v: Known | None = None
    maximum_voltage_v: Known | None = None
    hold_up_s: Known | None = None
    input_capacitance_f: Known | None = None
    input_capacitance_ohm: Known | None = None
    limit_source: Text | None = None


class Output(Value):
    """A terminal from which a load passes its supply on to another."""

    id: TerminalName
    from_input: TerminalName
    resistance_ohm: Known | None = None


class BackboneDevice(Value):
    """A device on an instrument backbone, in load equivalency units of 50 mA."""

    name: Name
    units: Positive


class Backbone(Value):
    """Trunk and devices of an instrument backbone."""

    trunk_length_m: Known | None = None
    trunk_ohm_per_m: Known | None = None
    devices: tuple[BackboneDevice, ...] = ()


class TripPoint(Value):
    """A current a pack's own electronics stand, and for how long."""

    current_a: Positive
    time_s: NonNegative


class Pack(Value):
    """What a lithium pack's own electronics allow; they never count as overcurrent protection."""

    discharge_limit_a: Positive | None = None
    charge_limit_a: Positive | None = None
    trips: tuple[TripPoint, ...] = ()
    low_cut_off_v: Positive | None = None
    high_cut_off_v: Positive | None = None
    ports: Literal["common", "separate"] = "common"
    precharge: YesNo | None = None


class ContactPosition(Value):
    """A position of a contact part and the pairs of terminals that it joins."""

    id: Id
    name: Name
    closed: tuple[tuple[TerminalName, TerminalName], ...] = ()


class AuxiliaryContact(Value):
    """A light contact that follows a main one, such as one that opens an alternator's field first."""

    name: Name
    terminals: tuple[TerminalName, TerminalName]
    closed_in: tuple[Id, ...]
    leads_main: YesNo | None = None


class PanelWay(Value):
    """One branch circuit of a panel section."""

    id: Id
    name: Name
    device_kind: Literal["fuse", "breaker"] | None = None
    device: Overcurrent | None = None
    normally: Literal["on", "off"] = "on"


class PanelSection(Value):
    """A bar of a panel with its ways or plain studs, fed at one terminal."""

    id: Id
    name: Name
    polarity: Literal["positive", "negative"]
    main_kind: Literal["fuse", "breaker"] | None = None
    main: Overcurrent | None = None
    bar_rating_a: Positive | None = None
    always_live: bool = False
    ways: tuple[PanelWay, ...] = ()
    studs: Annotated[int, Field(ge=0, le=200)] = 0
    electronic_outputs: bool = False

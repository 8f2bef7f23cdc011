"""Everything with terminals, one class a kind, told apart by ``kind``.

The terminals of each kind are listed in ``server.boat.terminals``.
"""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from server.boat.devices import (
    AuxiliaryContact,
    Backbone,
    Coil,
    ContactPosition,
    LoadInput,
    Motor,
    Output,
    Overcurrent,
    Pack,
    PanelSection,
)
from server.boat.value import (
    Fraction,
    Id,
    Known,
    Name,
    NonNegative,
    Place,
    Positive,
    Temperature,
    TerminalName,
    Text,
    Trace,
    Value,
    YesNo,
    refuse,
)

Studs = Annotated[int, Field(ge=1, le=200)]
Outputs = Annotated[int, Field(ge=1, le=4)]


class Part(Value):
    """What every part can say about itself.

    ``waypoint`` is where it is reached from, ``from_waypoint_m`` how far a conductor goes between the two.
    Without a ``deck`` it stands on that of its height.
    """

    kind: str
    id: Id
    name: Name
    tag: Name | None = None
    notes: Text | None = None
    place: Place | None = None
    waypoint: Id | None = None
    from_waypoint_m: NonNegative | None = None
    deck: Id | None = None
    zone: Id | None = None
    island: Id | None = None
    ignition_protected: YesNo | None = None
    trace: Trace | None = None


class Battery(Part):
    """One battery as it is carried aboard; a bank is wired from several with jumpers."""

    kind: Literal["battery"]
    chemistry: Literal["flooded", "gel", "agm", "lifepo4"]
    nominal_voltage_v: Positive
    capacity_ah: Positive | None = None
    cranking_a: Positive | None = None
    cranking_standard: Literal["sae", "en", "din", "iec", "marine"] | None = None
    internal_resistance_ohm: Known | None = None
    short_circuit_a: Positive | None = None
    rest_voltage_v: Positive | None = None
    state_of_charge: Fraction | None = None
    temperature_c: Temperature | None = None
    age_factor: Positive | None = None
    bank: Name | None = None
    use: Literal["house", "start", "thruster", "other"] | None = None
    pack: Pack | None = None


class Fuse(Overcurrent, Part):
    """A fuse with its holder."""

    kind: Literal["fuse"]


class Breaker(Overcurrent, Part):
    """A circuit breaker that stands alone."""

    kind: Literal["breaker"]


class Contact(Part):
    """Any switch, selector, relay or contactor: positions and the pairs each one joins."""

    kind: Literal["contact"]
    preset: Name | None = None
    terminals: Annotated[tuple[TerminalName, ...], Field(min_length=2)]
    positions: tuple[ContactPosition, ...]
    normal: Id
    order: Literal["make-before-break", "break-before-make"] | None = None
    poles: Annotated[int, Field(ge=1, le=8)] = 1
    actuator: Literal["hand", "coil", "motor"] = "hand"
    latching: bool = False
    momentary: bool = False
    coil: Coil | None = None
    auxiliary: tuple[AuxiliaryContact, ...] = ()
    continuous_a: Positive | None = None
    five_minute_a: Positive | None = None
    cranking_a: Positive | None = None
    voltage_rating_v: Positive | None = None
    resistance_ohm: Known | None = None
    is_battery_switch: bool = False

    @model_validator(mode="after")
    def _positions_meet_terminals(self) -> Self:
        ids = [position.id for position in self.positions]
        joined = {name for position in self.positions for pair in position.closed for name in pair}
        followed = {name for contact in self.auxiliary for name in contact.closed_in}
        if len(set(ids)) < len(ids):
            refuse("two positions have one id; give each its own")
        if self.normal not in ids:
            refuse(f"the normal position “{self.normal}” is none of the positions")
        if unknown := sorted(joined - set(self.terminals)):
            refuse(f"a position joins “{unknown[0]}”, which is none of the terminals")
        if unknown := sorted(followed - set(ids)):
            refuse(f"an auxiliary contact names “{unknown[0]}”, which is none of the positions")
        return self


class MeasuringShunt(Part):
    """A resistor that a battery monitor reads: its battery side and its system side."""

    kind: Literal["measuring-shunt"]
    rated_current_a: Positive
    rated_voltage_v: Positive
    bank: Name | None = None


class Busbar(Part):
    """A bar with studs in order; with section and stud pitch it is solved as a chain."""

    kind: Literal["busbar"]
    studs: Studs
    stud_pitch_m: Positive | None = None
    section_mm2: Positive | None = None
    material: Literal["copper", "brass", "tinned-copper"] | None = None
    rated_current_a: Positive | None = None
    stud_size: Name | None = None
    voltage_rating_v: Positive | None = None


class Post(Part):
    """A single stud or terminal post; lugs stack on it."""

    kind: Literal["post"]
    stud_size: Name | None = None
    rated_current_a: Positive | None = None


class Connector(Part):
    """A plug, deck plug, splice, bulkhead stud or terminal strip: pin ``a-n`` meets ``b-n``."""

    kind: Literal["connector"]
    style: Literal["plug", "deck-plug", "splice", "bulkhead-stud", "terminal-strip", "cage-terminal"]
    pins: Annotated[int, Field(ge=1, le=100)]
    resistance_ohm: Known | None = None
    rated_current_a: Positive | None = None
    largest_mm2: Positive | None = None


class Panel(Part):
    """A panelboard of one or more sections."""

    kind: Literal["panel"]
    sections: Annotated[tuple[PanelSection, ...], Field(min_length=1)]
    voltage_rating_v: Positive | None = None


class EngineBlock(Part):
    """The metal of an engine, as a place where negatives land."""

    kind: Literal["engine-block"]
    studs: Studs
    fuel: Literal["diesel", "petrol", "gas", "electric"] | None = None
    negative: Literal["block", "insulated", "switched"] | None = None
    resistance_ohm: Known | None = None


class Bonding(Part):
    """Hull, bonding bus, shaft, anode or link to the shore earth: a path never meant for load current."""

    kind: Literal["bonding"]
    role: Literal["hull", "bonding-bus", "shaft", "anode", "ac-earth-link"]
    studs: Studs
    resistance_ohm: Known | None = None


LoadRole = Literal[
    "electronics",
    "autopilot",
    "radio",
    "backbone",
    "navigation-lights",
    "lights",
    "bilge-pump",
    "alarm",
    "pump",
    "blower",
    "refrigeration",
    "heating",
    "outlet",
    "engine-control",
    "stop-solenoid",
    "glow-plugs",
    "starter",
    "windlass",
    "thruster",
    "winch",
    "furler",
    "other",
]


class Load(Part):
    """Anything that takes current: named inputs, one or more negatives, a consequence when it fails."""

    kind: Literal["load"]
    role: LoadRole
    inputs: Annotated[tuple[LoadInput, ...], Field(min_length=1)]
    negatives: Annotated[tuple[TerminalName, ...], Field(min_length=1)] = ("negative",)
    outputs: tuple[Output, ...] = ()
    heavy: bool = False
    consequence: Literal["safety", "operation", "comfort"] | None = None
    duty: Literal["continuous", "short-time", "momentary"] | None = None
    duty_on_s: Positive | None = None
    circuit_class: Literal["critical", "other"] | None = None
    bypasses_switch: Text | None = None
    backbone: Backbone | None = None

    @model_validator(mode="after")
    def _names_meet_terminals(self) -> Self:
        inputs = {i.id for i in self.inputs}
        for one in self.inputs:
            if one.returns_to not in {*self.negatives, *inputs} - {one.id}:
                refuse(f"the input “{one.id}” returns to “{one.returns_to}”, which is none of the negatives")
        for output in self.outputs:
            if output.from_input not in inputs:
                refuse(
                    f"the output “{output.id}” comes from “{output.from_input}”, which is none of the inputs"
                )
        return self


class Inverter(Part):
    """An inverter or inverter/charger: takes current from the bank, or charges it."""

    kind: Literal["inverter"]
    rated_power_w: Positive
    surge_power_w: Positive | None = None
    efficiency: Fraction | None = None
    idle_power_w: NonNegative | None = None
    low_cut_out_v: Positive | None = None
    minimum_voltage_v: Known | None = None
    hold_up_s: Known | None = None
    charge_current_a: Positive | None = None
    charge_voltage_v: Positive | None = None
    input_capacitance_f: Known | None = None
    heavy: bool = True
    consequence: Literal["safety", "operation", "comfort"] | None = None
    open_circuit_harms: YesNo | None = None


class Alternator(Part):
    """An alternator with its regulator, sense and field."""

    kind: Literal["alternator"]
    rated_current_a: Positive
    hot_idle_a: Positive | None = None
    hot_cruise_a: Positive | None = None
    setpoint_v: Positive | None = None
    output_resistance_ohm: Known | None = None
    regulator: Literal["internal", "external"] | None = None
    sense_at: Literal["own-terminal", "sense-terminal"] | None = None
    case: Literal["grounded", "isolated"] | None = None
    self_limiting: YesNo | None = None
    open_circuit_harms: YesNo | None = None
    suppressor: YesNo | None = None
    engine: Id | None = None


class Charger(Part):
    """A battery charger fed from the shore or a generator."""

    kind: Literal["charger"]
    outputs: Outputs = 1
    rated_current_a: Positive
    setpoint_v: Positive | None = None
    output_resistance_ohm: Known | None = None
    open_circuit_harms: YesNo | None = None


class Solar(Part):
    """Solar panels behind their charge controller."""

    kind: Literal["solar"]
    rated_current_a: Positive
    setpoint_v: Positive | None = None
    output_resistance_ohm: Known | None = None
    open_circuit_harms: YesNo | None = None


class Combiner(Part):
    """A relay that joins two banks while one of them is charged."""

    kind: Literal["combiner"]
    connect_v: Positive | None = None
    disconnect_v: Positive | None = None
    delay_s: NonNegative | None = None
    rated_current_a: Positive | None = None
    resistance_ohm: Known | None = None
    normal: Literal["auto", "open", "closed"] = "auto"


class Isolator(Part):
    """A diode isolator: one input, several outputs, a forward voltage on the way."""

    kind: Literal["isolator"]
    outputs: Outputs = 2
    forward_v: Known | None = None
    resistance_ohm: Known | None = None
    rated_current_a: Positive | None = None


class Converter(Part):
    """A DC-DC converter between two voltages or two banks.

    It stops below ``minimum_input_v`` and runs again once its input was above ``restart_input_v`` for
    ``restart_after_s``.
    """

    kind: Literal["converter"]
    output_v: Positive
    rated_current_a: Positive
    efficiency: Fraction | None = None
    isolated: bool = False
    minimum_input_v: Positive | None = None
    restart_input_v: Positive | None = None
    restart_after_s: NonNegative | None = None
    output_resistance_ohm: Known | None = None
    role: Literal["charger", "supply", "equaliser"] = "supply"


class Outboard(Part):
    """An outboard engine at the end of its own harness: starter, charging and electronics in one."""

    kind: Literal["outboard"]
    starter: Motor
    control_power_w: Known | None = None
    control_minimum_v: Known | None = None
    charging_a: Positive | None = None
    setpoint_v: Positive | None = None
    output_resistance_ohm: Known | None = None
    harness_ohm: Known | None = None
    open_circuit_harms: YesNo | None = None
    fuel: Literal["petrol", "diesel", "electric"] | None = None


AnyPart = Annotated[
    Battery
    | Fuse
    | Breaker
    | Contact
    | MeasuringShunt
    | Busbar
    | Post
    | Connector
    | Panel
    | EngineBlock
    | Bonding
    | Load
    | Inverter
    | Alternator
    | Charger
    | Solar
    | Combiner
    | Isolator
    | Converter
    | Outboard,
    Field(discriminator="kind"),
]

"""Writes ``golden/v1.json``: one thing of every kind, every list and every optional value in use.

Run once a format version, by hand; the file then never changes again.
"""

from pathlib import Path

from server.boat.boat import Boat, DataLink, Earthing, Island, NotSeen, Override, Practice, Zone
from server.boat.conductors import Cable, Conductor, Joint, Size
from server.boat.constructors import at, busbar, link
from server.boat.devices import (
    AuxiliaryContact,
    Backbone,
    BackboneDevice,
    Coil,
    ConstantCurrent,
    ConstantPower,
    CurvePoint,
    LoadInput,
    Motor,
    Output,
    Overcurrent,
    Pack,
    PanelSection,
    PanelWay,
    Resistive,
    Suppression,
    TripPoint,
)
from server.boat.document import boat_bytes
from server.boat.modes import (
    Conditions,
    Event,
    EventStep,
    HeavyInput,
    Mode,
    Observation,
    PositionSetting,
    Reading,
    Running,
)
from server.boat.parts import (
    Alternator,
    Battery,
    Bonding,
    Breaker,
    Charger,
    Combiner,
    Connector,
    Converter,
    EngineBlock,
    Fuse,
    Inverter,
    Isolator,
    Load,
    MeasuringShunt,
    Outboard,
    Panel,
    Post,
    Solar,
)
from server.boat.presets import relay, selector
from server.boat.value import Place, Span

GOLDEN = Path(__file__).parent / "golden" / "v1.json"

COIL = Coil(
    kind="coil",
    current_a=0.8,
    rated_voltage_v=12.0,
    inductance_h=0.12,
    pull_in_v=8.0,
    hold_v=Span(low=3.0, high=5.0, value=4.0),
    suppression=Suppression(kind="diode-and-zener", clamp_v=36.0),
)
CURVE = (
    CurvePoint(multiple=1.1, shortest_s=360.0),
    CurvePoint(multiple=6.0, shortest_s=0.01, longest_s=0.2),
)
STARTER = Motor(
    kind="motor",
    running_current_a=110.0,
    inrush_current_a=360.0,
    inrush_voltage_v=9.6,
    run_up_s=0.3,
    winding="series",
)


def parts() -> tuple[object, ...]:
    """One part of every kind."""
    way = PanelWay(
        id="w1", name="Radio", device_kind="breaker", device=Overcurrent(rating_a=10.0), normally="off"
    )
    section = PanelSection(
        id="main", name="Main", polarity="positive", main_kind="fuse", ways=(way,), studs=2
    )
    follower = AuxiliaryContact(
        name="Field", terminals=("field-in", "field-out"), closed_in=("one", "both", "two"), leads_main="yes"
    )
    return (
        Battery(
            kind="battery",
            id="house",
            name="House “A” – øst",
            chemistry="lifepo4",
            nominal_voltage_v=12.8,
            capacity_ah=200.0,
            internal_resistance_ohm=Span(low=0.002, high=0.006),
            bank="House",
            use="house",
            place=Place(from_bow_m=6.5, from_centreline_m=-0.4, height_m=-0.2),
            pack=Pack(
                discharge_limit_a=200.0, trips=(TripPoint(current_a=400.0, time_s=3.0),), ports="separate"
            ),
        ),
        Fuse(
            kind="fuse",
            id="fuse",
            name="Fuse",
            device_class="class-t",
            rating_a=200.0,
            curve=CURVE,
            reset="replace",
        ),
        Breaker(
            kind="breaker", id="breaker", name="Breaker", reset="manual-trip-free", interrupting_a=3000.0
        ),
        selector("selector", "Selector", resistance_ohm=0.0002).model_copy(update={"auxiliary": (follower,)}),
        relay("relay", "Relay", coil=COIL),
        MeasuringShunt(
            kind="measuring-shunt", id="shunt", name="Shunt", rated_current_a=500.0, rated_voltage_v=0.05
        ),
        busbar("bus", "Bus", 6),
        Post(kind="post", id="post", name="Post", stud_size="M8"),
        Connector(kind="connector", id="plug", name="Plug", style="deck-plug", pins=3, largest_mm2=6.0),
        Panel(kind="panel", id="panel", name="Panel", sections=(section,)),
        EngineBlock(kind="engine-block", id="block", name="Block", studs=3, fuel="diesel", negative="block"),
        Bonding(kind="bonding", id="hull", name="Hull", role="hull", studs=2),
        Load(
            kind="load",
            id="pilot",
            name="Autopilot",
            role="autopilot",
            inputs=(
                LoadInput(
                    id="main", demand=ConstantPower(kind="constant-power", power_w=35.0), hold_up_s=0.02
                ),
                LoadInput(id="wake", demand=ConstantCurrent(kind="constant-current", current_a=0.02)),
                LoadInput(
                    id="heater", demand=Resistive(kind="resistive", rated_power_w=10.0, rated_voltage_v=12.0)
                ),
            ),
            outputs=(Output(id="sensor", from_input="main", resistance_ohm=0.1),),
            consequence="operation",
            backbone=Backbone(trunk_length_m=8.0, devices=(BackboneDevice(name="Compass", units=2.0),)),
        ),
        Load(
            kind="load",
            id="starter",
            name="Starter",
            role="starter",
            heavy=True,
            duty="momentary",
            duty_on_s=10.0,
            inputs=(LoadInput(id="main", demand=STARTER), LoadInput(id="solenoid", demand=COIL)),
        ),
        Inverter(kind="inverter", id="inverter", name="Inverter", rated_power_w=2000.0, surge_power_w=4000.0),
        Alternator(
            kind="alternator",
            id="alternator",
            name="Alternator",
            rated_current_a=90.0,
            engine="block",
            zone="engine-room",
        ),
        Charger(kind="charger", id="charger", name="Charger", outputs=2, rated_current_a=40.0),
        Solar(kind="solar", id="solar", name="Solar", rated_current_a=15.0, open_circuit_harms="yes"),
        Combiner(
            kind="combiner", id="combiner", name="Combiner", connect_v=13.3, disconnect_v=12.7, delay_s=30.0
        ),
        Isolator(kind="isolator", id="isolator", name="Isolator", forward_v=0.7),
        Converter(
            kind="converter",
            id="converter",
            name="Converter",
            output_v=12.0,
            rated_current_a=30.0,
            isolated=True,
        ),
        Outboard(
            kind="outboard", id="outboard", name="Outboard", starter=STARTER, fuel="petrol", island="twelve"
        ),
    )


def golden() -> Boat:
    """A document in which nothing the format can say is left unsaid; no boat anyone would build."""
    conditions = Conditions(
        state_of_charge=0.6, temperature_c=5.0, age_factor=1.5, attempt=2, cranking="loaded"
    )
    wire = Conductor(
        id="wire",
        kind="wire",
        name="House positive",
        cable="cable",
        core="red",
        tail=at("house.positive"),
        head=at("selector.battery-1"),
        tail_joint=Joint(
            style="crimped-ring", resistance_ohm=0.0001, hole="M8", stack_position=1, condition="clean"
        ),
        size=Size(label="50 mm²", area_mm2=50.0, resistance_ohm_per_m=0.000386, source="IEC 60228 class 5"),
        material="tinned-copper",
        insulation_c=105.0,
        length_m=Span(low=1.5, high=2.0, value=1.8),
        length_basis="estimated",
        in_engine_space="no",
        measured_resistance_ohm=0.0008,
        reading="reading",
        trace="seen",
    )
    return Boat.model_validate(
        {
            "format": "tapchart.boat",
            "version": 1,
            "name": "Everything at once",
            "nominal_voltage_v": 12.0,
            "length_m": 10.4,
            "notes": "Two lines,\nwith “quotes” and µΩ.",
            "practice": Practice(
                profile="iso-metric", propulsion_fuel="diesel", propulsion="inboard", built_year=1998
            ),
            "earthing": Earthing(system="negative-grounded", notes="At the block."),
            "islands": (Island(id="twelve", name="12 V", nominal_voltage_v=12.0),),
            "zones": (Zone(id="engine-room", name="Engine room", engine_space=True),),
            "assumptions": (
                Override(
                    key="joint_resistance",
                    subject="bus",
                    low=0.0001,
                    value=0.0002,
                    high=0.001,
                    source="clamp",
                ),
            ),
            "parts": parts(),
            "cables": (Cable(id="cable", number="W1", construction="twin", sheathed=True, cores=2),),
            "conductors": (
                wire,
                link("link", "bus.stud-1", "block.stud-1"),
                Conductor(id="loose", kind="wire", tail=at("plug.a-1"), trace="not-found"),
            ),
            "links": (DataLink(id="data", name="Backbone", parts=("pilot", "outboard"), isolated="no"),),
            "modes": (
                Mode(
                    id="sailing",
                    name="Sailing",
                    hours_per_day=16.0,
                    positions=(
                        PositionSetting(part="selector", position="both"),
                        PositionSetting(part="panel", way="main-w1", position="on"),
                        PositionSetting(part="combiner", position="auto"),
                    ),
                    on=(Running(part="pilot", input="main", hours_per_day=12.0), Running(part="solar")),
                    conditions=conditions,
                ),
            ),
            "events": (
                Event(
                    id="start",
                    name="Cold start",
                    mode="sailing",
                    heavy=HeavyInput(part="starter", input="main"),
                    steps=(EventStep(action="press", part="starter", input="main", at_s=0.5),),
                    conditions=conditions,
                ),
            ),
            "readings": (
                Reading(
                    id="reading",
                    plus=at("house.positive"),
                    minus=at("selector.battery-1"),
                    volts_v=0.29,
                    amps_a=360.0,
                    mode="sailing",
                    event="start",
                ),
            ),
            "observations": (
                Observation(
                    id="observation", subject="cable", aspect="chafe", state="poor", note="At the bulkhead."
                ),
            ),
            "not_seen": (NotSeen(id="unseen", what="Behind the tank", subject="hull", share=0.1),),
        }
    )


if __name__ == "__main__":
    GOLDEN.write_bytes(boat_bytes(golden()))

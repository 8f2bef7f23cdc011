"""A boat small enough to follow by hand, for tests of single edits."""

from server.boat.boat import Boat, DataLink, Island, NotSeen, Override, Zone
from server.boat.conductors import Cable, Conductor, Joint, Size
from server.boat.constructors import at, busbar, electronics, fuse, link, wire
from server.boat.devices import Coil, ConstantPower, LoadInput, Motor, PanelSection, PanelWay
from server.boat.modes import (
    Event,
    EventStep,
    HeavyInput,
    Mode,
    Observation,
    PositionSetting,
    Reading,
    Running,
)
from server.boat.parts import Alternator, Battery, Combiner, EngineBlock, Inverter, Load, Outboard, Panel
from server.boat.presets import on_off, relay
from server.boat.value import Place

THIN = Size(label="2.5 mm²", area_mm2=2.5, resistance_ohm_per_m=7.98e-3)

PANEL = Panel(
    kind="panel",
    id="panel",
    name="Panel",
    sections=(
        PanelSection(
            id="main",
            name="Main",
            polarity="positive",
            ways=(PanelWay(id="w1", name="Autopilot"), PanelWay(id="w2", name="Spare")),
            studs=1,
        ),
    ),
    place=Place(from_bow_m=5.0),
)
PILOT = Load(
    kind="load",
    id="pilot",
    name="Autopilot",
    role="autopilot",
    place=Place(from_bow_m=9.0),
    inputs=(
        LoadInput(
            id="main", demand=ConstantPower(kind="constant-power", power_w=40.0), minimum_voltage_v=9.0
        ),
        LoadInput(id="wake", name="wake-up", demand=ConstantPower(kind="constant-power", power_w=1.0)),
    ),
)
STARTER = Load(
    kind="load",
    id="starter",
    name="Engine starter",
    role="starter",
    heavy=True,
    inputs=(
        LoadInput(id="main", demand=Motor(kind="motor", running_current_a=100.0)),
        LoadInput(id="solenoid", demand=Coil(kind="coil", current_a=8.0, rated_voltage_v=12.0)),
    ),
)
PARTS = (
    Battery(kind="battery", id="house", name="House", chemistry="agm", nominal_voltage_v=12.0),
    busbar("bus", "main negative bus", 4, Place(from_bow_m=6.0)),
    EngineBlock(
        kind="engine-block",
        id="block",
        name="engine block",
        studs=2,
        place=Place(from_bow_m=9.0, height_m=-0.5),
    ),
    PANEL,
    fuse("pilot-fuse", "Pilot fuse", 10.0),
    on_off("switch", "Pilot switch"),
    PILOT,
    STARTER,
    electronics("plotter", "Plotter", 20.0),
    relay("relay", "Relay", coil=Coil(kind="coil", current_a=0.2, rated_voltage_v=12.0)),
    Alternator(
        kind="alternator",
        id="alt",
        name="Alternator",
        rated_current_a=90.0,
        engine="block",
        zone="engine-room",
    ),
    Combiner(kind="combiner", id="combiner", name="Combiner"),
    Inverter(kind="inverter", id="inverter", name="Inverter", rated_power_w=1500.0),
)
CONDUCTORS = (
    wire("pilot-a", "pilot.main", "pilot-fuse.load", THIN, length_m=1.0),
    wire("pilot-b", "switch.in", "pilot-fuse.line", THIN, length_m=0.5),
    wire("pilot-c", "switch.out", "panel.main-w1", THIN, length_m=4.0),
    Conductor(
        id="pilot-n",
        kind="wire",
        name="Pilot negative",
        cable="w7",
        core="black",
        tail=at("pilot.negative"),
        head=at("block.stud-1"),
        head_joint=Joint(style="crimped-ring", resistance_ohm=0.001, stack_position=3),
        size=THIN,
        length_m=2.0,
        length_basis="measured",
        resistance_ohm=0.02,
        measured_resistance_ohm=0.03,
        reading="reading",
        trace="seen",
    ),
    wire("bus-block", "bus.stud-1", "block.stud-2", length_m=3.0),
    wire("plotter-p", "plotter.main", "panel.main-w2", THIN),
    wire("plotter-n", "plotter.negative", None, THIN, length_m=2.0),
    link("crank-n", "starter.negative", "block.stud-1"),
)
BOAT = Boat(
    format="tapchart.boat",
    version=1,
    name="Test boat",
    nominal_voltage_v=12.0,
    assumptions=(
        Override(key="joint_resistance", subject="bus", low=0.0, value=0.1, high=0.2, source="measured"),
    ),
    islands=(Island(id="island", name="12 V", nominal_voltage_v=12.0),),
    zones=(Zone(id="engine-room", name="Engine room", engine_space=True),),
    parts=PARTS,
    cables=(Cable(id="w7", number="W7", construction="twin", cores=2),),
    conductors=CONDUCTORS,
    links=(
        DataLink(id="link2", name="Two", parts=("pilot", "plotter")),
        DataLink(id="link3", name="Three", parts=("pilot", "plotter", "alt")),
    ),
    modes=(
        Mode(
            id="sailing",
            name="Sailing",
            positions=(PositionSetting(part="switch", position="on"),),
            on=(Running(part="pilot", hours_per_day=8.0), Running(part="plotter", input="main")),
        ),
        Mode(id="starting", name="Starting", on=(Running(part="starter", input="main"),)),
    ),
    events=(
        Event(
            id="start",
            name="Cold start",
            mode="starting",
            heavy=HeavyInput(part="starter", input="main"),
            steps=(
                EventStep(action="press", part="starter", input="main", at_s=0.0),
                EventStep(action="switch", part="switch", position="off", at_s=1.0),
            ),
        ),
    ),
    readings=(
        Reading(
            id="reading",
            plus=at("house.positive"),
            minus=at("block.stud-1"),
            volts_v=12.4,
            mode="starting",
            event="start",
        ),
    ),
    observations=(
        Observation(id="seen-block", subject="block", aspect="corrosion", state="poor"),
        Observation(id="seen-cable", subject="w7", aspect="chafe", state="poor"),
    ),
    not_seen=(NotSeen(id="unseen", what="behind the tank", subject="bus"),),
)

OUTBOARD = Outboard(
    kind="outboard", id="outboard", name="Outboard", starter=Motor(kind="motor", running_current_a=60.0)
)


def conductor(boat: Boat, name: str) -> Conductor:
    """The conductor with this id."""
    return next(item for item in boat.conductors if item.id == name)

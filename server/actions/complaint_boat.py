"""An ordinary boat from a complaint: the big copper, the device, and all else as one load.

What nobody knows is a range from common practice, marked as assumed and listed among what was not seen.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from server.actions.complaint_answers import CableSeen, Complaint, EngineSize, Return, Supply
from server.actions.complaint_sketch import USUAL, Sketch
from server.actions.complaint_states import (
    BAR,
    BATTERY,
    BLOCK,
    DEVICE,
    STARTER,
    SWITCH,
    modes,
    readings,
    start,
)
from server.boat.boat import Boat, Earthing, Practice
from server.boat.devices import (
    ConstantCurrent,
    ConstantPower,
    LoadInput,
    Motor,
    Overcurrent,
    PanelSection,
    PanelWay,
)
from server.boat.drafts.engines import AT_24_V, LOADED, STARTERS
from server.boat.parts import Alternator, Battery, Busbar, EngineBlock, Fuse, Load, Panel
from server.boat.presets import on_off
from server.boat.value import Known, Span, Trace
from server.units import Ampere, Volt

CRANKING_A: Mapping[EngineSize, Ampere] = MappingProxyType(
    {
        "small": STARTERS["small"].running_a,
        "medium": STARTERS["medium"].running_a,
        "large": STARTERS["large"].running_a,
        "petrol": 150.0,
        "outboard": 110.0,
    }
)
"""What starters draw at 12 V while they crank; common practice, no source."""
STARTER_SPREAD = (0.6, 1.5)
"""A starter's current against that of its engine's size; common practice, no source."""
ELSE_A = Span(low=1.0, value=5.0, high=15.0)
DEVICE_W = Span(low=5.0, value=20.0, high=60.0)
"""What a device, and all else that is on, may draw where nobody knows; common practice, no source."""
BRANCH_A: Ampere = 10.0
TWELVE_V: Volt = 12.0


def complaint_boat(said: Complaint) -> Boat:
    """The boat of a complaint, with its readings, as a document of the ordinary kind."""
    sketch = Sketch(said)
    _battery(sketch)
    _positive(sketch)
    _engine(sketch)
    _negative(sketch)
    _charging(sketch)
    _windlass(sketch)
    _panel(sketch)
    _device(sketch)
    _all_else(sketch)
    boat = Boat(
        format="tapchart.boat",
        version=1,
        name=said.name,
        nominal_voltage_v=said.nominal_voltage_v,
        notes="Begun from a complaint: the big copper alone. Put in all else as it is seen.",
        practice=Practice(
            propulsion="outboard" if said.engine == "outboard" else "inboard", propulsion_fuel=_fuel(said)
        ),
        earthing=Earthing(system="negative-grounded"),
        parts=tuple(sketch.parts),
        cables=tuple(sketch.cables),
        conductors=tuple(sketch.conductors),
        modes=modes(one.id for one in sketch.parts),
        events=(start(),),
        readings=tuple(readings(said.readings)),
        not_seen=tuple(sketch.not_seen),
    )
    return Boat.model_validate(boat.model_dump(), strict=False)


def _battery(sketch: Sketch) -> None:
    said = sketch.said
    sketch.parts.append(
        Battery(
            kind="battery",
            id=BATTERY,
            name="Battery",
            chemistry=said.chemistry,
            nominal_voltage_v=said.nominal_voltage_v,
            capacity_ah=said.capacity_ah,
            cranking_a=said.cranking_a,
            cranking_standard=None if said.cranking_a is None else "sae",
            rest_voltage_v=said.rest_v,
            bank="Battery",
            use="start",
        )
    )
    if said.capacity_ah is None and said.cranking_a is None:
        sketch.miss(BATTERY, "Battery: neither its capacity nor its cranking rating; taken as one of 100 Ah.")
    if said.rest_v is None:
        sketch.miss(BATTERY, "Battery: its volts at rest; taken as charged to 50 to 100 %.")


def _positive(sketch: Sketch) -> None:
    """Battery, fuse, switch, and the cable on to the starter."""
    said, post = sketch.said, f"{BATTERY}.positive"
    if said.fuse_a is not None:
        sketch.parts.append(
            Fuse(kind="fuse", id="main-fuse", name="Main fuse", rating_a=said.fuse_a, reset="replace")
        )
        sketch.link("fuse-post", post, "main-fuse.line")
        sketch.miss(
            "main-fuse", "Main fuse: how far along the cable it sits; taken as bolted to the battery."
        )
        post = "main-fuse.load"
    if said.has_switch:
        sketch.parts.append(on_off(SWITCH, "Battery switch", is_battery_switch=True))
        sketch.wire("plus", (post, f"{SWITCH}.in"), said.plus, USUAL["plus"], "red")
        sketch.wire("feed", (f"{SWITCH}.out", f"{STARTER}.motor"), said.feed, USUAL["feed"], "red")
    else:
        sketch.wire("plus", (post, f"{STARTER}.motor"), said.plus, USUAL["plus"], "red")


def _engine(sketch: Sketch) -> None:
    said = sketch.said
    sketch.parts += [
        Load(
            kind="load",
            id=STARTER,
            name="Engine starter",
            role="starter",
            inputs=(LoadInput(id="motor", demand=_starter(said)),),
            heavy=True,
            consequence="operation",
            duty="momentary",
        ),
        EngineBlock(
            kind="engine-block", id=BLOCK, name="Engine block", studs=6, fuel=_fuel(said), negative="block"
        ),
    ]
    sketch.link("starter-case", f"{STARTER}.negative", sketch.stud(BLOCK))
    if said.starter_a is None:
        sketch.miss(STARTER, "Engine starter: what it draws while it cranks; taken by the engine's size.")


def _fuel(said: Complaint) -> Literal["diesel", "petrol"]:
    return "petrol" if said.engine in {"petrol", "outboard"} else "diesel"


def _starter(said: Complaint) -> Motor:
    usual = CRANKING_A[said.engine] * (1.0 if said.nominal_voltage_v <= TWELVE_V else AT_24_V)
    running: Known = said.starter_a or Span(
        low=round(usual * STARTER_SPREAD[0], 1), value=usual, high=round(usual * STARTER_SPREAD[1], 1)
    )
    volts = LOADED * said.nominal_voltage_v
    return Motor(kind="motor", running_current_a=running, running_voltage_v=volts, winding="series")


def _negative(sketch: Sketch) -> None:
    """From the block back to the battery, over a bar where there is one."""
    said, post = sketch.said, f"{BATTERY}.negative"
    if said.has_bar:
        sketch.parts.append(Busbar(kind="busbar", id=BAR, name="Negative bar", studs=10))
        sketch.wire("minus", (sketch.stud(BAR), post), said.minus, USUAL["minus"], "black")
        sketch.wire("strap", (sketch.stud(BLOCK), sketch.stud(BAR)), said.strap, USUAL["strap"], "black")
    else:
        sketch.wire("minus", (sketch.stud(BLOCK), post), said.minus, USUAL["strap"], "black")


def _supply(sketch: Sketch, spot: Supply) -> str:
    """The terminal of a place on the positive side; what is not there gives way to the next nearer one."""
    said = sketch.said
    battery = f"{BATTERY}.positive" if said.fuse_a is None else "main-fuse.load"
    return {
        "battery": battery,
        "switch": f"{SWITCH}.out" if said.has_switch else battery,
        "starter": f"{STARTER}.motor",
        "panel": "panel.dc-w3",
        "house": "house-switch.out",
    }[spot]


def _return(sketch: Sketch, spot: Return) -> str:
    battery = f"{BATTERY}.negative"
    if spot == "engine":
        return sketch.stud(BLOCK)
    return sketch.stud(BAR) if spot == "bar" and sketch.said.has_bar else battery


def _charging(sketch: Sketch) -> None:
    said = sketch.said
    if said.alternator_a is None:
        return
    sketch.parts.append(
        Alternator(
            kind="alternator",
            id="alternator",
            name="Alternator",
            rated_current_a=said.alternator_a,
            case="grounded",
            engine=BLOCK,
        )
    )
    sketch.link("alternator-case", "alternator.negative", sketch.stud(BLOCK))
    ends = "alternator.positive", _supply(sketch, said.alternator_at)
    sketch.wire("charge", ends, CableSeen(), USUAL["charge"], "red")


def _windlass(sketch: Sketch) -> None:
    said = sketch.said
    if said.windlass_a is None:
        return
    sketch.parts.append(
        Load(
            kind="load",
            id="windlass",
            name="Windlass",
            role="windlass",
            inputs=(LoadInput(id="motor", demand=Motor(kind="motor", running_current_a=said.windlass_a)),),
            heavy=True,
            duty="short-time",
        )
    )
    out = _supply(sketch, "switch"), "windlass.motor"
    sketch.wire("windlass-pos", out, said.windlass, USUAL["windlass"], "red")
    back = "windlass.negative", _return(sketch, "bar")
    sketch.wire("windlass-neg", back, said.windlass, USUAL["windlass"], "black")


def _panel(sketch: Sketch) -> None:
    said = sketch.said
    if not said.has_panel:
        return
    names = ("Everything else", "Free way", said.device)[: 3 if said.device_plus == "panel" else 2]
    ways = tuple(
        PanelWay(id=f"w{n}", name=name, device_kind="breaker", device=Overcurrent(rating_a=BRANCH_A))
        for n, name in enumerate(names, start=1)
    )
    section = PanelSection(id="dc", name="Main section", polarity="positive", ways=ways)
    sketch.parts.append(Panel(kind="panel", id="panel", name="Panel", sections=(section,)))
    sketch.wire("panel-feed", (_supply(sketch, "switch"), "panel.dc-feed"), said.panel, USUAL["panel"], "red")
    sketch.miss(
        "panel", f"Panel: its ways and their breakers; taken as {BRANCH_A:g} A each, one of them free."
    )


def _house(sketch: Sketch) -> None:
    """A bank of its own for the device, of which nothing is known but that it is there."""
    said = sketch.said
    sketch.parts += [
        Battery(
            kind="battery",
            id="house",
            name="House battery",
            chemistry=said.chemistry,
            nominal_voltage_v=said.nominal_voltage_v,
            bank="House",
            use="house",
            trace="assumed",
        ),
        on_off("house-switch", "House switch", is_battery_switch=True),
    ]
    sketch.miss("house", "House battery: its ratings, cables and fuse; taken as one of 100 Ah.")
    sketch.wire("house-pos", ("house.positive", "house-switch.in"), CableSeen(), USUAL["house"], "red")
    sketch.wire("house-neg", ("house.negative", _return(sketch, "bar")), CableSeen(), USUAL["house"], "black")


def _device(sketch: Sketch) -> None:
    said = sketch.said
    demand = ConstantPower(kind="constant-power", power_w=said.device_w or DEVICE_W)
    main = LoadInput(id="main", demand=demand, minimum_voltage_v=said.needs_v)
    sketch.parts.append(Load(kind="load", id=DEVICE, name=said.device, role="electronics", inputs=(main,)))
    if said.device_w is None:
        sketch.miss(
            DEVICE, f"{said.device}: what it draws; taken as {DEVICE_W.low:g} to {DEVICE_W.high:g} W."
        )
    if said.needs_v is None:
        sketch.miss(
            DEVICE, f"{said.device}: below how many volts it restarts; taken as for electronics at large."
        )
    if said.device_plus == "house":
        _house(sketch)
    begin = _supply(sketch, said.device_plus)
    if said.device_fuse_a is not None:
        name = f"Fuse of the {said.device}"[:120]
        sketch.parts.append(
            Fuse(kind="fuse", id="device-fuse", name=name, rating_a=said.device_fuse_a, reset="replace")
        )
        sketch.link("device-fuse-post", begin, "device-fuse.line")
        begin = "device-fuse.load"
    sketch.wire("device-pos", (begin, f"{DEVICE}.main"), said.leads, USUAL["leads"], "red")
    back = f"{DEVICE}.negative", _return(sketch, said.device_minus)
    sketch.wire("device-neg", back, said.leads, USUAL["leads"], "black")


def _all_else(sketch: Sketch) -> None:
    """Every other load that is on, as one, where the panel is or the switch."""
    said = sketch.said
    demand = ConstantCurrent(kind="constant-current", current_a=said.rest_a or ELSE_A)
    trace: Trace | None = None if said.rest_a is not None else "assumed"
    rest = LoadInput(id="supply", demand=demand)
    name = "Everything else that is on"
    sketch.parts.append(Load(kind="load", id="else", name=name, role="other", inputs=(rest,), trace=trace))
    begin = "panel.dc-w1" if said.has_panel else _supply(sketch, "switch")
    sketch.link("else-pos", begin, "else.supply")
    sketch.link("else-neg", "else.negative", _return(sketch, "bar"))
    told = (
        "" if said.rest_a is not None else f" and what it draws, taken as {ELSE_A.low:g} to {ELSE_A.high:g} A"
    )
    sketch.miss("else", f"{name}: one by one{told}.")

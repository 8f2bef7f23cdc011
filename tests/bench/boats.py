"""Boats of any size to measure with: a sane pattern, drawn as documents."""

import random
from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.conductors import Conductor, Size
from server.boat.constructors import at, fuse, link
from server.boat.devices import (
    ConstantCurrent,
    ConstantPower,
    LoadInput,
    Motor,
    Overcurrent,
    PanelSection,
    PanelWay,
    Resistive,
)
from server.boat.modes import Event, HeavyInput, Mode, PositionSetting, Running
from server.boat.parts import (
    AnyPart,
    Battery,
    Busbar,
    Combiner,
    EngineBlock,
    Load,
    MeasuringShunt,
    Panel,
)
from server.boat.presets import selector
from server.boat.value import Place

WAYS = 12
SPARE_WAYS = 2
MODE, EVENT = "under-way", "cranking"
TOTAL_W = 900.0
"""All loads together, so that a large boat is not a dark one."""

_HEAVY = Size(label="2/0 AWG", area_mm2=67.4, resistance_ohm_per_m=0.0002725)
_FEED = Size(label="6 AWG", area_mm2=13.3, resistance_ohm_per_m=0.001376)
_LEAD = Size(label="14 AWG", area_mm2=2.08, resistance_ohm_per_m=0.008795)


def boat_of_conductors(conductors: int, seed: int = 1) -> Boat:
    """A boat with about so many conductors."""
    per_panel = 2 * WAYS + 3.4
    return boat_of_loads(max(WAYS, round((conductors - 20) / per_panel * WAYS)), seed)


def boat_of_loads(loads: int, seed: int = 1) -> Boat:
    """Four house batteries wired crosswise, a start battery behind a combiner, buses, panels of twelve loads.

    A quarter of the panel feeds are doubled and some negative bars are tied to their neighbours: meshes.
    Half the loads are resistive, a fifth take constant current, the rest constant power.
    """
    rng = random.Random(seed)
    panels = -(-loads // WAYS)
    wiring = [*_trunk(panels), *(wire for n in range(panels) for wire in _panel_wiring(n, panels, rng))]
    parts = [*_trunk_parts(panels), *(part for n in range(panels) for part in _panel_parts(n, rng))]
    for n in range(loads):
        parts.append(_load(n, loads, rng))
        wiring += _leads(n, rng)
    return Boat(
        format="tapchart.boat",
        version=1,
        name=f"Bench boat of {len(wiring)} conductors",
        nominal_voltage_v=12.0,
        parts=tuple(parts),
        conductors=tuple(wiring),
        modes=(
            Mode(
                id=MODE,
                name="Under way",
                positions=(PositionSetting(part="selector", position="both"),),
                on=tuple(Running(part=f"load-{n}") for n in range(loads)),
            ),
        ),
        events=(Event(id=EVENT, name="Start", mode=MODE, heavy=HeavyInput(part="starter", input="motor")),),
    )


def _trunk_parts(panels: int) -> Iterator[AnyPart]:
    for n in range(4):
        yield Battery(
            kind="battery",
            id=f"house-{n}",
            name=f"House battery {n + 1}",
            chemistry="agm",
            nominal_voltage_v=12.0,
            capacity_ah=150.0,
            state_of_charge=0.9,
            bank="House",
            use="house",
        )
    yield Battery(
        kind="battery",
        id="start",
        name="Start battery",
        chemistry="flooded",
        nominal_voltage_v=12.0,
        capacity_ah=90.0,
        cranking_a=700.0,
        cranking_standard="sae",
        state_of_charge=1.0,
        use="start",
    )
    yield fuse("house-fuse", "House fuse", 400.0)
    yield selector("selector", "Battery selector")
    yield MeasuringShunt(
        kind="measuring-shunt",
        id="shunt",
        name="Shunt",
        bank="House",
        rated_current_a=500.0,
        rated_voltage_v=0.05,
    )
    yield Combiner(kind="combiner", id="combiner", name="Combining relay")
    yield EngineBlock(kind="engine-block", id="block", name="Engine", studs=4, place=Place(from_bow_m=8.0))
    cranks = Motor(kind="motor", running_current_a=150.0, inrush_current_a=420.0, inrush_voltage_v=9.5)
    yield Load(
        kind="load",
        id="starter",
        name="Starter",
        role="starter",
        heavy=True,
        inputs=(LoadInput(id="motor", demand=cranks),),
    )
    for side in ("plus", "minus"):
        for n in range(_buses(panels)):
            yield Busbar(
                kind="busbar",
                id=f"{side}-bus-{n}",
                name=f"Bus {side} {n + 1}",
                studs=2 * PANELS_A_BUS + 6,
                stud_pitch_m=0.03,
                section_mm2=75.0,
                place=Place(from_bow_m=5.0 + 0.1 * n, from_centreline_m=1.0 if side == "plus" else -1.0),
            )


PANELS_A_BUS = 10


def _buses(panels: int) -> int:
    return -(-panels // PANELS_A_BUS)


def _wire(name: str, tail: str, head: str, size: Size, length_m: float) -> Conductor:
    return Conductor(
        id=name,
        kind="wire",
        tail=at(tail),
        head=at(head),
        size=size,
        length_m=round(length_m, 2),
        length_basis="measured",
    )


def _trunk(panels: int) -> Iterator[Conductor]:
    for n in range(3):
        yield _wire(f"join-plus-{n}", f"house-{n}.positive", f"house-{n + 1}.positive", _HEAVY, 0.4)
        yield _wire(f"join-minus-{n}", f"house-{n}.negative", f"house-{n + 1}.negative", _HEAVY, 0.4)
    yield _wire("house-post", "house-0.positive", "house-fuse.line", _HEAVY, 0.3)
    yield _wire("house-feed", "house-fuse.load", "selector.battery-1", _HEAVY, 2.0)
    yield _wire("start-feed", "start.positive", "selector.battery-2", _HEAVY, 2.5)
    yield _wire("house-minus", "house-3.negative", "shunt.battery", _HEAVY, 0.5)
    yield _wire("shunt-bus", "shunt.system", "minus-bus-0.stud-1", _HEAVY, 0.5)
    yield _wire("start-minus", "start.negative", "minus-bus-0.stud-2", _HEAVY, 2.0)
    yield _wire("combine-a", "selector.battery-1", "combiner.a", _FEED, 0.5)
    yield _wire("combine-b", "combiner.b", "selector.battery-2", _FEED, 0.5)
    yield _wire("combine-ground", "combiner.ground", "minus-bus-0.stud-3", _LEAD, 0.5)
    yield _wire("bus-feed", "selector.common", "plus-bus-0.stud-1", _HEAVY, 1.0)
    yield _wire("crank", "selector.common", "starter.motor", _HEAVY, 3.0)
    yield link("starter-case", "starter.negative", "block.stud-1")
    yield _wire("strap", "block.stud-2", "minus-bus-0.stud-4", _HEAVY, 2.0)
    for n in range(1, _buses(panels)):
        for side in ("plus", "minus"):
            yield _wire(f"{side}-on-{n}", f"{side}-bus-{n - 1}.stud-5", f"{side}-bus-{n}.stud-1", _HEAVY, 1.0)


def _panel_parts(n: int, rng: random.Random) -> Iterator[AnyPart]:
    breaker = Overcurrent(device_class="thermal-magnetic-breaker", rating_a=10.0)
    ways = tuple(
        PanelWay(id=f"w{way}", name=f"Way {way + 1}", device_kind="breaker", device=breaker)
        for way in range(WAYS + SPARE_WAYS)
    )
    place = Place(from_bow_m=rng.uniform(1, 11), from_centreline_m=rng.uniform(-1.5, 1.5), height_m=1.0)
    yield fuse(f"feed-fuse-{n}", f"Feed fuse {n + 1}", 100.0)
    yield Panel(
        kind="panel",
        id=f"panel-{n}",
        name=f"Panel {n + 1}",
        sections=(
            PanelSection(id="dc", name="Circuits", polarity="positive", ways=ways),
            PanelSection(id="neg", name="Negative bar", polarity="negative", studs=WAYS + SPARE_WAYS),
        ),
        place=place,
    )


def _panel_wiring(n: int, panels: int, rng: random.Random) -> Iterator[Conductor]:
    bus, stud = divmod(n, PANELS_A_BUS)
    stud += 6
    run_m = rng.uniform(1, 8)
    yield _wire(f"tap-{n}", f"plus-bus-{bus}.stud-{stud}", f"feed-fuse-{n}.line", _FEED, 0.2)
    for copy in range(2 if rng.random() < 0.25 else 1):
        yield _wire(f"feed-{n}-{copy}", f"feed-fuse-{n}.load", f"panel-{n}.dc-feed", _FEED, run_m)
    yield _wire(f"back-{n}", f"panel-{n}.neg-feed", f"minus-bus-{bus}.stud-{stud}", _FEED, run_m)
    if n + 1 < panels and rng.random() < 0.15:
        yield _wire(f"tie-{n}", f"panel-{n}.neg-feed", f"panel-{n + 1}.neg-feed", _FEED, rng.uniform(1, 4))


def _load(n: int, loads: int, rng: random.Random) -> Load:
    watts = TOTAL_W / loads * rng.uniform(0.5, 1.5)
    demand: Resistive | ConstantCurrent | ConstantPower
    match rng.choices(("resistive", "current", "power"), (50, 20, 30))[0]:
        case "resistive":
            demand = Resistive(kind="resistive", rated_power_w=watts, rated_voltage_v=12.0)
        case "current":
            demand = ConstantCurrent(kind="constant-current", current_a=watts / 12.0)
        case _:
            demand = ConstantPower(kind="constant-power", power_w=watts)
    return Load(
        kind="load",
        id=f"load-{n}",
        name=f"Load {n + 1}",
        role="electronics",
        inputs=(LoadInput(id="supply", demand=demand, minimum_voltage_v=9.0),),
        place=Place(from_bow_m=rng.uniform(0, 12), from_centreline_m=rng.uniform(-2, 2), height_m=0.5),
    )


def _leads(n: int, rng: random.Random) -> Iterator[Conductor]:
    panel, way = divmod(n, WAYS)
    metres = rng.uniform(1, 7)
    yield _wire(f"plus-{n}", f"panel-{panel}.dc-w{way}", f"load-{n}.supply", _LEAD, metres)
    yield _wire(f"minus-{n}", f"load-{n}.negative", f"panel-{panel}.neg-stud-{way + 1}", _LEAD, metres)

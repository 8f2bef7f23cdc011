"""A starting bench like a sloop's: two banks, one starter, the same wiring from the switch common onward.

Common practice, no source: a small diesel's starter drew about 366 A at first from a house bank near 12.65 V
and settled near 100 A without load; from one older 12.8 V battery alone through the same wiring about 318 A.
The lowest voltage at a panel tapped at the switch common was about 9.8 V and about 6.3 V; the lower one
includes poorer joints.

Three resistances are fitted, all else is taken from cable lengths and the built-in assumptions:

* the starter standing still, here 400 A at 8.4 V (21.0 mΩ): everything beyond the common comes to 23.0 mΩ;
* a joint on the bank's negative post, 2.7 mΩ, which makes 9.1 mΩ up to the common; its four 6 V batteries
have
  2.4 mΩ each, the high end of what such batteries have;
* a poor joint on the old battery's post, 7.0 mΩ, which makes 20.4 mΩ up to the common with its 12 mΩ (worn:
  about twice what one of its size has when new).

With V = R I beyond the common, a starter that is one resistance R can at best meet 9.8 V / 366 A = 26.8 mΩ
and 6.3 V / 318 A = 19.8 mΩ with an error e in every figure where ((1 - e) / (1 + e))² = 19.8 / 26.8: e =
7.5 %. So 10 % is asked for, and no fit could give 7 %.
"""

from dataclasses import dataclass

import pytest

from server.boat.boat import Boat
from server.boat.conductors import Conductor, Joint, Size
from server.boat.constructors import busbar, electronics, fuse, link, wire
from server.boat.devices import LoadInput, Motor, PanelSection, PanelWay
from server.boat.modes import Event, HeavyInput, Mode, PositionSetting, Running
from server.boat.parts import AnyPart, Battery, Load, Panel
from server.boat.presets import selector
from server.engine.analysis import analyse_mode

STARTER_OHM = 8.4 / 400.0
HOUSE_BATTERY_OHM = 0.0024
HOUSE_JOINT_OHM = 0.0027
OLD_BATTERY_OHM = 0.0120
POOR_JOINT_OHM = 0.0070
RUNNING_A = 100.0
WITHIN = 0.10

CABLE = Size(label="2/0 AWG", area_mm2=67.4, resistance_ohm_per_m=0.0002725, source="NEC chapter 9 table 8")
PANEL_FEED = Size(label="6 AWG", area_mm2=13.3, resistance_ohm_per_m=0.001376, source="NEC chapter 9 table 8")
LEAD = Size(label="14 AWG", area_mm2=2.08, resistance_ohm_per_m=0.008795, source="NEC chapter 9 table 8")


@dataclass(frozen=True)
class Start:
    """What the bench shows at the first instant."""

    inrush_a: float
    panel_v: float


def bench() -> Boat:
    """The bench as a document."""
    cranks = Motor(
        kind="motor",
        running_current_a=RUNNING_A,
        inrush_current_a=400.0,
        inrush_voltage_v=400.0 * STARTER_OHM,
    )
    ways = PanelSection(
        id="dc", name="Circuits", polarity="positive", ways=(PanelWay(id="plotter", name="Plotter"),)
    )
    bar = PanelSection(id="neg", name="Negative bar", polarity="negative", studs=2)
    parts: tuple[AnyPart, ...] = (
        *(_battery(f"house-{n}", 6.0, 12.65 / 2, HOUSE_BATTERY_OHM) for n in (1, 2, 3, 4)),
        _battery("old", 12.0, 12.8, OLD_BATTERY_OHM),
        fuse("house-fuse", "House fuse", 300.0),
        selector("selector", "Battery selector"),
        busbar("bus", "Main negative bus", 6),
        Panel(kind="panel", id="panel", name="Panel", sections=(ways, bar)),
        electronics("plotter", "Plotter", 15.0),
        Load(
            kind="load",
            id="starter",
            name="Starter",
            role="starter",
            heavy=True,
            inputs=(LoadInput(id="motor", demand=cranks),),
        ),
    )
    return Boat(
        format="tapchart.boat",
        version=1,
        name="Starting bench",
        nominal_voltage_v=12.0,
        parts=parts,
        conductors=_conductors(),
        modes=tuple(_mode(position) for position in ("one", "two")),
        events=tuple(
            Event(
                id=f"start-{position}",
                name="Start",
                mode=position,
                heavy=HeavyInput(part="starter", input="motor"),
            )
            for position in ("one", "two")
        ),
    )


def _battery(name: str, nominal_v: float, rest_v: float, ohm: float) -> Battery:
    return Battery(
        kind="battery",
        id=name,
        name=name,
        chemistry="flooded",
        nominal_voltage_v=nominal_v,
        rest_voltage_v=rest_v,
        internal_resistance_ohm=ohm,
    )


def _conductors() -> tuple[Conductor, ...]:
    worn = wire("house-minus", "house-3.negative", "bus.stud-1", CABLE, length_m=5.0)
    poor = wire("old-feed", "old.positive", "selector.battery-2", CABLE, length_m=2.0)
    return (
        wire("series-a", "house-1.positive", "house-2.negative", CABLE, length_m=0.35),
        wire("series-b", "house-3.positive", "house-4.negative", CABLE, length_m=0.35),
        wire("join-plus", "house-2.positive", "house-4.positive", CABLE, length_m=0.4),
        wire("join-minus", "house-1.negative", "house-3.negative", CABLE, length_m=0.4),
        wire("house-post", "house-2.positive", "house-fuse.line", CABLE, length_m=0.2),
        wire("house-feed", "house-fuse.load", "selector.battery-1", CABLE, length_m=5.0),
        worn.model_copy(update={"tail_joint": Joint(resistance_ohm=HOUSE_JOINT_OHM)}),
        poor.model_copy(update={"tail_joint": Joint(resistance_ohm=POOR_JOINT_OHM)}),
        wire("old-minus", "old.negative", "bus.stud-2", CABLE, length_m=1.5),
        wire("crank", "selector.common", "starter.motor", CABLE, length_m=3.0),
        wire("strap", "starter.negative", "bus.stud-3", CABLE, length_m=3.0),
        wire("panel-feed", "selector.common", "panel.dc-feed", PANEL_FEED, length_m=0.5),
        wire("panel-minus", "panel.neg-feed", "bus.stud-4", PANEL_FEED, length_m=1.0),
        wire("plotter-plus", "panel.dc-plotter", "plotter.main", LEAD, length_m=1.0),
        link("plotter-minus", "plotter.negative", "panel.neg-stud-1"),
    )


def _mode(position: str) -> Mode:
    return Mode(
        id=position,
        name=f"Selector {position}",
        positions=(PositionSetting(part="selector", position=position),),
        on=(Running(part="plotter"), Running(part="starter")),
    )


def first_instant(position: str) -> Start:
    """The bench with its selector at a position."""
    found = analyse_mode(bench(), position)
    plotter = next(load for load in found.loads if load.part == "plotter")
    inrush_a = found.events[0].inrush_a
    assert inrush_a is not None
    return Start(inrush_a, plotter.events[0].lowest.value)


@pytest.mark.parametrize(
    ("position", "inrush_a", "panel_v"),
    [("one", 366.0, 9.8), ("two", 318.0, 6.3)],
    ids=["house bank at 12.65 V", "old battery at 12.8 V"],
)
def test_the_bench_shows_what_was_measured(position: str, inrush_a: float, panel_v: float) -> None:
    start = first_instant(position)

    print(f"{position}: {start.inrush_a:.0f} A of {inrush_a:.0f}, {start.panel_v:.2f} V of {panel_v}")
    assert start.inrush_a == pytest.approx(inrush_a, rel=WITHIN)
    assert start.panel_v == pytest.approx(panel_v, rel=WITHIN)


def test_it_is_a_divider_of_the_stated_resistances() -> None:
    """By hand: 12.65 V over 9.1 + 23.0 mΩ, 12.8 V over 20.4 + 23.0 mΩ; the plotter's 2 A hardly matter."""
    house, old = first_instant("one"), first_instant("two")

    assert house.inrush_a == pytest.approx(12.65 / 0.0321, rel=0.01)
    assert house.panel_v == pytest.approx(12.65 * 23.0 / 32.1, rel=0.02)
    assert old.inrush_a == pytest.approx(12.8 / 0.0434, rel=0.01)
    assert old.panel_v == pytest.approx(12.8 * 23.0 / 43.4, rel=0.02)


def test_the_running_current_is_what_was_entered() -> None:
    """About 100 A without load: an input, not something the resistance at standstill could tell."""
    running = next(load for load in analyse_mode(bench(), "one").loads if load.part == "starter")

    assert running.current_a == pytest.approx(RUNNING_A)

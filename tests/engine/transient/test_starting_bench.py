"""A starting bench in time: one set of parameters meets every figure that was measured within 10 %.

Common practice, no source. A small diesel's starter, unloaded, on the wiring of
``tests.engine.oracles.test_starting_bench``: from a house bank at 12.65 V about 366 A at first, about 9.84 V
at lowest at a panel tapped at the switch common, settling near 100 A; from one older 12.8 V battery through
its own fuse and cables about 318 A and 6.3 V. Released: about 22.9 V right at the starter's terminals, about
13.3 V at the panel. Across the house bank itself the dip is only about 0.5 V.

Fitted, all else from cable lengths and built-in assumptions:

* the starter, series-wound: 375 A at 8.4 V at the top of its current, run up within 80 ms;
* the house batteries at 1.25 mΩ each (four of 6 V: 1.25 mΩ for the bank), and a joint of 3.7 mΩ on its post;
* the old battery at 12 mΩ and the joint of 7.0 mΩ on its post, as for the first instant alone;
* all capacitors behind the panel together 2 mF with 8 mΩ;
* an arc of 22 V.

A starter that is one resistance cannot meet both banks better than 7.5 % (shown in the bench for the first
instant). One that turns while its current rises looks larger to the stronger bank, and meets all within 7 %.
"""

from dataclasses import dataclass
from functools import cache

import pytest

from server.boat.boat import Boat, Override
from server.boat.conductors import Joint
from server.boat.devices import LoadInput, Motor
from server.boat.modes import Conditions, EventStep
from server.boat.parts import AnyPart, Battery, Load
from server.boat.value import TerminalRef
from server.engine.transient.answer import EventRun, PointAnswer, PointPair
from server.engine.transient.event_run import event_run
from server.engine.transient.meters import PEAK_CAPTURE, RECORDING, reading
from server.engine.transient.waves import Wave
from tests.engine.oracles.test_starting_bench import bench

INRUSH_A, INRUSH_V, RUN_UP_S = 375.0, 8.4, 0.08
HOUSE_BATTERY_OHM, HOUSE_JOINT_OHM = 0.00125, 0.0037
PANEL_FARAD, PANEL_OHM = 2e-3, 8e-3
ARC_V = 22.0
WITHIN = 0.10


@dataclass(frozen=True)
class Start:
    """The event with what meters would read at four places."""

    run: EventRun
    panel: PointAnswer
    starter: PointAnswer
    house: PointAnswer
    old: PointAnswer


@cache
def fitted() -> Boat:
    """The bench with the fitted figures."""
    boat = bench()
    joint = Joint(resistance_ohm=HOUSE_JOINT_OHM)
    conductors = tuple(
        one.model_copy(update={"tail_joint": joint}) if one.id == "house-minus" else one
        for one in boat.conductors
    )
    steps = (
        EventStep(action="press", part="starter", input="motor", at_s=0.0),
        EventStep(action="release", part="starter", input="motor", at_s=1.0),
    )
    unloaded = {"conditions": Conditions(cranking="bench"), "steps": steps}
    arc = Override(key="contact_arc_voltage", low=ARC_V, value=ARC_V, high=ARC_V, source="fitted")
    return boat.model_copy(
        update={
            "parts": tuple(_part(part) for part in boat.parts),
            "conductors": conductors,
            "events": tuple(event.model_copy(update=unloaded) for event in boat.events),
            "assumptions": (arc,),
        }
    )


def _part(part: AnyPart) -> AnyPart:
    if isinstance(part, Battery) and part.id.startswith("house-"):
        return part.model_copy(update={"internal_resistance_ohm": HOUSE_BATTERY_OHM})
    if isinstance(part, Load) and part.id == "starter":
        motor = Motor(
            kind="motor",
            running_current_a=100.0,
            running_voltage_v=11.4,
            inrush_current_a=INRUSH_A,
            inrush_voltage_v=INRUSH_V,
            run_up_s=RUN_UP_S,
            winding="series",
        )
        return part.model_copy(update={"inputs": (LoadInput(id="motor", demand=motor),)})
    if isinstance(part, Load):
        capacitor = {"input_capacitance_f": PANEL_FARAD, "input_capacitance_ohm": PANEL_OHM}
        return part.model_copy(update={"inputs": (part.inputs[0].model_copy(update=capacitor),)})
    return part


def _pair(plus: str, minus: str) -> PointPair:
    (part_a, a), (part_b, b) = plus.split("."), minus.split(".")
    return PointPair(TerminalRef(part=part_a, terminal=a), TerminalRef(part=part_b, terminal=b))


PLACES = (
    _pair("panel.dc-feed", "panel.neg-feed"),
    _pair("starter.motor", "starter.negative"),
    _pair("house-2.positive", "house-1.negative"),
    _pair("old.positive", "old.negative"),
)


@cache
def started(position: str) -> Start:
    """The bench with its selector at a position."""
    run = event_run(fitted(), position, f"start-{position}", PLACES)
    return Start(run, *run.points[-len(PLACES) :])


def test_the_house_bank_starts_it_as_measured() -> None:
    start = started("one")

    assert start.run.inrush_a.value == pytest.approx(366.0, rel=WITHIN)
    assert start.panel.lowest.value == pytest.approx(9.84, rel=WITHIN)
    assert start.run.settled_a == pytest.approx(100.0, rel=WITHIN)
    assert start.house.before_v - start.house.lowest.value == pytest.approx(0.5, rel=WITHIN)


def test_the_old_battery_starts_it_as_measured() -> None:
    start = started("two")

    assert start.run.inrush_a.value == pytest.approx(318.0, rel=WITHIN)
    assert start.panel.lowest.value == pytest.approx(6.3, rel=WITHIN)


def test_the_release_kicks_as_measured() -> None:
    start = started("one")

    assert start.starter.release_highest is not None
    assert start.panel.release_highest is not None
    assert start.starter.release_highest.value == pytest.approx(22.9, rel=WITHIN)
    assert start.panel.release_highest.value == pytest.approx(13.3, rel=WITHIN)


@pytest.mark.parametrize("position", ["one", "two"])
def test_the_average_stays_far_above_the_lowest(position: str) -> None:
    """Why an averaging meter says that nothing happens: common practice, no source."""
    panel = started(position).panel

    assert panel.average_v - panel.lowest.value > 0.6 * (panel.before_v - panel.lowest.value)


def test_the_starter_dips_deeper_than_the_panel_and_the_posts_hardly() -> None:
    start = started("one")

    assert start.starter.lowest.value < start.panel.lowest.value < start.house.lowest.value
    assert started("two").house.lowest.value == pytest.approx(started("two").house.before_v, abs=1e-3)


def test_a_recording_misses_of_the_kick_what_a_peak_capture_finds() -> None:
    start = started("one")
    wave = next(wave for wave in start.run.waveforms if wave.key == start.starter.key)
    trace = Wave(wave.time_s, wave.values)
    captured, recorded = reading(PEAK_CAPTURE, trace), reading(RECORDING, trace)

    assert captured is not None
    assert recorded is not None
    assert start.starter.highest.value > captured.highest > recorded.highest + 1.0


def test_the_tap_at_the_switch_common_is_what_the_panel_pays_for() -> None:
    """Moving the taps to the battery's posts changes it: the bank itself dips by half a volt."""
    start = started("one")
    path = sum(cause.share_v for cause in start.panel.dip_causes if cause.kind != "battery")

    assert path > 4 * (start.house.before_v - start.house.lowest.value)
    assert start.panel.dip_causes[0].element == "house-minus"


def test_a_panel_tapped_at_the_posts_hardly_dips() -> None:
    boat = fitted()
    moved = {"panel-feed": ("tail", "house-2", "positive"), "panel-minus": ("head", "house-1", "negative")}
    conductors = tuple(
        one.model_copy(
            update={moved[one.id][0]: TerminalRef(part=moved[one.id][1], terminal=moved[one.id][2])}
        )
        if one.id in moved
        else one
        for one in boat.conductors
    )
    run = event_run(boat.model_copy(update={"conductors": conductors}), "one", "start-one", PLACES[:1])
    panel = run.points[-1]

    assert panel.before_v - panel.lowest.value == pytest.approx(0.5, abs=0.1)
    assert panel.release_highest is not None
    assert panel.release_highest.value < panel.before_v + 0.3

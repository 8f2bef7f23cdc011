"""The whole answer of an event in time, on the small boat and the demo boats."""

import math
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.value import TerminalRef
from server.engine.analysis import analyse_mode
from server.engine.solution import Solution
from server.engine.transient.answer import EventRun, PointAnswer, PointPair
from server.engine.transient.event_run import TransientError, UnknownModeError, event_run
from server.engine.transient.model import BoatModel
from server.engine.transient.spoken import spoken
from server.engine.transient.waves import Wave
from tests.engine.boats import boat, conductor, load, part, wire
from tests.engine.demo import demo_boat

MOTOR: dict[str, Any] = {
    "kind": "motor",
    "running_current_a": 150.0,
    "running_voltage_v": 10.0,
    "inrush_current_a": 400.0,
    "inrush_voltage_v": 8.0,
    "run_up_s": 0.2,
}
STEPS: list[dict[str, Any]] = [
    {"action": "press", "part": "starter", "input": "supply", "at_s": 0.0},
    {"action": "release", "part": "starter", "input": "supply", "at_s": 0.6},
]


def small(  # noqa: PLR0913 - each is a part of the boat
    *,
    parts: list[dict[str, Any]] | None = None,
    steps: list[dict[str, Any]] | None = None,
    conditions: dict[str, Any] | None = None,
    conductors: list[dict[str, Any]] | None = None,
    modes: list[dict[str, Any]] | None = None,
    assumptions: list[dict[str, Any]] | None = None,
) -> Boat:
    """The small boat with a start of 0.6 s, its starter a motor that runs up."""
    event = {
        "id": "start",
        "name": "Start",
        "mode": "starting",
        "heavy": {"part": "starter", "input": "supply"},
        "steps": STEPS if steps is None else steps,
        "conditions": conditions,
    }
    own = load("starter", MOTOR, role="starter", heavy=True)
    return boat(
        parts=[own, *(parts or [])],
        conductors=conductors,
        modes=modes,
        events=[event],
        assumptions=assumptions or [],
    )


def pair(plus: str, minus: str) -> PointPair:
    """Probes on two ``part.terminal``."""
    (a, at_a), (b, at_b) = plus.split("."), minus.split(".")
    return PointPair(TerminalRef(part=a, terminal=at_a), TerminalRef(part=b, terminal=at_b))


STARTER = pair("starter.supply", "starter.negative")
POSTS = pair("battery.positive", "battery.negative")


@cache
def started() -> EventRun:
    """The small boat's start with probes at the starter and at the battery."""
    return event_run(small(), "starting", "start", (STARTER, POSTS))


@cache
def sloop() -> EventRun:
    """The sloop's engine start."""
    return event_run(demo_boat("1-sloop"), "starting", "engine-start")


def point(run: EventRun, key: str) -> PointAnswer:
    """A point by its key."""
    return next(one for one in run.points if one.key == key)


def test_loads_come_first_then_probes_in_their_order() -> None:
    assert [one.key for one in started().points] == ["plotter.supply", "probe", "probe-2"]
    assert [one.key for one in started().waveforms] == ["plotter.supply", "probe", "probe-2", "heavy-current"]
    assert point(started(), "probe").name == "Starter, supply against Starter, negative"


def test_every_load_that_the_steady_answer_judges_is_there() -> None:
    answer = analyse_mode(demo_boat("1-sloop"), "starting", events=["engine-start"])
    judged = {f"{one.part}.{one.input}": one.events[0] for one in answer.loads if one.events}

    assert {one.key for one in sloop().points} == judged.keys()
    for one in sloop().points:
        assert one.need_v == judged[one.key].need_v
        assert one.need_assumed == judged[one.key].need_assumed


def test_the_lowest_and_highest_are_those_of_the_waveform() -> None:
    for one, wave in zip(sloop().points, sloop().waveforms, strict=False):
        assert one.lowest.value == pytest.approx(wave.values.min(), abs=2e-3)
        assert one.highest.value == pytest.approx(wave.values.max(), abs=2e-3)
        assert one.before_v == pytest.approx(wave.values[0])
        trace = Wave(wave.time_s, wave.values)
        assert one.average_v == pytest.approx(trace.mean(0.0, 2.0), abs=2e-3)


@pytest.mark.parametrize("run", [started, sloop], ids=["small", "sloop"])
def test_shares_of_the_dip_and_of_the_kick_add_up(run: Callable[[], EventRun]) -> None:
    """Tellegen's theorem, exactly."""
    for one in run().points:
        assert one.release_highest is not None
        dip, kick = one.before_v - one.lowest.value, one.release_highest.value - one.before_v

        assert math.fsum(cause.share_v for cause in one.dip_causes) == pytest.approx(dip, abs=1e-7)
        assert math.fsum(cause.share_v for cause in one.kick_causes) == pytest.approx(kick, abs=1e-7)


def test_resistance_makes_the_dip_and_inductance_the_kick() -> None:
    starter = point(started(), "probe")
    by_cause = {
        name: {
            cause: sum(one.share_v for one in causes if one.cause == cause)
            for cause in ("resistance", "inductance", "source")
        }
        for name, causes in (("dip", starter.dip_causes), ("kick", starter.kick_causes))
    }

    assert by_cause["dip"]["resistance"] > 10 * abs(by_cause["dip"]["inductance"])
    assert starter.release_highest is not None
    assert by_cause["kick"]["inductance"] > starter.release_highest.value - starter.before_v
    assert by_cause["dip"]["source"] == pytest.approx(0.005 * started().inrush_a.value, rel=0.01)
    assert {one.element for one in starter.dip_causes if one.cause == "source"} == {"battery"}


def test_phases_follow_each_other() -> None:
    phases = started().phases

    assert [one.name for one in phases] == ["before", "start", "run", "release", "after"]
    assert [one.end_s for one in phases[:-1]] == [one.start_s for one in phases[1:]]
    assert phases[1].start_s == 0.0
    assert 0.1 < phases[1].end_s < 0.6
    assert phases[3].start_s == pytest.approx(0.6)
    assert 0 < phases[3].end_s - phases[3].start_s < 0.005


def test_what_a_motor_has_while_it_turns_is_what_meters_on_it_show() -> None:
    """A voltmeter on its terminals and an ammeter in its lead, averaged from run-up to release."""
    run = started()
    turning = next(one for one in run.phases if one.name == "run")
    volts, amperes = (
        next(Wave(one.time_s, one.values) for one in run.waveforms if one.key == key)
        for key in ("probe", "heavy-current")
    )

    assert run.turning is not None
    assert run.turning.voltage_v == pytest.approx(volts.mean(turning.start_s, turning.end_s), abs=1e-3)
    assert run.turning.current_a == pytest.approx(amperes.mean(turning.start_s, turning.end_s))


def test_the_heavy_current_rises_to_about_the_inrush_and_settles_at_about_the_running_current() -> None:
    """The inrush of the steady network's first instant; then 150 A, about which a loaded start swings."""
    run = started()
    first = analyse_mode(small(), "starting").events[0].inrush_a

    assert run.inrush_a.value == pytest.approx(first, rel=0.07)
    assert 0 < run.inrush_a.at_s < 0.05
    assert run.settled_a == pytest.approx(150.0, rel=0.15)
    current = run.waveforms[-1]
    assert (current.key, current.unit) == ("heavy-current", "A")
    assert current.values[-1] == 0.0


def test_the_release_lifts_the_starter_above_its_rest_voltage_and_the_posts_hardly() -> None:
    starter, posts = point(started(), "probe"), point(started(), "probe-2")

    assert starter.release_highest is not None
    assert posts.release_highest is not None
    assert starter.release_highest.value > starter.before_v + 3.0
    assert posts.release_highest.value < posts.before_v + 1.0
    assert starter.release_highest.at_s == pytest.approx(0.6, abs=2e-3)


def test_probes_have_no_need_and_say_so() -> None:
    probe = point(started(), "probe")

    assert (probe.need_v, probe.verdict, probe.below_need_s) == (None, "limit-not-known", 0.0)
    assert (probe.lowest_band, probe.band_basis) == (None, "none")
    assert probe.reason == "Two probes have no need."


def test_probes_without_a_source_between_them_are_refused() -> None:
    with pytest.raises(TransientError, match="no source lies between"):
        event_run(small(), "starting", "start", (pair("bar.stud-1", "bar.stud-2"),))
    with pytest.raises(TransientError, match="no source lies between"):
        event_run(
            small(conductors=[conductor("w-feed", head=None)]),
            "starting",
            "start",
            (pair("panel.dc-feed", "bar.stud-1"),),
        )


@pytest.mark.parametrize(("mode", "event"), [("nowhere", "start"), ("starting", "never")])
def test_an_unknown_mode_or_event_is_refused(mode: str, event: str) -> None:
    with pytest.raises(UnknownModeError):
        event_run(small(), mode, event)


def test_an_unknown_terminal_is_refused_by_name() -> None:
    with pytest.raises(UnknownModeError, match="no terminal “nose” on “battery”"):
        event_run(small(), "starting", "start", (pair("battery.nose", "battery.negative"),))


def test_an_autopilot_that_drops_out_says_why() -> None:
    """The sloop's owner sets the pilot again after every start: its notes."""
    pilot = (
        point(sloop(), "autopilot.main")
        if any(p.key == "autopilot.main" for p in sloop().points)
        else sloop().points[0]
    )

    assert pilot.name == "Autopilot"
    assert pilot.verdict == "restarts"
    assert pilot.need_v is not None
    assert pilot.lowest.value < pilot.need_v
    assert pilot.hold_up_s is not None
    assert pilot.below_need_s > pilot.hold_up_s
    assert pilot.reason.startswith(f"Below its {pilot.need_v:.1f} V for ")


def test_bands_are_those_of_the_first_instant_until_they_are_drawn() -> None:
    answer = analyse_mode(demo_boat("1-sloop"), "starting", events=["engine-start"])
    static = {f"{one.part}.{one.input}": one.events[0].lowest for one in answer.loads if one.events}
    for one in sloop().points:
        band = one.lowest_band
        assert band is not None
        assert one.band_basis == "first-instant"
        assert band.high - band.low == pytest.approx(static[one.key].high - static[one.key].low)
        assert one.highest_band is None
        assert one.matters_most is None


def test_a_load_that_sees_more_than_it_stands_is_told() -> None:
    plotter = load(
        "plotter",
        {"kind": "constant-power", "power_w": 20.0},
        input={
            "minimum_voltage_v": 5.0,
            "maximum_voltage_v": 12.6,
            "input_capacitance_f": 1e-5,
            "hold_up_s": 0.01,
        },
    )
    found = point(event_run(small(parts=[plotter]), "starting", "start"), "plotter.supply")

    assert found.maximum_v == 12.6
    assert (found.hold_up_s, found.hold_up_assumed) == (0.01, False)
    assert "more than the 12.6 V that it stands" in found.reason
    assert found.verdict == "keeps-running"


def test_an_event_that_does_not_reach_a_load_leaves_it_where_it_was() -> None:
    """The trawler starts from a battery of its own."""
    run = event_run(demo_boat("2-trawler"), "starting", "engine-start")
    plotter = next(one for one in run.points if one.name == "Plotter")

    assert plotter.lowest.at_s == 0.0
    assert plotter.lowest.value == plotter.before_v
    assert plotter.verdict == "keeps-running"


def test_two_heavy_loads_that_overlap_are_no_points_of_the_event() -> None:
    winch = load("winch", {**MOTOR, "winding": "series"}, role="winch", heavy=True)
    steps = [*STEPS[:1], {"action": "press", "part": "winch", "at_s": 0.3}, *STEPS[1:]]
    modes = [
        {
            "id": "starting",
            "name": "Starting",
            "on": [{"part": one} for one in ("plotter", "starter", "winch")],
        }
    ]
    lands = [
        wire("w-winch", "switch.out", "winch.supply"),
        wire("w-winch-return", "winch.negative", "bar.stud-3"),
    ]
    run = event_run(small(parts=[winch], conductors=lands, modes=modes, steps=steps), "starting", "start")

    assert [one.key for one in run.points] == ["plotter.supply"]
    assert run.points[0].lowest.at_s > 0.3
    assert run.phases[-2].start_s == pytest.approx(0.6)


def test_a_load_pressed_twice_has_one_current() -> None:
    again = [{**step, "at_s": float(step["at_s"]) + 2.0} for step in STEPS]
    run = event_run(small(steps=[*STEPS, *again]), "starting", "start")
    current = Wave(run.waveforms[-1].time_s, run.waveforms[-1].values)

    middle = current.at(np.array([0.3, 1.5, 2.3]))
    assert 0.85 * middle[0] < middle[2] < middle[0]  # still turning, it is ahead of its first run-up
    assert middle[1] == pytest.approx(0.0, abs=1e-9)


def test_conditions_and_what_is_left_out_are_said() -> None:
    conditions = {
        "state_of_charge": 0.5,
        "temperature_c": 0.0,
        "age_factor": 1.5,
        "attempt": 3,
        "preheat_before_a": 60.0,
        "preheat_before_s": 20.0,
        "preheat_during_a": 40.0,
        "cranking": "loaded",
    }
    steps = [*STEPS, {"action": "press", "part": "plotter", "at_s": 0.2}]
    run = event_run(small(conditions=conditions, steps=steps), "starting", "start")

    assert run.conditions == (
        "charge 50%, battery at 0 °C, age factor 1.5, attempt 3, preheated with 60 A, for 20 s, "
        "40 A of preheating meanwhile, cranking loaded"
    )
    told = " ".join(run.not_assessed)
    for words in (
        "Plotter: press at 0.2 s",
        "House battery: how far its rest voltage fell by what was taken before: enter its capacity",
        "stays below its rest voltage for a while after preheating",
        "40 A is drawn at Starter",
    ):
        assert words in told
    assert started().conditions == "no conditions stated"


def test_what_is_unknown_on_the_boat_is_said() -> None:
    run = event_run(small(conductors=[conductor("w-feed", size=None)]), "starting", "start")

    assert any("size or length of this conductor is not known" in text for text in run.not_assessed)
    assert "unknown resistance" in run.points[0].reason


def test_a_load_fed_through_another_has_no_share_of_the_wiring() -> None:
    """Its current comes back through the other load: no path of copper to split its dip over."""
    heater = load(
        "heater", {"kind": "resistive", "rated_power_w": 10.0, "rated_voltage_v": 12.0}, role="heating"
    )
    lamp = load("lamp", {"kind": "resistive", "rated_power_w": 10.0, "rated_voltage_v": 12.0}, role="lights")
    lands = [
        wire("w-heater", "switch.out", "heater.supply"),
        wire("w-between", "heater.negative", "lamp.supply"),
        wire("w-lamp", "lamp.negative", "bar.stud-3"),
    ]
    on = [{"part": one} for one in ("plotter", "starter", "heater", "lamp")]
    modes = [{"id": "starting", "name": "Starting", "on": on}]
    run = event_run(small(parts=[heater, lamp], conductors=lands, modes=modes), "starting", "start")
    found = point(run, "lamp.supply")

    assert found.before_v == pytest.approx(12.6 / 2, rel=0.01)
    assert found.dip_causes == found.kick_causes == ()


def test_a_surge_that_is_no_motors_is_said_to_be_a_resistance() -> None:
    run = event_run(demo_boat("2-trawler"), "at-anchor", "inverter-surge")

    assert any(
        text.startswith("Inverter/charger: its surge is taken as a resistance") for text in run.not_assessed
    )
    assert run.derived == ()
    assert all(one.release_highest is None and one.kick_causes == () for one in run.points)
    assert run.phases[-1].end_s == run.phases[-1].start_s == 1.0
    assert run.settled_a > 300.0


def test_cold_and_age_make_the_dip_deeper() -> None:
    cold = event_run(small(conditions={"temperature_c": -10.0, "age_factor": 2.0}), "starting", "start")

    assert point(cold, "plotter.supply").lowest.value < point(started(), "plotter.supply").lowest.value - 0.5


def test_everything_assumed_and_everything_worked_out_is_listed() -> None:
    keys = {one.key for one in started().assumptions}

    assert {"cable_inductance", "contact_arc_voltage", "electronics_hold_up", "joint_resistance"} <= keys
    assert {one.key for one in started().derived} >= {"motor_inertia", "motor_stalled_resistance"}


def test_a_motor_that_never_turns_has_no_run_up() -> None:
    """More load than its torque at standstill moves nothing."""
    overrides = [{"key": "motor_load_share_starter", "low": 1.0, "value": 1.0, "high": 1.0, "source": "test"}]
    stuck = load(
        "starter",
        {**MOTOR, "running_current_a": 395.0, "running_voltage_v": 12.0},
        role="starter",
        heavy=True,
    )
    weak = part("battery", internal_resistance_ohm=0.05)
    run = event_run(small(parts=[stuck, weak], assumptions=overrides), "starting", "start")

    assert run.phases[1].end_s == 0.0
    assert run.turning is None
    assert run.settled_a == pytest.approx(run.inrush_a.value, rel=0.01)


def test_an_event_with_nothing_else_on_has_its_heavy_current_alone() -> None:
    modes = [{"id": "starting", "name": "Starting", "on": [{"part": "starter"}]}]
    for bands in (False, True):
        run = event_run(small(modes=modes), "starting", "start", bands=bands)

        assert run.points == ()
        assert [one.key for one in run.waveforms] == ["heavy-current"]
        assert run.inrush_a.value > 200.0


def test_what_has_no_solution_is_said_in_the_boats_names() -> None:
    """3 Ω in series with the capacitor leave 20 W of constant power no voltage to run on in the dip."""
    plotter = load(
        "plotter",
        {"kind": "constant-power", "power_w": 20.0},
        input={"input_capacitance_f": 1e-5, "input_capacitance_ohm": 3.0},
    )
    with pytest.raises(TransientError, match=r"Start cannot be solved in time: .*Plotter") as refused:
        event_run(small(parts=[plotter]), "starting", "start")

    assert "draw" not in str(refused.value)


def test_rows_of_the_circuit_are_spoken_by_name() -> None:
    document = small()
    solution = Solution.of(document, "starting")
    model = BoatModel(solution, solution.event("start"))
    last = len(model.rows)

    assert spoken("draws 0 and 0 do not settle", model) == "Plotter and Plotter do not settle"
    assert spoken("branch 0 closes a loop", model) == "Bank fuse closes a loop"
    assert spoken(f"branches {last} and 0", model) == "the preheating and Bank fuse"
    assert spoken("node 7: no source reaches there", model) == "a part of the wiring: no source reaches there"

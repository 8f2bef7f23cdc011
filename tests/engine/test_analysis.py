"""Answers of a mode: loads, events, shares, drops, troubles."""

import pytest

from server.boat.boat import Boat
from server.engine.analysis import UnknownModeError, analyse_mode, loop, worst_event
from server.engine.answer import EventAnswer, InputAnswer, ModeAnswer
from server.practice.drop_limits import circular_mil_drop
from tests.engine.boats import boat, conductor, load, part, wire
from tests.engine.demo import DEMO_BOATS, demo_boat


def answer_of(subject: Boat, mode: str = "starting") -> ModeAnswer:
    return analyse_mode(subject, mode)


def input_of(answer: ModeAnswer, name: str) -> InputAnswer:
    return next(one for one in answer.loads if one.part == name)


def event_of(answer: ModeAnswer, name: str) -> EventAnswer:
    (event,) = input_of(answer, name).events
    return event


@pytest.mark.parametrize("name", DEMO_BOATS)
def test_shares_of_every_demo_boat_add_up_to_the_sag(name: str) -> None:
    """To 1e-10 V for every load in every event (design, bars)."""
    subject, seen = demo_boat(name), 0
    for mode in subject.modes:
        for one in analyse_mode(subject, mode.id).loads:
            for event in one.events:
                seen += 1
                shares = sum(share.share_v for share in event.shared_path)
                assert shares == pytest.approx(event.sag_v, abs=1e-10)
                assert event.heavy_alone_v + event.others_v == pytest.approx(event.sag_v, abs=1e-12)
                assert event.lowest.low <= event.lowest.value <= event.lowest.high

    assert seen > 0


def test_sag_of_the_small_boat_by_hand() -> None:
    """A single loop: battery, path and stalled starter in a row divide the voltage.

    With the plotter off the start is E·R_motor/(R_all); it lies between switch output and block.
    """
    modes = [{"id": "starting", "name": "Starting", "on": [{"part": "starter"}]}]
    quiet = load("plotter", {"kind": "constant-current", "current_a": 1e-9}, input={"minimum_voltage_v": 9.0})
    modes[0]["on"] = [{"part": "starter"}, {"part": "plotter"}]
    answer = answer_of(boat(parts=[quiet], modes=modes))
    wire_ohm = 2 * 1.91e-3 * (234.5 + 40) / 254.5
    ring, lug = 0.00005, 0.00015
    ahead = 2 * (wire_ohm + 2 * ring) + 0.1 / 200 + 0.0002
    motor_leads = (wire_ohm + 2 * ring) + (wire_ohm + ring + lug)
    behind = (wire_ohm + ring + lug) + 2 * (wire_ohm + 2 * ring) + 1e-4
    current = 12.7 / (0.005 + ahead + motor_leads + 0.020 + behind)

    event = event_of(answer, "plotter")

    assert answer.events[0].inrush_a == pytest.approx(current, rel=1e-6)
    assert event.sag_v == pytest.approx(current * (0.005 + ahead + behind), rel=1e-6)
    assert event.transfer_resistance_ohm == pytest.approx(0.005 + ahead + behind, rel=1e-9)
    assert event.floor_v == pytest.approx(12.7 - 0.005 * current, rel=1e-6)
    largest = event.shared_path[0]
    assert largest.element == "battery"
    assert largest.unavoidable
    strap = next(one for one in event.shared_path if one.element == "w-strap")
    assert strap.side == "negative"
    assert strap.share_v == pytest.approx(current * (wire_ohm + ring + lug), rel=1e-6)
    assert event.verdict == "restarts"


def test_load_that_keeps_running_and_one_nobody_knows() -> None:
    """Nobody knows a lamp's limit, nothing restarts in it; electronics have an assumed need."""
    lamp = load("lamp", {"kind": "resistive", "rated_power_w": 10.0, "rated_voltage_v": 12.0}, role="lights")
    radio = load("radio", {"kind": "constant-power", "power_w": 5.0}, role="radio")
    wires = [
        wire("w-lamp", "panel.dc-spare", "lamp.supply"),
        wire("w-lamp-neg", "lamp.negative", "bar.stud-3"),
        wire("w-radio", "panel.dc-spare", "radio.supply"),
        wire("w-radio-neg", "radio.negative", "bar.stud-3"),
    ]
    on = [{"part": name} for name in ("plotter", "lamp", "radio", "starter")]
    modes = [{"id": "starting", "name": "Starting", "on": on}]
    answer = answer_of(boat(parts=[lamp, radio], conductors=wires, modes=modes))
    high = answer_of(boat(parts=[lamp, radio], conductors=wires, modes=modes, nominal_voltage_v=48.0))

    assert event_of(answer, "lamp").verdict == "limit-not-known"
    assert (event_of(answer, "lamp").need_v, event_of(answer, "lamp").can_restart) == (None, False)
    assert event_of(answer, "lamp").need_assumed
    assert event_of(answer, "radio").need_assumed
    assert event_of(answer, "radio").need_v == pytest.approx(10.0)
    assert event_of(high, "radio").verdict == "limit-not-known"
    assert event_of(high, "radio").can_restart


def test_range_of_a_need_is_too_close_to_call_within_it() -> None:
    """Kept running only above its high end, restarted only below its low one."""
    strong = part("battery", internal_resistance_ohm=0.001)

    def verdict(low: float, high: float) -> str:
        need = {"minimum_voltage_v": {"low": low, "high": high}}
        plotter = load("plotter", {"kind": "constant-power", "power_w": 20.0}, input=need)
        return event_of(answer_of(boat(parts=[strong, plotter])), "plotter").verdict

    assert verdict(1.0, 2.0) == "keeps-running"
    assert verdict(1.0, 12.0) == "too-close-to-call"
    assert verdict(12.0, 12.5) == "restarts"


def test_drop_as_designed_is_current_times_loop() -> None:
    """20 W at 12 V over everything but the battery; from the panel only breaker and own leads."""
    wire_ohm = 2 * 1.91e-3 * (234.5 + 40) / 254.5
    ring, lug = 0.00005, 0.00015
    answer = answer_of(boat())
    drop = input_of(answer, "plotter").drop
    assert drop is not None
    lead = (wire_ohm + 2 * ring) + (wire_ohm + ring + lug)
    feed = 3 * (wire_ohm + 2 * ring) + 0.1 / 200 + 0.0002
    back = (wire_ohm + ring + lug) + 2 * (wire_ohm + 2 * ring) + 1e-4

    current = 20 / 12
    assert drop.design_current_a == pytest.approx(current)
    assert drop.from_battery_v == pytest.approx(current * (feed + 0.01 + lead + back), rel=1e-9)
    assert drop.from_panelboard_v == pytest.approx(current * (0.01 + lead), rel=1e-9)
    assert drop.handbook_v == pytest.approx(circular_mil_drop(current, 8 * 2.0, 10.0), rel=1e-9)
    assert (drop.limit_fraction, drop.verdict) == (0.03, "pass")
    assert drop.in_circuit_v is not None


def test_practice_counts_from_the_panelboard_where_it_says_so() -> None:
    """The judged figure follows the boat's practice; metric practice uses the metric formula."""
    practice = {"profile": "iso-metric", "drop_counts_from": "panelboard"}
    drop = input_of(answer_of(boat(practice=practice)), "plotter").drop
    assert drop is not None

    assert drop.judged_v == drop.from_panelboard_v
    assert drop.counted_from == "panelboard"
    assert drop.handbook_v == pytest.approx(20 / 12 * 16.0 / (56 * 10), rel=1e-9)


def test_states_say_why_a_load_is_not_fed() -> None:
    """Switched off, not connected, shorted, and too little to run."""
    assert input_of(analyse_mode(boat(), "off"), "plotter").state == "switched-off"

    cut = input_of(answer_of(boat(conductors=[conductor("w-return", head=None)])), "plotter")
    assert (cut.state, "negative" in cut.reason) == ("not-connected", True)

    across = wire("w-short", "plotter.supply", "plotter.negative")
    shorted = answer_of(boat(conductors=[across]))
    assert input_of(shorted, "plotter").state == "shorted"
    assert [one.code for one in shorted.troubles] == ["shorted"]

    hungry = load("plotter", {"kind": "constant-power", "power_w": 3000.0})
    starved = input_of(answer_of(boat(parts=[hungry])), "plotter")
    assert starved.state == "cannot-run"
    assert starved.voltage_v is not None


def test_troubles_are_named() -> None:
    """A loose end, a combining relay without a ground, one that chatters."""
    combiner = {
        "kind": "combiner",
        "id": "combiner",
        "name": "Combiner",
        "connect_v": 12.6,
        "disconnect_v": 12.55,
    }
    flat = part("battery", id="flat", name="Flat battery", rest_voltage_v=11.0, internal_resistance_ohm=0.001)
    wires = [
        wire("w-a", "battery.positive", "combiner.a"),
        wire("w-b", "flat.positive", "combiner.b"),
        wire("w-n", "flat.negative", "bar.stud-6"),
    ]
    loose = answer_of(boat(parts=[combiner, flat], conductors=[*wires, conductor("w-return", head=None)]))
    assert {(one.code, one.subjects) for one in loose.troubles} >= {
        ("loose-end", ("w-return",)),
        ("not-connected", ("combiner",)),
    }

    ground = wire("w-g", "combiner.ground", "bar.stud-5")
    resting = [{"id": "starting", "name": "At rest", "on": [{"part": "plotter"}]}]
    chatters = answer_of(boat(parts=[combiner, flat], conductors=[*wires, ground], modes=resting))
    assert ("does-not-settle", ("combiner",)) in {(one.code, one.subjects) for one in chatters.troubles}


def test_live_terminals_stop_at_an_open_switch() -> None:
    """Behind the switch nothing is live; before it all is."""
    live = analyse_mode(boat(), "off").live_terminals

    assert ("switch", "in") in live
    assert ("switch", "out") not in live
    assert ("panel", "dc-feed") not in live
    assert ("bar", "stud-1") in live


def test_flows_and_loop_of_the_small_boat() -> None:
    """The loop runs from the battery out and back; its volts add up to the battery's own."""
    subject = boat()
    steps = loop(subject, "plotter", "supply", "starting", worst_event(subject)[1])  # type: ignore[index]
    names = [step.element for step in steps]

    assert names == [
        *("battery", "w-battery", "fuse", "w-fuse", "switch", "w-feed", "panel.dc-plotter", "w-plotter"),
        *("plotter", "w-return", "w-strap", "w-bar", "shunt", "w-shunt"),
    ]
    assert sum(step.steady_v for step in steps) == pytest.approx(12.7, rel=1e-9)
    assert {step.element for step in steps if step.shared} == {
        *("battery", "w-battery", "fuse", "w-fuse", "switch", "w-strap", "w-bar", "shunt", "w-shunt"),
    }
    flows = {flow.element: flow for flow in answer_of(subject).flows}
    assert flows["w-plotter"].current_a == pytest.approx(-flows["battery"].current_a + 150.0, abs=400)
    steady = [flow.current_a for name, flow in flows.items() if name in {"w-plotter", "w-return"}]
    assert steady[0] == pytest.approx(steady[1])


@pytest.mark.parametrize("name", DEMO_BOATS)
def test_loop_of_every_demo_load_adds_up(name: str) -> None:
    """Volts of all steps make the voltage of the batteries on the way: what goes out comes back."""
    subject = demo_boat(name)
    for mode in subject.modes[:2]:
        for one in analyse_mode(subject, mode.id, events=()).loads[:25]:
            if one.on and one.state == "fed":
                steps = loop(subject, one.part, one.input, mode.id, None)
                kinds = [step.side for step in steps]
                assert kinds.count("load") == 1
                assert sum(step.steady_v for step in steps) > 6.0
                assert not any(step.shared for step in steps)


def test_loop_of_a_load_that_is_cut_off_is_empty() -> None:
    """No source, no loop."""
    assert loop(boat(), "plotter", "supply", "off", None) == ()


def test_unknown_names_are_refused() -> None:
    """A mode, event or input that the boat does not have."""
    with pytest.raises(UnknownModeError, match="no mode"):
        analyse_mode(boat(), "cruising")
    with pytest.raises(UnknownModeError, match="no event"):
        loop(boat(), "plotter", "supply", "starting", "nothing")
    with pytest.raises(UnknownModeError, match="no input"):
        loop(boat(), "plotter", "main", "starting", None)


def test_boat_without_modes_has_no_worst_event() -> None:
    """Nothing to start, nothing to be worst."""
    subject = boat().model_copy(update={"modes": ()})

    assert worst_event(subject) is None


def test_assumptions_that_were_used_are_listed() -> None:
    """Every value that nobody gave, once each; what was not seen stands beside."""
    subject = boat(
        not_seen=[{"id": "mast", "what": "the mast"}], conductors=[conductor("w-battery", size=None)]
    )
    answer = answer_of(subject)

    keys = [one.key for one in answer.assumptions]
    assert {"conductor_temperature", "joint_resistance", "engine_block_joint", "fuse_drop_at_rating"} <= set(
        keys
    )
    assert len(keys) == len(set(keys))
    assert any("the mast" in text for text in answer.not_assessed)
    assert any("size or length" in text for text in answer.not_assessed)


def test_conditions_of_an_event_are_told() -> None:
    """A cold, flat start is another network than the mode's."""
    conditions = {"state_of_charge": 0.5, "temperature_c": -5.0, "age_factor": 1.5}
    event = {
        "id": "cold",
        "name": "Cold start",
        "mode": "starting",
        "heavy": {"part": "starter", "input": "supply"},
        "conditions": conditions,
    }
    warm, cold = answer_of(boat()), answer_of(boat(events=[event]))

    assert cold.events[0].conditions == "charge 50%, battery at -5 °C, age factor 1.5"
    assert event_of(cold, "plotter").lowest.value < event_of(warm, "plotter").lowest.value


def test_heavy_load_without_supply_draws_nothing_and_takes_nothing() -> None:
    """Its cable is off: no inrush, no sag, no figure that is not a number."""
    answer = answer_of(boat(conductors=[conductor("w-start", head=None)]))
    event = event_of(answer, "plotter")

    assert answer.events[0].inrush_a is None
    assert (event.sag_v, event.transfer_resistance_ohm, event.heavy_alone_v) == (0.0, 0.0, 0.0)


def test_load_fed_through_another_load_has_a_floor_of_its_own() -> None:
    """Two lamps in a row: the second has no way of its own to a source, and says no nonsense."""
    lamp = {"kind": "resistive", "rated_power_w": 12.0, "rated_voltage_v": 12.0}
    parts = [load("one", lamp, role="lights"), load("two", lamp, role="lights")]
    wires = [
        wire("w-1", "panel.dc-spare", "one.supply"),
        wire("w-12", "one.negative", "two.supply"),
        wire("w-2", "two.negative", "bar.stud-3"),
    ]
    on = [{"part": name} for name in ("one", "two")]
    answer = answer_of(
        boat(parts=parts, conductors=wires, modes=[{"id": "starting", "name": "Starting", "on": on}])
    )
    event, two = event_of(answer, "two"), input_of(answer, "two")

    assert two.state == "fed"
    assert two.voltage_v is not None
    assert 5.5 < two.voltage_v < 6.5
    assert event.floor_v == event.lowest.value
    assert event.others_v == pytest.approx(event.sag_v)

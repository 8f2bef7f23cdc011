"""Converters in an event: what they draw follows what they give; they stop and start by their input.

Closed form: an input that draws P/η of its source's E - R i has v² - E v + R P/η = 0 (any textbook).
"""

import json
import math
from typing import Any

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.engine.network import Loads
from server.engine.solution import Solution
from server.engine.transient.answer import EventRun
from server.engine.transient.circuit import Branches, Capacitors, Conversion, MotorDrive, TransientCircuit
from server.engine.transient.model import BoatModel
from server.engine.transient.solver import solve
from server.engine.transient.switched import Arc, Border, Line, State, Switched, Volts
from server.engine.transient.waves import Wave
from tests.engine.boats import load, part, wire
from tests.engine.transient.test_event_run import STEPS, small
from tests.engine.transient.test_followed import boat, run, said
from tests.engine.transient.test_timed import LOOSE, turned

RADIO_W = 60.0


def supply(*, radio_w: float = RADIO_W, on: tuple[str, ...] = (), **figures: object) -> Boat:
    """An isolated supply of 12.5 V on the panel that feeds a radio; the panel dips to about 6 V."""
    converter = {
        "kind": "converter",
        "id": "supply",
        "name": "Supply",
        "role": "supply",
        "output_v": 12.5,
        "rated_current_a": 10.0,
        "isolated": True,
        **figures,
    }
    radio = load("radio", {"kind": "constant-power", "power_w": radio_w})
    lands = [
        wire("c-in", "panel.dc-spare", "supply.input"),
        wire("c-in-return", "supply.negative", "bar.stud-3"),
        wire("c-out", "supply.output", "radio.supply"),
        wire("c-out-return", "radio.negative", "supply.output-negative"),
    ]
    return boat([converter, radio], lands, "radio", *on)


def charger(rest_v: float, **figures: object) -> Boat:
    """A charging converter from the boat's switch to a second battery."""
    second = part("battery", id="second", name="Second battery", rest_voltage_v=rest_v)
    converter = {
        "kind": "converter",
        "id": "charger",
        "name": "Charging converter",
        "role": "charger",
        "output_v": 14.0,
        "rated_current_a": 20.0,
        "output_resistance_ohm": 0.02,
        **figures,
    }
    lands = [
        wire("c-in", "switch.out", "charger.input"),
        wire("c-in-return", "charger.negative", "bar.stud-4"),
        wire("c-out", "charger.output", "second.positive"),
        wire("c-second-return", "second.negative", "bar.stud-3"),
    ]
    return boat([second, converter], lands, "charger")


def volts(found: EventRun, key: str, at_s: float) -> float:
    """A load's voltage at an instant."""
    wave = next(one for one in found.waveforms if one.key == key)
    return float(Wave(wave.time_s, wave.values).at(np.array([at_s]))[0])


R_IN, E_IN, SETPOINT, R_OUT, LIMIT_A, EFFICIENCY = 0.05, 12.6, 24.0, 0.02, 10.0, 0.9
ARC = Arc(18.0, 2e4)


def circuit(lamp_ohm: float, *, pressed_ohm: float = 1e3) -> TransientCircuit:
    """12.6 V and 0.05 Ω feed a converter to 24 V and a lamp; a resistance is pressed beside it for 0.2 s."""
    knee, droop_ohm = SETPOINT - R_OUT * LIMIT_A, 240.0
    posts = Volts(((3, 2),))
    regulated = State((Border(posts, knee - 1e-6, False, 0.0, 1),), line=Line(R_OUT, SETPOINT))
    limited = State(
        (Border(posts, knee + 1e-6, True, 0.0, 0),), line=Line(droop_ohm, knee + droop_ohm * LIMIT_A)
    )
    own = Volts(((1, 0),))
    runs = State((Border(own, 9.0, False, 1e-3, 1),))
    stopped = State((Border(own, 9.5, True, 0.02, 0),), is_open=True)
    branches = [
        (0, 1, R_IN, 5e-6, E_IN),
        (2, 3, R_OUT, 0.0, SETPOINT),
        (3, 4, 2e-6, 0.0, 0.0),
        (4, 2, lamp_ohm, 1e-6, 0.0),
    ]
    motor = MotorDrive("pressed", 1, 0, pressed_ohm, 1e-6, ARC, press_s=0.0, release_s=0.2)
    return TransientCircuit(
        5,
        Branches.of(branches),
        Capacitors.of([(1, 0, 1e-3, 0.02), (4, 2, 1e-4, 0.02)]),
        Loads.of([(1, 0, 100.0, 1.0, 9.0), (4, 2, 0.0, 0.0, 0.0)]),
        (motor,),
        0.4,
        np.full(4, -1),
        (
            Switched("Output", (1,), (regulated, limited), 0, follows=True),
            Switched("Converter", (2,), (runs, stopped), 0),
        ),
        converters=(Conversion(0, 1, 1, 2, EFFICIENCY, 0.0),),
    )


def test_the_input_draws_what_the_output_gives_over_its_efficiency() -> None:
    solution = solve(circuit(20.0))
    out_v = SETPOINT * 20.0 / (20.0 + R_OUT + 2e-6)
    in_w = out_v**2 / 20.0 / EFFICIENCY

    for volts_v, at_s in ((solution.at(4, 2, -0.005), -0.005), (solution.at(4, 2, 0.35), 0.35)):
        assert volts_v == pytest.approx(out_v, rel=1e-9)
        root = (E_IN + math.sqrt(E_IN**2 - 4 * R_IN * in_w)) / 2
        assert solution.at(1, 0, at_s) == pytest.approx(root, abs=1e-5)
    assert solution.changes == ()


def test_at_its_limit_it_draws_less_power_as_its_voltage_falls() -> None:
    """A lamp of 1 Ω behind 10 A and a droop of 240 Ω: 10 V and a little."""
    solution = solve(circuit(2.0))
    knee = SETPOINT - R_OUT * LIMIT_A
    out_v = (knee / 240.0 + LIMIT_A) / (1 / 2.0 + 1 / 240.0)
    in_w = out_v**2 / 2.0 / EFFICIENCY

    assert solution.changes[0].to == 1
    assert solution.at(4, 2, 0.35) == pytest.approx(out_v, rel=1e-6)
    amps = solution.branch_currents_at(0.35)[0]
    assert amps * solution.at(1, 0, 0.35) == pytest.approx(in_w, rel=1e-6)


def test_it_stops_after_its_input_was_too_low_and_starts_again_by_itself() -> None:
    """0.1 Ω beside it pull the input to 8.4 V; what its lamp still gets comes out of its capacitor."""
    solution = solve(circuit(20.0, pressed_ohm=0.1))
    own = [one for one in solution.changes if one.number == 1]

    assert [one.to for one in own] == [1, 0]
    assert own[0].at_s - own[0].since_s == pytest.approx(1e-3)
    assert solution.at(1, 0, 0.15) == pytest.approx(E_IN * 0.1 / 0.15, rel=1e-6)
    early, late = solution.at(4, 2, own[0].at_s + 1e-3), solution.at(4, 2, own[0].at_s + 3e-3)
    assert early / late == pytest.approx(math.exp(2e-3 / (20.02 * 1e-4)), rel=1e-3)
    assert own[1].at_s == pytest.approx(0.22, abs=2e-3)
    assert solution.at(4, 2, 0.39) == pytest.approx(SETPOINT * 20.0 / 20.02, rel=1e-4)


def test_power_in_is_power_out_over_efficiency_while_it_swings() -> None:
    """Over the first millisecond: what the source gives, less press and capacitor, is what goes through."""
    asked = circuit(5.0, pressed_ohm=1.0)
    solution = solve(asked)
    times = np.linspace(1e-9, 1e-3, 20_001)
    volts_in, out = solution.at_times([(1, 0), (4, 2)], times)
    amps = np.array([solution.branch_currents_at(at_s)[[0, 2]] for at_s in times[::20].tolist()])
    pressed = np.array([solution.motor_current_at(0, at_s) for at_s in times[::20].tolist()])
    taken_j = np.trapezoid(volts_in[::20] * (amps[:, 0] - pressed), times[::20])
    given_j = np.trapezoid(out[::20] * amps[:, 1], times[::20])
    capacitor_j = 0.5e-3 * (volts_in[-1] ** 2 - volts_in[0] ** 2)

    assert taken_j - capacitor_j == pytest.approx(given_j / EFFICIENCY, rel=5e-3)


def test_a_supply_that_stops_takes_what_it_feeds_with_it() -> None:
    found = run(supply(minimum_input_v=7.0, restart_input_v=8.0, restart_after_s=0.2))

    (message,) = [one.message for one in found.troubles if one.code == "drops-out"]
    assert message.startswith(
        "Supply stops 9.6 ms after the press: from 8.6 ms after the press on its input has less than the "
        "7.0 V that it works on, and it takes 1.0 ms (assumed); it runs again "
    )
    radio = next(one for one in found.points if one.key == "radio.supply")
    assert (radio.lowest.value, radio.verdict) == (0.0, "restarts")
    assert volts(found, "radio.supply", 0.84) == pytest.approx(radio.before_v, abs=1e-3)
    assert "converter_stop_time" in {one.key for one in found.assumptions}
    assert "converter_restart_time" not in {one.key for one in found.assumptions}


def test_what_nobody_stated_of_its_restart_is_assumed_and_said_so() -> None:
    body = supply(minimum_input_v=5.0).model_dump(mode="json", exclude_none=True)
    body["parts"].append({**LOOSE, "id": "breaker", "name": "Supply switch"})
    feed = next(one for one in body["conductors"] if one["id"] == "c-in")
    feed["tail"] = {"part": "breaker", "terminal": "b"}
    body["conductors"].append(wire("c-switch", "panel.dc-spare", "breaker.a"))
    body["events"][0]["steps"] = [*STEPS, turned("off", 0.7, "breaker"), turned("on", 0.9, "breaker")]
    messages = said(read_boat(json.dumps(body).encode()))

    assert any("it runs again 1.2 s after the press" in one for one in messages)


def test_one_that_runs_through_keeps_its_load_alive() -> None:
    found = run(supply(minimum_input_v=5.0))
    radio = next(one for one in found.points if one.key == "radio.supply")

    assert found.troubles == ()
    assert radio.lowest.value == pytest.approx(radio.before_v, abs=1e-3)


def test_a_load_behind_a_supply_that_the_first_instant_already_stops_is_judged() -> None:
    found = run(supply(minimum_input_v=10.0))

    assert [one.key for one in found.points] == ["plotter.supply", "radio.supply"]
    assert found.points[1].verdict == "restarts"


def test_a_charging_converter_that_stops_no_longer_loads_the_starting_battery() -> None:
    """Set to 14 V it pushes its 20 A into a battery of 12.6 V, until its input is too low."""
    stops, goes_on = run(charger(12.6, minimum_input_v=9.0)), run(charger(12.6, minimum_input_v=3.0))

    assert any(one.message.startswith("Charging converter stops ") for one in stops.troubles)
    assert volts(stops, "plotter.supply", 0.05) > volts(goes_on, "plotter.supply", 0.05) + 0.1


def test_one_that_blocks_stands_by_and_draws_nothing() -> None:
    boat = charger(14.5, minimum_input_v=3.0)
    solution = Solution.of(boat, "starting")
    model = BoatModel(solution, solution.event("start"))
    solved = solve(model.circuit())

    assert said(boat) == []
    assert solved.branch_currents_at(-0.005)[model.joints.switches[0]] == 0.0


def test_before_the_press_it_stands_as_the_steady_network_has_it() -> None:
    for one in (supply(minimum_input_v=5.0), charger(12.6)):
        solution = Solution.of(one, "starting")
        model = BoatModel(solution, solution.event("start"))
        given = solve(model.circuit()).branch_currents_at(-0.005)[model.joints.sources]

        assert given == pytest.approx(model.before.current_a[model.extent.outputs], rel=1e-7)


def test_a_switch_on_its_way_that_is_turned_on_starts_it() -> None:
    """It has no input before; a tenth of a second later it feeds its radio."""
    body = supply(minimum_input_v=9.0, restart_after_s=0.1).model_dump(mode="json", exclude_none=True)
    next(one for one in body["parts"] if one["id"] == "supply")["isolated"] = False
    back = next(one for one in body["conductors"] if one["id"] == "c-out-return")
    back["head"] = {"part": "supply", "terminal": "negative"}
    body["parts"].append({**LOOSE, "id": "breaker", "name": "Supply switch", "normal": "off"})
    feed = next(one for one in body["conductors"] if one["id"] == "c-in")
    feed["tail"] = {"part": "breaker", "terminal": "b"}
    body["conductors"].append(wire("c-switch", "panel.dc-spare", "breaker.a"))
    body["events"][0]["steps"] = [*STEPS, turned("on", 1.0, "breaker")]
    boat = read_boat(json.dumps(body).encode())
    messages = said(boat)

    assert any(
        one.startswith(
            "Supply runs again 1.1 s after the press: from 1.0 s after the press on its input has "
        )
        and "that start it again, and it takes 100 ms." in one
        for one in messages
    )
    solution = Solution.of(boat, "starting")
    model = BoatModel(solution, solution.event("start"))
    assert solve(model.circuit()).branch_currents_at(1.9)[model.joints.switches[0]] == pytest.approx(
        RADIO_W / 12.4, rel=0.02
    )


def test_only_parts_that_are_on_are_followed() -> None:
    body: dict[str, Any] = charger(12.6).model_dump(mode="json", exclude_none=True)
    body["modes"][0]["on"] = [one for one in body["modes"][0]["on"] if one["part"] != "charger"]
    solution = Solution.of(read_boat(json.dumps(body).encode()), "starting")

    assert small().parts
    assert BoatModel(solution, solution.event("start")).followed == ()

"""Steps that join something new in a boat's event, and contacts that join other terminals at rest."""

import json
from typing import Any

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.engine.solution import Solution
from server.engine.transient.answer import EventRun
from server.engine.transient.event_run import event_run
from server.engine.transient.model import BoatModel
from server.engine.transient.waves import Wave
from tests.engine.boats import load, part, wire
from tests.engine.transient.test_event_run import STEPS, small
from tests.engine.transient.test_followed import ON, contactor
from tests.engine.transient.test_timed import LOOSE, left_out, run, turned

SECTION = [
    wire("x-feed", "switch.out", "panel-switch.a"),
    wire("x-lights", "panel-switch.b", "lights.supply"),
    wire("x-lights-return", "lights.negative", "bar.stud-3"),
    wire("x-radio", "panel-switch.b", "radio.supply"),
    wire("x-radio-return", "radio.negative", "bar.stud-4"),
]
LAMP = {"kind": "resistive", "rated_power_w": 60.0, "rated_voltage_v": 12.0}
RADIO = {"kind": "constant-power", "power_w": 30.0}


def switch(part_id: str, name: str, normal: str = "off") -> dict[str, Any]:
    """A switch of two terminals."""
    return {**LOOSE, "id": part_id, "name": name, "normal": normal}


def section(
    *steps: dict[str, Any], demand: dict[str, Any] = LAMP, on: tuple[str, ...] = ("lights", "radio")
) -> Boat:
    """Lights and a radio behind a panel switch that is off before the start."""
    modes = [{"id": "starting", "name": "Starting", "on": [{"part": one} for one in (*ON, *on)]}]
    parts = [switch("panel-switch", "Panel switch"), load("lights", demand), load("radio", RADIO)]
    return small(parts=parts, conductors=SECTION, modes=modes, steps=[*STEPS, *steps])


def used(action: str, part_id: str, at_s: float, **more: object) -> dict[str, Any]:
    """A load that is turned on or off."""
    return {"action": action, "part": part_id, "at_s": at_s, **more}


def linked(*steps: dict[str, Any]) -> Boat:
    """A second battery behind a parallel link that is open."""
    second = part("battery", id="second", name="Second battery", rest_voltage_v=12.6)
    lands = [
        wire("l-second", "second.positive", "link.a"),
        wire("l-link", "link.b", "switch.out"),
        wire("l-return", "second.negative", "bar.stud-3"),
    ]
    return small(parts=[second, switch("link", "Parallel link")], conductors=lands, steps=[*STEPS, *steps])


def changing_over(hold_v: float = 8.0, spare: str = "battery.positive") -> Boat:
    """A contactor that feeds the panel from the switch, and at rest straight from the battery."""
    body = contactor(hold_v=hold_v, resting=[["out", "spare"]]).model_dump(mode="json", exclude_none=True)
    body["conductors"].append(wire("w-rest", spare, "contactor.spare"))
    return read_boat(json.dumps(body).encode())


def by_its_coil(
    *steps: dict[str, Any],
    position: str = "open",
    hold_v: float | None = None,
    pull_in_v: float | None = None,
) -> Boat:
    """The panel's contactor, its coil switched by steps."""
    body = contactor(hold_v=hold_v, pull_in_v=pull_in_v).model_dump(mode="json", exclude_none=True)
    body["modes"][0]["positions"] = [{"part": "contactor", "position": position}]
    body["events"][0]["steps"] = [*STEPS, *steps]
    return read_boat(json.dumps(body).encode())


def woken(*steps: dict[str, Any]) -> Boat:
    """The panel's contactor, whose coil hangs on an ignition switch."""
    body = by_its_coil(hold_v=4.0, pull_in_v=8.0).model_dump(mode="json", exclude_none=True)
    body["events"][0]["steps"] = [*STEPS, *steps]
    body["parts"].append(switch("key", "Ignition switch"))
    coil = next(one for one in body["conductors"] if one["id"] == "w-coil")
    coil["tail"] = {"part": "key", "terminal": "b"}
    body["conductors"].append(wire("w-key", "switch.out", "key.a"))
    return read_boat(json.dumps(body).encode())


def plotter_v(found: EventRun, at_s: float) -> float:
    """The plotter's voltage at an instant."""
    wave = found.waveforms[0]
    assert wave.key == "plotter.supply"
    return float(Wave(wave.time_s, wave.values).at(np.array([at_s]))[0])


def said(found: EventRun) -> list[str]:
    """What its parts did, in words."""
    return [one.message.removesuffix(" What is shown from then on is computed so.") for one in found.troubles]


def steady_v(boat: Boat, **positions: str) -> float:
    """The plotter's voltage without the starter, with contacts in other positions."""
    body = boat.model_dump(mode="json", exclude_none=True)
    set_to = [{"part": name.replace("_", "-"), "position": to} for name, to in positions.items()]
    body["modes"][0]["positions"] = set_to
    solution = Solution.of(read_boat(json.dumps(body).encode()), "starting")
    return solution.event("start").absent.voltage(solution.net.inputs["plotter", "supply"])


def test_a_section_that_is_turned_on_draws_what_the_steady_network_says() -> None:
    boat = section(turned("on", 1.0, "panel-switch"), turned("off", 1.6, "panel-switch"))
    found = run(boat)

    assert said(found) == [
        "Panel switch is turned on 1.0 s after the press; it is turned off 1.6 s after the press."
    ]
    assert [one.code for one in found.troubles] == ["leaves-its-state"]
    assert plotter_v(found, 0.9) == pytest.approx(steady_v(boat), abs=1e-5)
    assert plotter_v(found, 1.5) == pytest.approx(steady_v(boat, panel_switch="on"), abs=1e-5)
    assert plotter_v(found, 2.5) == pytest.approx(steady_v(boat), abs=1e-5)
    assert found.phases[-1].end_s == pytest.approx(2.6)
    assert [one.key for one in found.points] == ["plotter.supply"]
    assert "Lights and Radio: without supply before the press, so not judged" in found.not_assessed


def test_what_a_contact_that_joins_is_assumed_to_have_is_told() -> None:
    assert "panel_switch_resistance" in {
        one.key for one in run(linked(turned("on", 0.3, "link"))).assumptions
    }


def test_a_parallel_link_pressed_while_the_engine_cranks_lifts_the_voltage() -> None:
    boat = linked(turned("on", 0.3, "link"))
    found = run(boat)

    assert plotter_v(found, 0.35) > plotter_v(found, 0.29) + 0.5
    assert plotter_v(found, 1.2) == pytest.approx(steady_v(boat, link="on"), abs=2e-4)


def test_a_contactor_that_lets_go_into_other_terminals_feeds_the_panel_from_there() -> None:
    found = run(changing_over())

    assert said(found)[0].startswith("Contactor lets go 15 ms after the press: from ")
    assert found.troubles[0].code == "drops-out"
    assert plotter_v(found, 0.05) > 8.5
    assert plotter_v(run(contactor(hold_v=8.0)), 0.05) == pytest.approx(0.0, abs=1e-3)


def test_a_coil_that_steps_switch_pulls_in_after_the_time_it_takes() -> None:
    """A second load on the feed shows it: open, only the battery switch's lead carries it."""
    boat = by_its_coil(
        turned("closed", 1.0, "contactor"), turned("open", 1.4, "contactor"), hold_v=4.0, pull_in_v=8.0
    )
    model = BoatModel(Solution.of(boat, "starting"), Solution.of(boat, "starting").event("start"))
    found = run(boat)

    assert said(found)[0] == (
        "Contactor has its coil switched on 1.0 s after the press; it pulls in 1.0 s after the press; "
        "it has its coil switched off and lets go 1.4 s after the press."
    )
    assert [one.code for one in found.troubles] == ["leaves-its-state"]
    (own,) = model.followed
    assert [len(state.opens) for state in own.switched.states] == [2, 0, 1, 2]


def test_a_stepped_contactor_whose_coil_sags_while_it_is_on_drops_out() -> None:
    steps = turned("closed", 0.0, "contactor"), turned("open", 2.0, "contactor")
    found = run(by_its_coil(*steps, hold_v=11.0, pull_in_v=12.0))

    assert found.troubles == () or found.troubles[0].code == "leaves-its-state"
    late = run(by_its_coil(turned("open", 2.0, "contactor"), position="closed", hold_v=8.0))
    assert late.troubles[0].code == "drops-out"
    assert said(late)[0].startswith("Contactor lets go 15 ms after the press: from 5.1 ms after ")
    assert said(late)[0].endswith("it has its coil switched off and lets go 2.0 s after the press.")


def test_a_contactor_whose_coil_is_not_wired_moves_when_the_step_says() -> None:
    body = by_its_coil(turned("closed", 1.0, "contactor")).model_dump(mode="json", exclude_none=True)
    body["conductors"] = [one for one in body["conductors"] if one["id"] not in {"w-coil", "w-coil-return"}]

    assert said(run(read_boat(json.dumps(body).encode()))) == [
        "Contactor is turned on 1.0 s after the press."
    ]


def test_a_coil_that_gets_its_supply_on_the_way_wakes_its_contact() -> None:
    found = run(woken(turned("on", 1.0, "key")))

    assert said(found) == [
        "Ignition switch is turned on 1.0 s after the press.",
        "Contactor pulls in 1.0 s after the press: from 1.0 s after the press on its coil has more than the "
        "8.0 V that pull it in, and it takes 15 ms (assumed).",
    ]


def test_a_coil_that_has_supply_and_is_not_pulled_stays_so() -> None:
    """What keeps it from pulling in is not part of the boat's wiring."""
    boat = by_its_coil()
    solution = Solution.of(boat, "starting")

    assert BoatModel(solution, solution.event("start")).followed == ()


@pytest.mark.parametrize("demand", [LAMP, RADIO], ids=["resistance", "power"])
def test_a_load_that_steps_turn_on_and_off_again(demand: dict[str, Any]) -> None:
    """Its own contact closes and opens; between, all is as if the mode had it on."""
    steps = turned("on", 0.8, "panel-switch"), used("press", "lights", 1.0), used("release", "lights", 1.6)
    boat = section(*steps, demand=demand, on=("radio",))
    both = section(*steps, demand=demand, on=("radio", "lights"))
    found = run(boat)

    assert (
        said(found)[1] == "Lights is turned on 1.0 s after the press; it is turned off 1.6 s after the press."
    )
    assert left_out(found) == []
    assert plotter_v(found, 0.95) == pytest.approx(steady_v(boat, panel_switch="on"), abs=1e-4)
    assert plotter_v(found, 1.5) == pytest.approx(steady_v(both, panel_switch="on"), abs=1e-4)
    assert plotter_v(found, 2.3) == pytest.approx(plotter_v(found, 0.95), abs=1e-4)


def test_a_load_that_is_on_is_turned_off_and_on_again() -> None:
    boat = section(used("release", "plotter", 1.0), used("press", "plotter", 1.4))
    found = run(boat)

    assert plotter_v(found, 1.3) == pytest.approx(12.7, abs=1e-3)
    assert plotter_v(found, 2.3) == pytest.approx(steady_v(boat), abs=1e-4)


@pytest.mark.parametrize(
    ("step", "why"),
    [
        (used("press", "plotter", 1.0), "it is on already"),
        (used("release", "lights", 1.0), "it is off already"),
        (used("press", "fuse", 1.0), "only loads, sources and contacts are followed"),
        (turned("off", 1.0, "fuse"), "only loads, sources and contacts are followed"),
    ],
)
def test_steps_that_mean_nothing_are_left_out_with_their_reason(step: dict[str, Any], why: str) -> None:
    assert why in left_out(run(section(step, on=())))[0]


def test_a_load_of_several_inputs_wants_to_be_told_which() -> None:
    body = section(used("press", "radio", 1.0)).model_dump(mode="json", exclude_none=True)
    radio = next(one for one in body["parts"] if one["id"] == "radio")
    radio["inputs"].append({"id": "memory", "demand": RADIO})

    assert "it has several inputs" in left_out(run(read_boat(json.dumps(body).encode())))[0]


def test_a_contact_without_resistance_cannot_be_opened_and_says_so() -> None:
    body = section(turned("off", 1.0)).model_dump(mode="json", exclude_none=True)
    next(one for one in body["parts"] if one["id"] == "switch")["resistance_ohm"] = 0.0
    found = run(read_boat(json.dumps(body).encode()))

    assert found.troubles == ()
    assert (
        "Battery switch: its contact is entered without any resistance, so it stays closed"
        in found.not_assessed
    )


def test_one_that_is_closed_and_has_none_is_joined_all_the_same() -> None:
    body = linked(turned("on", 0.3, "link")).model_dump(mode="json", exclude_none=True)
    next(one for one in body["parts"] if one["id"] == "link")["resistance_ohm"] = 0.0
    boat = read_boat(json.dumps(body).encode())

    assert plotter_v(run(boat), 1.2) == pytest.approx(steady_v(boat, link="on"), abs=2e-4)


def test_a_selector_is_turned_through_its_positions() -> None:
    """From the first battery to both, then to the second alone: each as the steady network has it."""
    second = part("battery", id="second", name="Second battery", rest_voltage_v=12.5)
    body = small(parts=[second], conductors=[wire("s-return", "second.negative", "bar.stud-3")]).model_dump(
        mode="json", exclude_none=True
    )
    own = next(one for one in body["parts"] if one["id"] == "switch")
    own |= {
        "terminals": ["in", "other", "out"],
        "positions": [
            {"id": "one", "name": "1", "closed": [["in", "out"]]},
            {"id": "both", "name": "Both", "closed": [["in", "out"], ["other", "out"]]},
            {"id": "two", "name": "2", "closed": [["other", "out"]]},
        ],
        "normal": "one",
    }
    body["conductors"].append(wire("s-second", "second.positive", "switch.other"))
    body["modes"] = [body["modes"][0]]
    body["modes"][0].pop("positions", None)
    body["events"][0]["steps"] = [*STEPS, turned("both", 1.0), turned("two", 1.5)]
    boat = read_boat(json.dumps(body).encode())
    found = run(boat)

    assert said(found) == [
        "Battery switch is turned to “Both” 1.0 s after the press; it is turned to “2” 1.5 s after the press."
    ]
    assert plotter_v(found, 0.95) == pytest.approx(steady_v(boat), abs=2e-3)
    assert plotter_v(found, 1.45) == pytest.approx(steady_v(boat, switch="both"), abs=2e-4)
    assert plotter_v(found, 2.4) == pytest.approx(steady_v(boat, switch="two"), abs=2e-4)


def test_a_second_heavy_load_behind_a_contact_that_closes_on_the_way_starts() -> None:
    """Pressed at 0.8 s without supply; with the switch on from 1 s it draws its stalled current at first."""
    motor = {"kind": "motor", "running_current_a": 50.0, "inrush_current_a": 150.0}
    bow = load("thruster", motor, role="thruster", heavy=True)
    lands = [
        wire("t-feed", "switch.out", "breaker.a"),
        wire("t-supply", "breaker.b", "thruster.supply"),
        wire("t-return", "thruster.negative", "bar.stud-3"),
    ]
    steps = [
        *STEPS,
        used("press", "thruster", 0.8, input="supply"),
        turned("on", 1.0, "breaker"),
        used("release", "thruster", 1.5, input="supply"),
    ]
    boat = small(parts=[bow, switch("breaker", "Thruster switch")], conductors=lands, steps=steps)
    found = run(boat)

    assert said(found) == ["Thruster switch is turned on 1.0 s after the press."]
    assert plotter_v(found, 0.95) > 12.5
    assert plotter_v(found, 1.005) < 12.0


@pytest.mark.parametrize(("at_s", "is_told"), [(0.2, False), (1.0, True)])
def test_what_happens_after_the_time_that_bands_look_at_is_said_to_be_left_out(
    at_s: float, is_told: bool
) -> None:
    found = event_run(linked(turned("on", at_s, "link")), "starting", "start", bands=True)
    told = [one for one in found.not_assessed if one.startswith("bands are drawn over the first 300 ms")]

    assert found.points[0].band_basis == "drawn"
    assert [one.endswith("what Parallel link may do at other times is not in them") for one in told] == (
        [True] * is_told
    )

"""The parts of a boat whose states an event follows, on the small boat's start: its switch dips to 6.2 V."""

import json
import re
from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.value import TerminalRef
from server.engine.solution import Solution
from server.engine.transient.answer import EventRun
from server.engine.transient.at_taps import event_at_taps
from server.engine.transient.circuit import TransientError
from server.engine.transient.event_in_time import EventInTime
from server.engine.transient.event_run import event_run
from tests.engine.boats import load, part, wire
from tests.engine.transient.test_event_run import small

ON = ("plotter", "starter")
Parts = list[dict[str, Any]]


def boat(parts: Parts, conductors: Parts, *on: str, **mode: object) -> Boat:
    """The small boat with more parts, some of them on."""
    modes = [{"id": "starting", "name": "Starting", "on": [{"part": one} for one in (*ON, *on)], **mode}]
    return small(parts=parts, conductors=conductors, modes=modes)


def alternator(setpoint_v: float, rated_a: float) -> tuple[Parts, Parts]:
    """An alternator on the battery switch."""
    source = {
        "kind": "alternator",
        "id": "alternator",
        "name": "Alternator",
        "rated_current_a": rated_a,
        "setpoint_v": setpoint_v,
        "output_resistance_ohm": 0.005,
    }
    lands = [
        wire("w-charge", "alternator.positive", "switch.out"),
        wire("w-charge-return", "alternator.negative", "bar.stud-3"),
    ]
    return [source], lands


def with_alternator(setpoint_v: float, rated_a: float) -> Boat:
    """The small boat with an alternator that charges."""
    return boat(*alternator(setpoint_v, rated_a), "alternator")


def isolated(rest_v: float) -> tuple[Parts, Parts]:
    """A second battery behind an isolator that could feed the boat."""
    second = part("battery", id="second", name="Second battery", rest_voltage_v=rest_v)
    diodes = {
        "kind": "isolator",
        "id": "isolator",
        "name": "Isolator",
        "forward_v": 0.5,
        "resistance_ohm": 0.002,
    }
    lands = [
        wire("w-second", "second.positive", "isolator.input"),
        wire("w-out", "isolator.output-1", "switch.out"),
        wire("w-second-return", "second.negative", "bar.stud-3"),
    ]
    return [second, diodes], lands


def with_isolator(rest_v: float) -> Boat:
    """The small boat with a second battery behind an isolator."""
    return boat(*isolated(rest_v))


def combined(
    *, delay_s: float | None, close_v: float = 12.0, open_v: float = 11.5, steps: Parts | None = None
) -> Boat:
    """A second battery on a combining relay that is closed before the start."""
    second = part("battery", id="second", name="Second battery", rest_voltage_v=12.6)
    relay = {
        "kind": "combiner",
        "id": "combiner",
        "name": "Combiner",
        "connect_v": close_v,
        "disconnect_v": open_v,
        "delay_s": delay_s,
    }
    lands = [
        wire("w-second", "second.positive", "combiner.a"),
        wire("w-second-return", "second.negative", "bar.stud-3"),
        wire("w-combined", "combiner.b", "switch.out"),
        wire("w-ground", "combiner.ground", "bar.stud-4"),
    ]
    return small(parts=[second, relay], conductors=lands, steps=steps)


def contactor(
    *,
    hold_v: float | None = None,
    rated_v: float = 12.0,
    resting: list[list[str]] | None = None,
    **figures: object,
) -> Boat:
    """A contactor that doubles the panel's feed; its coil hangs on the battery switch."""
    pull_in_v = figures.pop("pull_in_v", None)
    coil = {"kind": "coil", "current_a": 1.0, "rated_voltage_v": rated_v}
    coil |= {} if hold_v is None else {"hold_v": hold_v}
    coil |= {} if pull_in_v is None else {"pull_in_v": pull_in_v}
    own = {
        "kind": "contact",
        "id": "contactor",
        "name": "Contactor",
        "terminals": ["in", "out", "spare"],
        "positions": [
            {"id": "open", "name": "Open", "closed": resting or []},
            {"id": "closed", "name": "Closed", "closed": [["in", "out"]]},
        ],
        "normal": "open",
        "actuator": "coil",
        "coil": coil,
        **figures,
    }
    lands = [
        wire("w-feed", "switch.out", "contactor.in"),
        wire("w-on", "contactor.out", "panel.dc-feed"),
        wire("w-coil", "switch.out", "contactor.coil-positive"),
        wire("w-coil-return", "contactor.coil-negative", "bar.stud-3"),
    ]
    return boat([own], lands, positions=[{"part": "contactor", "position": "closed"}])


def solenoid(**figures: object) -> Boat:
    """The starter's own solenoid as a second input of the starter."""
    body = small().model_dump(mode="json", exclude_none=True)
    starter = next(one for one in body["parts"] if one["id"] == "starter")
    demand = {"kind": "coil", "current_a": 8.0, "rated_voltage_v": 12.0, **figures}
    starter["inputs"].append({"id": "solenoid", "demand": demand, "returns_to": "negative"})
    body["conductors"].append(wire("w-solenoid", "switch.out", "starter.solenoid"))
    return read_boat(json.dumps(body).encode())


def run(one: Boat) -> EventRun:
    """Its start."""
    return event_run(one, "starting", "start")


def said(one: Boat) -> list[str]:
    """What its parts did, in words."""
    return [trouble.message for trouble in run(one).troubles]


def lowest(one: Boat) -> float:
    """The plotter's lowest voltage."""
    return run(one).points[0].lowest.value


def test_a_contactor_whose_coil_has_too_little_takes_the_panel_with_it() -> None:
    found = run(contactor(hold_v=8.0))

    assert [(one.code, one.subjects) for one in found.troubles] == [("drops-out", ("contactor",))]
    message = found.troubles[0].message
    assert message.startswith(
        "Contactor lets go 15 ms after the press: from 5.1 ms after the press on its coil "
    )
    assert "less than the 8.0 V that hold it, and it takes 10 ms (assumed); it pulls in " in message
    plotter = found.points[0]
    assert plotter.lowest.value == 0.0
    assert plotter.verdict == "restarts"
    assert plotter.dip_causes == ()
    assert {one.key for one in found.assumptions} >= {
        "relay_release_time",
        "relay_operate_time",
        "coil_pull_in_share",
    }


def test_volts_of_a_coil_that_nobody_entered_are_said_to_be_assumed() -> None:
    """30 % of a 24 V coil's: 7.2 V hold it, and nothing on 12 V pulls it in again."""
    message = said(contactor(rated_v=24.0))[0]

    assert "the 7.2 V (assumed) that hold it" in message
    assert "pulls in" not in message


def test_a_coil_between_its_holds_two_ends_may_let_go_and_is_computed_as_pulled() -> None:
    """10 to 50 % of 16 V: 4.8 V hold it, perhaps only 8 V do."""
    found = run(contactor(rated_v=16.0))

    assert found.points[0].lowest.value > 5
    assert found.troubles[0].message.startswith("The coil of Contactor may let go ")
    assert "computed as pulled throughout" in found.troubles[0].message


def test_a_latching_contact_needs_no_coil() -> None:
    assert said(contactor(hold_v=8.0, latching=True)) == []


def test_a_contact_too_short_to_be_an_element_is_not_followed() -> None:
    assert "computed as pulled" in said(contactor(hold_v=8.0, resistance_ohm=0.0))[0]


def test_a_combining_relay_opens_after_its_wait_and_the_dip_becomes_deeper() -> None:
    message = said(combined(delay_s=0.1))[0]

    assert message.startswith(
        "Combiner opens 102 ms after the press: from 2.1 ms after the press on it measures less than the "
        "11.5 V at which it lets go, and it waits 100 ms; it closes 202 ms after the press; "
    )
    assert lowest(combined(delay_s=0.1)) < lowest(combined(delay_s=30.0)) - 1


def test_one_whose_wait_is_not_stated_may_open_where_the_dip_outlasts_its_shortest() -> None:
    """It waits 5 s as assumed, perhaps only 1 s; the start lasts 2 s."""
    press = {"action": "press", "part": "starter", "input": "supply", "at_s": 0.0}
    found = said(
        combined(
            delay_s=None,
            open_v=12.2,
            close_v=12.4,
            steps=[press, {**press, "action": "release", "at_s": 2.0}],
        )
    )

    assert len(found) == 1
    assert found[0].startswith("Combiner may open: from ")
    assert "on it measures less than the 12.2 V at which it lets go" in found[0]
    assert "it may wait as short as 1.0 s (assumed). It is computed as closed throughout." in found[0]


def test_many_changes_are_told_by_their_number() -> None:
    assert re.search(r"; it changes \d times more\. What is shown", said(combined(delay_s=0.06))[0])


def test_a_relay_that_hangs_on_nothing_is_not_followed() -> None:
    relay = {"kind": "combiner", "id": "loose", "name": "Loose", "delay_s": 0.01}
    solution = Solution.of(small(parts=[relay]), "starting")

    assert EventInTime(solution, solution.event("start")).model.followed == ()


def test_one_that_chatters_is_named_and_the_event_has_no_answer() -> None:
    with pytest.raises(
        TransientError, match=r"Start cannot be solved in time: Combiner chatters: .* 12 times by"
    ):
        run(combined(delay_s=0.01))


def test_a_starters_own_solenoid_lets_its_contact_go_and_pulls_it_in_again() -> None:
    with pytest.raises(TransientError, match="Starter chatters"):
        run(solenoid(hold_v=8.0, pull_in_v=9.0))


def test_a_solenoid_that_is_held_stays() -> None:
    assert said(solenoid(hold_v=4.0)) == []


def test_diodes_and_sources_follow_at_once() -> None:
    assert said(with_isolator(12.7))[0].startswith(
        "Isolator begins to conduct 0 µs after the press; it ceases "
    )
    assert said(with_alternator(12.9, 60.0))[0].startswith("Alternator reaches its limit ")
    assert lowest(with_alternator(12.9, 60.0)) > lowest(small()) + 0.3


def test_the_places_of_a_held_lead_have_the_same_truth() -> None:
    """Where the lead lies the place gives the event's own figure."""
    boat = combined(delay_s=0.1)
    place = TerminalRef(part="panel", terminal="dc-plotter")

    (there,) = event_at_taps(boat, "starting", "start", ("plotter", "supply"), ("plotter", "supply"), [place])

    assert there.lowest == run(boat).points[0].lowest


def test_a_coil_that_is_no_contact_is_only_told() -> None:
    stop = load(
        "stop",
        {"kind": "coil", "current_a": 2.0, "rated_voltage_v": 12.0, "hold_v": 8.0},
        role="stop-solenoid",
    )
    lands = [
        wire("w-stop", "switch.out", "stop.supply"),
        wire("w-stop-return", "stop.negative", "bar.stud-3"),
    ]

    assert said(boat([stop], lands, "stop"))[0].startswith("The coil of Stop lets go ")

"""What an event does not follow is asked afterwards whether it could have stayed so."""

import re
from typing import Any

import numpy as np
import pytest

from server.engine.answer import Trouble
from server.engine.states import Regulation
from server.engine.transient.event_run import event_run
from server.engine.transient.states_left import borders
from server.engine.transient.waves import Wave
from tests.engine.boats import load, wire
from tests.engine.transient.test_followed import alternator, boat, combined, isolated


def troubles(
    parts: list[dict[str, Any]], conductors: list[dict[str, Any]], *on: str
) -> list[tuple[str, str]]:
    """Codes and messages of the small boat's start with more parts, some of them on."""
    run = event_run(boat(parts, conductors, *on), "starting", "start")
    return [(one.code, one.message) for one in run.troubles]


def test_a_quiet_start_has_no_troubles() -> None:
    assert troubles([], []) == []


def test_an_alternator_that_regulates_reaches_its_limit_in_the_dip() -> None:
    """At 12.9 V it charges with a few amperes; at 7 V it would have to give hundreds."""
    found = troubles(*alternator(12.9, 60.0), "alternator")

    assert [code for code, _ in found] == ["leaves-its-state"]
    assert re.match(
        r"Alternator reaches its limit \d+ µs after the press; it falls back from its limit 600 ms after",
        found[0][1],
    )


def test_an_alternator_at_its_limit_stays_there() -> None:
    assert troubles(*alternator(14.4, 5.0), "alternator") == []


def test_a_charger_that_stands_by_begins_to_deliver() -> None:
    """Set to 12.2 V it gives nothing to a battery of 12.7 V until the start pulls that down."""
    found = troubles(*alternator(12.2, 60.0), "alternator")

    assert "Alternator begins to deliver" in found[0][1]
    assert "it ceases to deliver 601 ms after the press" in found[0][1]


def test_sources_that_are_off_are_not_asked() -> None:
    assert troubles(*alternator(12.2, 60.0)) == []


def test_what_is_on_but_not_connected_is_not_asked() -> None:
    sources, _ = alternator(12.9, 60.0)
    _, diodes = isolated(12.7)[0]
    stop = load("stop", {"kind": "coil", "current_a": 2.0, "rated_voltage_v": 12.0}, role="stop-solenoid")

    converter = {
        "kind": "converter",
        "id": "converter",
        "name": "Converter",
        "output_v": 5.0,
        "rated_current_a": 2.0,
        "isolated": True,
    }

    assert troubles([*sources, diodes, stop, converter], [], "alternator", "stop") == []


@pytest.mark.parametrize(("minimum_v", "stops"), [(8.0, True), (5.0, False)])
def test_a_converter_stops_where_its_input_falls_below_what_it_works_on(
    minimum_v: float, stops: bool
) -> None:
    """The small boat's switch dips to about 6.2 V."""
    converter = {
        "kind": "converter",
        "id": "converter",
        "name": "Converter",
        "output_v": 5.0,
        "rated_current_a": 2.0,
        "minimum_input_v": minimum_v,
    }
    light = load("light", {"kind": "resistive", "rated_power_w": 5.0, "rated_voltage_v": 5.0}, role="lights")
    lands = [
        wire("w-in", "switch.out", "converter.input"),
        wire("w-in-return", "converter.negative", "bar.stud-3"),
        wire("w-light", "converter.output", "light.supply"),
        wire("w-light-return", "light.negative", "bar.stud-4"),
    ]
    found = [message for _, message in troubles([converter, light], lands, "light")]

    assert [message.startswith("Converter would stop below 8.0 V ") for message in found] == [True] * stops


def wave(*points: tuple[float, float]) -> Wave:
    """A waveform through some points."""
    time_s, values = np.array(points).T
    return Wave(time_s, values)


@pytest.mark.parametrize(
    ("state", "below", "words"),
    [
        (Regulation.REGULATING, [(0.0, 0.1), (1.0, -0.2)], "would cease to deliver"),
        (Regulation.REGULATING, [(0.0, 0.1), (1.0, 0.9)], "would pass its limit of 50 A"),
        (Regulation.LIMITING, [(0.0, 0.9), (1.0, 0.1)], "would fall below its limit"),
        (Regulation.BLOCKED, [(0.0, -0.5), (1.0, 0.5)], "would begin to deliver"),
    ],
)
def test_every_state_has_its_borders(state: Regulation, below: list[tuple[float, float]], words: str) -> None:
    """0.01 Ω and 50 A: regulating from 0 to 0.5 V below the set point, at the limit beyond."""
    found = [text for at_s, text in borders(state, wave(*below), 0.5, 50.0) if at_s is not None]

    assert found == [words]


@pytest.mark.parametrize("state", list(Regulation))
def test_a_state_that_holds_passes_no_border(state: Regulation) -> None:
    level = {Regulation.REGULATING: 0.2, Regulation.LIMITING: 0.8, Regulation.BLOCKED: -0.2}[state]

    assert all(at_s is None for at_s, _ in borders(state, wave((0.0, level), (1.0, level)), 0.5, 50.0))


def test_what_lasts_shorter_than_a_regulator_takes_is_let_pass() -> None:
    blip = wave((0.0, 0.2), (1.0, 0.2), (1.0, 2.0), (1.0005, 2.0), (1.0005, 0.2), (2.0, 0.2))

    assert all(at_s is None for at_s, _ in borders(Regulation.REGULATING, blip, 0.5, 50.0))


def test_a_diode_that_blocks_begins_to_conduct_in_the_dip() -> None:
    found = troubles(*isolated(12.7))

    assert [code for code, _ in found] == ["leaves-its-state"]
    assert found[0][1].startswith("Isolator begins to conduct ")
    assert "it ceases to conduct 601 ms after the press" in found[0][1]


def test_a_diode_that_conducts_goes_on_in_the_dip() -> None:
    assert troubles(*isolated(13.9)) == []


def combined_troubles(*, delay_s: float | None, close_v: float = 12.0, open_v: float = 11.5) -> list[Trouble]:
    """Troubles of a start with a second battery on a combining relay that is closed before it."""
    run = event_run(combined(delay_s=delay_s, close_v=close_v, open_v=open_v), "starting", "start")
    return list(run.troubles)


def test_a_combining_relay_that_waits_longer_than_the_start_stays_closed() -> None:
    assert combined_troubles(delay_s=30.0) == []


def test_one_whose_wait_is_not_stated_may_open_where_the_dip_outlasts_the_shortest() -> None:
    """1 s at least: the small boat's dip is shorter, 30 s of it are longer."""
    assert combined_troubles(delay_s=None) == []


def coil(**figures: float) -> list[tuple[str, str]]:
    """Troubles of a start with a stop solenoid that must be held, on the starter's switch."""
    demand = {"kind": "coil", "current_a": 2.0, "rated_voltage_v": 12.0, **figures}
    solenoid = load("stop", demand, role="stop-solenoid")
    lands = [
        wire("w-stop", "switch.out", "stop.supply"),
        wire("w-stop-return", "stop.negative", "bar.stud-3"),
    ]
    return troubles([solenoid], lands, "stop")


def test_a_coil_below_its_hold_voltage_lets_go_and_may_chatter() -> None:
    found = coil(hold_v=8.0, pull_in_v=9.0)

    assert [code for code, _ in found] == ["drops-out"]
    assert found[0][1].startswith("The coil of Stop lets go ")
    assert "8.0 V that hold it, and it may chatter" in found[0][1]


def test_a_coil_of_unknown_hold_voltage_may_let_go_by_what_is_assumed() -> None:
    """A tenth to half of its rated voltage: 6 V at most."""
    assert coil() == []
    found = coil(rated_voltage_v=20.0)

    assert found[0][1].startswith("The coil of Stop may let go ")
    assert "6.0 V (assumed)" in found[0][1]

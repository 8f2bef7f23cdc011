"""What an event does not follow is asked afterwards whether it could have stayed so."""

import re
from typing import Any

from server.engine.answer import Trouble
from server.engine.transient.event_run import event_run
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

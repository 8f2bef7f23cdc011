"""What the page says of coils that are let go."""

import pytest
from fastapi.testclient import TestClient

from server.actions.choices import UnknownChoiceError
from server.actions.events_in_time import coils_in_mode
from server.engine.answer import Band
from server.engine.transient.coil_release import CoilRelease
from server.engine.transient.coil_run import CoilLetGo
from server.web.events import coils_told
from server.web.views.event_demands import coil_words, moved_words
from tests.engine.boats import boat, load, wire
from tests.engine.demo import demo_boat

COIL = {"kind": "coil", "current_a": 0.1, "rated_voltage_v": 12.0}
BOAT = boat(parts=[load(name, COIL) for name in ("pump", "horn", "valve", "relay")])
HORN = CoilRelease("horn", 0.1, "resistor", 68.0, Band(0.001, 0.002, 0.003))


def test_each_suppressed_coil_has_a_sentence_and_bare_ones_share_one() -> None:
    bare = [CoilRelease(name, 0.1, None, None, None) for name in ("pump", "relay")]
    unread = CoilRelease("valve", 0.1, "diode-and-zener", None, None)

    horn, valve, others = coil_words(BOAT, [bare[0], HORN, unread, bare[1]])

    assert horn == (
        "Horn: 68.0 V across its coil, by the resistor beside it;"
        " its current is down to a tenth in 1 ms to 3 ms."
    )
    assert valve.startswith("Valve: a diode and zener beside its coil, but not its figure")
    assert others.startswith("Pump, Relay: no diode, resistor or varistor is known beside the coil.")
    assert coil_words(BOAT, [HORN]) == (horn,)


def test_the_page_of_all_events_names_the_coils_of_the_boat(sloop: TestClient) -> None:
    """The sloop names none, so nothing is said."""
    assert "When a coil is let go" not in sloop.get("/boats/sloop/events").text


def test_what_a_coil_does_to_the_loads_says_whom_and_with_what() -> None:
    pump = CoilLetGo(("pump", "supply"), True, 1487.0, 3e-5, "Plotter", 1.03)
    horn = CoilLetGo(("horn", "supply"), False, 68.0, 2e-3, "Plotter", 0.02)
    valve = CoilLetGo(("valve", "supply"), True, 1487.0, 3e-5, "", 0.0)

    loud, quiet = moved_words(BOAT, "Under way", [pump, horn, valve])

    assert loud.startswith("Pump, let go in “Under way” by a contact of its own, moves Plotter by 1.0 V")
    assert "taken with 1,500 V across a bare coil" in loud
    assert quiet.startswith("Horn, Valve: let go in “Under way” by a contact of its own, none of this moves")
    assert "by 0.1 V, taken with 1,500 V" in quiet
    assert "taken with" not in moved_words(BOAT, "Under way", [horn])[0]
    assert moved_words(BOAT, "Under way", []) == ()


def test_coils_are_let_go_in_the_mode_that_is_asked_for() -> None:
    lands = [
        wire("w-pump", "pump.supply", "switch.out"),
        wire("w-pump-return", "pump.negative", "bar.stud-3"),
    ]
    one = boat(parts=[load("pump", COIL)], conductors=lands)

    (pump,) = coils_in_mode(one, "starting")

    assert (pump.key, pump.load) == (("pump", "supply"), "Plotter")
    with pytest.raises(UnknownChoiceError):
        coils_in_mode(one, "flying")


def test_a_boat_of_many_conductors_is_not_kept_waiting_for_its_coils() -> None:
    lands = [
        wire("w-pump", "pump.supply", "switch.out"),
        wire("w-pump-return", "pump.negative", "bar.stud-3"),
    ]
    one = boat(parts=[load("pump", COIL)], conductors=lands)

    (large,) = coils_told(demo_boat("5-large-yacht"), "manoeuvring", "Manoeuvring")
    (small,) = coils_told(one, "starting", "Starting")

    assert large.endswith("is not worked out on a boat of more than 400 conductors.")
    assert small.startswith("Pump: let go in “Starting” by a contact of its own")

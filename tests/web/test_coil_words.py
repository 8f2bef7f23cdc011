"""What the page says of coils that are let go."""

from fastapi.testclient import TestClient

from server.engine.answer import Band
from server.engine.transient.coil_release import CoilRelease
from server.web.views.event_demands import coil_words
from tests.engine.boats import boat, load

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

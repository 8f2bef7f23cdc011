"""The sloop's start once more, by a person's arithmetic: a deck that our exporter had no part in.

Its author read the cable list, rounded to three figures, lumped each run into one resistance and one
inductance, and gave all the small loads one place. What the starter is made of is copied from the page.
"""

from pathlib import Path

import pytest

from server.boat.document import read_boat
from server.engine.transient.event_run import event_run
from tests.engine.transient.simulator.events import SEED_BOATS
from tests.engine.transient.simulator.test_as_exported import measured

BY_HAND = Path(__file__).parent / "sloop_by_hand.cir"
REST_V, LOWEST_V, INRUSH_A = 0.002, 0.010, 1.0
"""What three figures and lumping may cost: the battery's 1.97 for 1.984 mΩ alone is 5 mV at 380 A."""


def test_the_autopilots_lowest_voltage_is_that_of_a_deck_written_by_hand(tmp_path: Path) -> None:
    run = event_run(read_boat((SEED_BOATS / "1-sloop.json").read_bytes()), "starting", "engine-start")
    autopilot = next(point for point in run.points if point.name == "Autopilot")

    by_hand = measured("sloop-by-hand", BY_HAND.read_text(), tmp_path)

    assert autopilot.before_v == pytest.approx(by_hand["rested"], abs=REST_V)
    assert autopilot.lowest.value == pytest.approx(by_hand["lowest"], abs=LOWEST_V)
    assert run.inrush_a.value == pytest.approx(by_hand["inrush"], abs=INRUSH_A)

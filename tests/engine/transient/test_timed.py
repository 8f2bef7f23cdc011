"""Steps of an event beside its heavy load: the engine starts, then its alternator charges; a switch turns."""

import json
from typing import Any

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.engine.solution import Solution
from server.engine.transient.answer import EventRun
from server.engine.transient.event_run import event_run
from server.engine.transient.waves import Wave
from tests.engine.transient.test_event_run import STEPS
from tests.engine.transient.test_followed import with_alternator

SETPOINT_V, RATED_A = 14.2, 60.0
LOOSE: dict[str, Any] = {
    "kind": "contact",
    "id": "loose",
    "name": "Loose switch",
    "terminals": ["a", "b"],
    "positions": [
        {"id": "off", "name": "Off", "closed": []},
        {"id": "on", "name": "On", "closed": [["a", "b"]]},
    ],
    "normal": "on",
}


def sequence(
    *steps: dict[str, Any], running: bool = False, base: Boat | None = None, loose: str | None = None
) -> Boat:
    """The small boat's start of 0.6 s with an alternator, and more steps; a switch without wires."""
    body = (base or with_alternator(SETPOINT_V, RATED_A)).model_dump(mode="json", exclude_none=True)
    on = ["plotter", "starter", *(["alternator"] if running else [])]
    body["modes"][0]["on"] = [{"part": one} for one in on]
    body["events"][0]["steps"] = [*STEPS, *steps]
    if loose is not None:
        body["parts"].append({**LOOSE, "normal": loose})
    return read_boat(json.dumps(body).encode())


def starts(at_s: float, of: str = "alternator") -> dict[str, Any]:
    """A source that starts."""
    return {"action": "start", "part": of, "at_s": at_s}


def turned(position: str, at_s: float, of: str = "switch") -> dict[str, Any]:
    """A contact that is turned."""
    return {"action": "switch", "part": of, "position": position, "at_s": at_s}


def run(boat: Boat) -> EventRun:
    """Its start."""
    return event_run(boat, "starting", "start")


def plotter_v(found: EventRun, at_s: float) -> float:
    """The plotter's voltage at an instant."""
    wave = found.waveforms[0]
    return float(Wave(wave.time_s, wave.values).at(np.array([at_s]))[0])


def left_out(found: EventRun) -> list[str]:
    """What of the steps is not computed."""
    return [one for one in found.not_assessed if " is left out: " in one]


def test_an_engine_starts_and_then_its_alternator_charges() -> None:
    """A second after it has come up the loads stand where the steady network has them with it running."""
    found = run(sequence(starts(1.5)))
    charging = Solution.of(sequence(running=True), "starting")

    message = found.troubles[0].message
    assert message.startswith(
        "Alternator starts 1.5 s after the press; it begins to deliver 1.5 s after the "
    )
    row = charging.net.inputs["plotter", "supply"]
    assert plotter_v(found, 2.4) == pytest.approx(charging.event("start").absent.voltage(row), abs=1e-4)
    assert plotter_v(found, 1.4) == pytest.approx(12.62, abs=0.01)
    assert found.phases[-1].end_s == pytest.approx(2.5)
    assert left_out(found) == []


def test_the_first_press_is_time_zero_for_all_steps() -> None:
    late = [{**step, "at_s": step["at_s"] + 4.0} for step in STEPS]
    body = sequence().model_dump(mode="json", exclude_none=True)
    body["events"][0]["steps"] = [*late, starts(5.5), starts(1.0)]
    found = run(read_boat(json.dumps(body).encode()))

    assert found.troubles[0].message.startswith("Alternator starts 1.5 s after the press")
    assert left_out(found) == [
        "Alternator: start at 1 s is left out: it comes before the first press; put it into the mode as it "
        "is before, or make an event of its own for it"
    ]


def test_a_battery_switch_turned_off_while_the_alternator_charges_leaves_it_alone() -> None:
    """Its current breaks in an arc; then the alternator alone holds its own voltage there."""
    found = run(sequence(starts(1.5), turned("off", 2.0)))

    assert [one.code for one in found.troubles] == ["leaves-its-state", "leaves-its-state"]
    assert found.troubles[1].message.startswith("Battery switch is turned off 2.0 s after the press. ")
    assert found.points[0].highest.value > 15
    assert found.points[0].highest.at_s == pytest.approx(2.0, abs=1e-3)
    assert plotter_v(found, 2.9) == pytest.approx(SETPOINT_V, abs=0.1)


def test_turned_off_without_another_source_everything_goes_dark() -> None:
    found = run(sequence(turned("off", 1.0)))

    assert found.points[0].lowest.value == 0.0
    assert plotter_v(found, 1.9) == pytest.approx(0.0, abs=1e-3)


def test_turned_to_where_it_stands_it_changes_nothing() -> None:
    found = run(sequence(turned("on", 1.0)))

    assert found.troubles == ()
    assert left_out(found) == []


def test_a_source_that_is_on_already_does_not_start() -> None:
    assert "the mode lists it as on already" in left_out(run(sequence(starts(1.0), running=True)))[0]


def test_a_loose_contact_that_is_turned_opens_nothing() -> None:
    found = run(sequence(turned("off", 1.0, "loose"), loose="on"))

    assert found.troubles == ()
    assert left_out(found) == []


def test_only_what_gives_current_can_start() -> None:
    with pytest.raises(ValueError, match="gives no current that could start"):
        sequence(starts(1.0, of="plotter"))

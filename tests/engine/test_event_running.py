"""What flows while a heavy load runs on, and what its start adds."""

import pytest

from server.engine.event_currents import event_currents, start_currents
from server.engine.event_running import currents_without, running_currents
from server.engine.solution import Solution, UnknownModeError
from tests.engine.boats import boat, part

MOTOR = {"kind": "motor", "running_current_a": 30.0, "inrush_current_a": 60.0, "inrush_voltage_v": 12.0}
SMALL = part("starter", inputs=[{"id": "supply", "demand": MOTOR}])
"""A starter so small that the plotter's supply stays where its power is constant."""


def test_a_running_motor_takes_its_running_current_whatever_the_mode_says() -> None:
    """Its 30 A are stated, and its start is another element."""
    one = boat(parts=[SMALL])
    event = Solution.of(one, "starting").events[0].id

    assert running_currents(one, "starting", event)["w-start"] == pytest.approx(30.0)


def test_a_start_adds_nothing_where_it_does_not_flow_but_what_the_sag_does() -> None:
    """The plotter's constant power asks for more amperes at less volts."""
    one = boat(parts=[SMALL])
    event = Solution.of(one, "starting").events[0]
    solved = Solution.of(one, "starting").event(event.id)
    added = start_currents(one, "starting", event.id)
    before, after = (20.0 / point.voltage(solved.net.inputs["plotter", "supply"])
                     for point in (solved.absent, solved.present))  # fmt: skip

    assert event_currents(one, "starting", event.id)["w-plotter"] == pytest.approx(after, rel=1e-6)
    assert added["w-start"] == pytest.approx(abs(solved.present.current_a[solved.heavy_element]))
    assert added["w-plotter"] == pytest.approx(after - before, rel=1e-6)


def test_without_the_starter_only_the_plotter_is_left() -> None:
    """20 W at what the battery's 12.7 V leave of it: between 20 W / 12.7 V and 2 % more."""
    left = currents_without(boat(), "starting", {"starter"})

    assert left["w-start"] == pytest.approx(0.0, abs=1e-9)
    assert left["w-battery"] == pytest.approx(20.0 / 12.7, rel=0.02)


def test_an_unknown_event_is_refused() -> None:
    with pytest.raises(UnknownModeError, match="no event"):
        running_currents(boat(), "starting", "nothing")

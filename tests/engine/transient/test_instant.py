"""One instant's currents and voltages, held to the steady solution, to Kirchhoff and to the waveforms."""

from functools import cache

import numpy as np
import pytest

from server.engine.solution import Solution
from server.engine.transient.event_in_time import EventInTime
from server.engine.transient.instant import InstantAnswer, at_instant
from tests.engine.demo import demo_boat

INSTANTS = (-0.005, 0.003, 0.5)


@cache
def event(name: str, mode: str, chosen: str) -> EventInTime:
    """An event of a demo boat."""
    solution = Solution.of(demo_boat(name), mode)
    return EventInTime(solution, solution.event(chosen), ())


def sloop_at(at_s: float) -> InstantAnswer:
    """The sloop's engine start at an instant."""
    return at_instant(event("1-sloop", "starting", "engine-start"), at_s)


@pytest.mark.parametrize(
    ("name", "mode", "chosen"),
    [("1-sloop", "starting", "engine-start"), ("4-outboard", "starting", "outboard-start")],
)
def test_before_the_press_every_current_is_that_of_the_full_steady_solution(
    name: str, mode: str, chosen: str
) -> None:
    solved = event(name, mode, chosen)
    before, rows_of = solved.model.before, solved.solved.net.rows_of
    found = at_instant(solved, solved.waves.start_s).current_a

    for element, amps in found.items():
        expected = max((float(before.current_a[row]) for row in rows_of[element]), key=abs)
        assert amps == pytest.approx(expected, rel=1e-9, abs=1e-7)


@pytest.mark.parametrize("at_s", INSTANTS)
def test_what_flows_in_at_a_bar_flows_out_again(at_s: float) -> None:
    """Kirchhoff's current law at the engine block, where nothing but conductors and the starter meets."""
    boat, found = demo_boat("1-sloop"), sloop_at(at_s)
    total = 0.0
    for conductor in boat.conductors:
        if conductor.tail is not None and conductor.tail.part == "engine":
            total -= found.current_a[conductor.id]
        if conductor.head is not None and conductor.head.part == "engine":
            total += found.current_a[conductor.id]

    assert total == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("at_s", INSTANTS)
def test_loads_stand_as_their_waveforms_say(at_s: float) -> None:
    solved, found = event("1-sloop", "starting", "engine-start"), sloop_at(at_s)

    for point, wave in zip(solved.points, solved.curves, strict=True):
        assert found.input_v[point.key] == pytest.approx(
            float(np.interp(at_s, wave.time_s, wave.values)), abs=2e-3
        )


def test_the_starter_draws_what_its_cable_carries() -> None:
    found = sloop_at(0.003)

    assert found.heavy_a["starter.motor"] > 100.0
    assert found.current_a["starter-feed"] == pytest.approx(found.heavy_a["starter.motor"], rel=1e-9)


def test_loads_are_not_among_the_currents_of_conductors_and_contacts() -> None:
    assert not {"autopilot", "starter"} & sloop_at(0.003).current_a.keys()


@pytest.mark.parametrize("at_s", [-1.0, 1e6])
def test_an_instant_outside_of_the_event_is_refused(at_s: float) -> None:
    with pytest.raises(ValueError, match="runs from"):
        sloop_at(at_s)

"""The time axis: logarithmic after an edge, linear between, and its own inverse."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.drawing.chart_axis import LOG_FROM_S, duration, round_step, time_axis
from server.engine.transient.answer import Phase
from tests.drawing.event_runs import PHASES, RELEASE_S

AXIS = time_axis(PHASES, 50, 550)


@given(st.floats(-0.05, 3.0), st.floats(-0.05, 3.0))
def test_later_stands_farther_right_and_reads_back_as_itself(one: float, other: float) -> None:
    first, second = sorted((one, other))

    assert AXIS.x(first) <= AXIS.x(second)
    assert AXIS.time_s(AXIS.x(one)) == pytest.approx(one, abs=1e-7)


def test_each_decade_after_an_edge_takes_the_same_room() -> None:
    """From ten times the 10 µs on, log(1 + d/10 µs) is a logarithm within a tenth of a decade."""
    for edge_s in (0.0, RELEASE_S):
        places = [AXIS.x(edge_s + LOG_FROM_S * 10.0**power) for power in (1, 2, 3)]
        rooms = [after - before for before, after in pairwise(places)]

        assert rooms[1] == pytest.approx(rooms[0], rel=0.05)


def test_the_run_between_is_linear() -> None:
    quarter, half, three = (AXIS.x(0.3 + 1.7 * share) for share in (0.25, 0.5, 0.75))

    assert half - quarter == pytest.approx(three - half)


def test_ticks_carry_real_times_at_their_places() -> None:
    ticks = {tick.text: tick.x for tick in AXIS.ticks() if tick.x <= AXIS.x(1.99)}

    assert {"10 µs", "100 µs", "1 ms", "10 ms", "0.1 s", "1 s"} <= set(ticks)
    assert ticks["1 ms"] == pytest.approx(AXIS.x(0.001))
    assert ticks["1 s"] == pytest.approx(AXIS.x(1.0))


def test_release_and_what_follows_are_one_stretch_that_counts_from_the_release() -> None:
    assert [zone.name for zone in AXIS.zones] == ["before", "start", "run", "release and after"]
    assert AXIS.told(RELEASE_S + 0.0123) == "12 ms after the release"
    assert AXIS.told(0.0123) == "12 ms after the press"
    assert AXIS.told(1.0) == "1 s after the press"
    assert AXIS.told(-0.02) == "20 ms before the press"


def test_two_presses_have_a_logarithmic_stretch_each() -> None:
    phases = (
        Phase("start", 0, 1),
        Phase("run", 1, 2),
        Phase("start", 2, 3),
        Phase("run", 3, 3),
        *PHASES[3:4],
    )
    axis = time_axis(phases[:4], 0, 100)

    assert [zone.after for zone in axis.zones] == ["after the press", "", "after the press"]
    assert axis.told(2.1) == "0.1 s after the press"


def test_an_edge_that_takes_no_time_makes_what_follows_count_from_it() -> None:
    """Electronics run at once: nothing lies between the press and the run."""
    phases = (Phase("before", -0.01, 0), Phase("start", 0, 0), Phase("run", 0, 1), Phase("release", 1, 1))
    axis = time_axis(phases, 0, 100)

    assert [(zone.name, zone.after) for zone in axis.zones] == [("before", ""), ("run", "after the press")]
    assert axis.told(0.001) == "1 ms after the press"


def test_an_event_that_takes_no_time_has_no_axis() -> None:
    with pytest.raises(ValueError, match="without a phase"):
        time_axis((Phase("start", 1.0, 1.0),), 0, 100)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.0, "0 s"),
        (2.3e-6, "2.3 µs"),
        (250e-6, "250 µs"),
        (0.99e-3, "990 µs"),
        (0.999e-3, "1 ms"),
        (0.0999, "0.1 s"),
        (1.25, "1.2 s"),
        (12.4, "12 s"),
    ],
)
def test_a_duration_reads_in_its_own_unit(seconds: float, words: str) -> None:
    assert duration(seconds) == words


def test_steps_are_round() -> None:
    assert [round_step(rough) for rough in (0.11, 0.2, 0.3, 6.0)] == pytest.approx([0.2, 0.2, 0.5, 10.0])

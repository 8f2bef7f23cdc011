"""Bands of an event in time, against single changes of the boat and the bands of the first instant."""

from functools import cache

import pytest

from server.boat.boat import Boat
from server.engine.transient.answer import EventRun
from server.engine.transient.event_run import event_run
from tests.engine.boats import load
from tests.engine.demo import demo_boat
from tests.engine.transient.test_event_run import STARTER, small


@cache
def drawn() -> EventRun:
    """The sloop's engine start with every assumption drawn."""
    return event_run(demo_boat("1-sloop"), "starting", "engine-start", bands=True)


@cache
def plain() -> EventRun:
    """The same without."""
    return event_run(demo_boat("1-sloop"), "starting", "engine-start")


def test_drawing_leaves_the_values_and_puts_bands_around_them() -> None:
    for one, other in zip(drawn().points, plain().points, strict=True):
        assert one.lowest == other.lowest
        assert one.highest == other.highest
        assert one.band_basis == "drawn"
        assert one.lowest_band is not None
        assert one.highest_band is not None
        assert one.lowest_band.low < one.lowest_band.value == one.lowest.value < one.lowest_band.high
        assert one.highest_band.low < one.highest_band.value == one.highest.value < one.highest_band.high


def test_the_bands_are_about_as_wide_as_those_of_the_first_instant() -> None:
    """Another method altogether: the adjoint network's first-order effects, added as squares."""
    for one, other in zip(drawn().points, plain().points, strict=True):
        assert one.lowest_band is not None
        assert other.lowest_band is not None
        width, expected = (b.high - b.low for b in (one.lowest_band, other.lowest_band))
        assert width == pytest.approx(expected, rel=0.35)


def test_the_assumption_that_matters_most_is_named() -> None:
    """The sloop's strap has a joint known only as a range: a planted fault of its key."""
    pilot = next(one for one in drawn().points if one.name == "Autopilot")

    assert pilot.matters_most is not None
    assert pilot.matters_most.startswith("Head joint resistance of ")
    assert pilot.matters_most.endswith(", entered as a range")
    assert all(one.matters_most for one in drawn().points)


def all_known_but(open_key: str | None = None, ends: tuple[float, float, float] | None = None) -> Boat:
    """The small boat with every assumption at its value, but for one at other ends."""
    run = event_run(small(), "starting", "start")
    known = {one.key: (one.value, one.value, one.value) for one in run.assumptions}
    if open_key is not None and ends is not None:
        known[open_key] = ends
    return small(
        assumptions=[
            {"key": key, "low": low, "value": value, "high": high, "source": "test"}
            for key, (low, value, high) in known.items()
        ]
    )


def test_one_uncertain_figure_alone_spans_what_it_does_at_its_ends() -> None:
    """With one assumption left open, the band ends near the events solved with its two ends."""
    uncertain = all_known_but("conductor_temperature", (20.0, 40.0, 75.0))
    run, again = (event_run(uncertain, "starting", "start", bands=True) for _ in range(2))
    band = run.points[0].lowest_band
    cold, hot = (
        event_run(all_known_but("conductor_temperature", (t, t, t)), "starting", "start")
        .points[0]
        .lowest.value
        for t in (20.0, 75.0)
    )

    assert band is not None
    assert hot < band.low < hot + 0.12 * (cold - hot)
    assert cold - 0.12 * (cold - hot) < band.high < cold
    assert run.points[0].matters_most == "Conductor temperature"
    assert again.points[0].lowest_band == band


def test_bands_may_take_a_certain_verdict_away_but_never_turn_it_round() -> None:
    order = {"keeps-running": 0, "too-close-to-call": 1, "restarts": 2}
    for one, other in zip(drawn().points, plain().points, strict=True):
        assert one.verdict in {other.verdict, "too-close-to-call"}
        assert one.verdict in order


def test_with_everything_known_there_is_no_band() -> None:
    point, probe = event_run(all_known_but(), "starting", "start", (STARTER,), bands=True).points

    assert probe.lowest_band is not None
    assert probe.verdict == "limit-not-known"
    assert point.lowest_band is not None
    assert point.lowest_band.low == point.lowest_band.high == point.lowest.value
    assert point.matters_most is None


def test_where_an_end_has_no_solution_the_bands_of_the_first_instant_stand_and_it_says_so() -> None:
    """Up to 3 Ω in series with its capacitor leave 20 W nothing to run on in the dip."""
    plotter = load(
        "plotter",
        {"kind": "constant-power", "power_w": 20.0},
        input={
            "input_capacitance_f": 1e-3,
            "input_capacitance_ohm": {"low": 0.01, "value": 0.05, "high": 3.0},
            "minimum_voltage_v": 9.0,
        },
    )
    run = event_run(small(parts=[plotter]), "starting", "start", bands=True)

    assert run.points[0].band_basis == "first-instant"
    assert any(
        "at an end of one there is no solution" in text and "Plotter" in text for text in run.not_assessed
    )

"""Whether a load rides through: below its need for longer than its hold-up, at the ends of all bands."""

import math

import numpy as np
import pytest

from server.boat.constructors import electronics
from server.boat.devices import ConstantPower, LoadInput
from server.boat.parts import Inverter, Load
from server.boat.value import Span
from server.engine.answer import Band
from server.engine.figures import Figures, Level
from server.engine.needs import Need
from server.engine.transient.verdict import (
    Drawn,
    Judgement,
    Limits,
    duration,
    judged,
    limits_of,
    within_bands,
)
from server.engine.transient.waves import Wave
from tests.engine.boats import boat

NEED = Need(9.0, 10.0, 10.8, "assumed: for the test", assumed=True, can_restart=True)
STATED = Need(10.0, 10.0, 10.0, "as entered", assumed=False, can_restart=True)
HOLD_UP = Level(0.001, 0.010, 0.100)
KNOWN_HOLD_UP = Level(0.02, 0.02, 0.02)


def dip(lowest_v: float, seconds: float, before_v: float = 12.6) -> Wave:
    """A rectangular dip."""
    time_s = np.array([0.0, 1.0, 1.0, 1.0 + seconds, 1.0 + seconds, 5.0])
    return Wave(time_s, np.array([before_v, before_v, lowest_v, lowest_v, before_v, before_v]))


def verdict_of(
    wave: Wave, need: Need, hold_up: Level | None, *, width_v: float = 0.0, at_best: bool = False
) -> Judgement:
    """The judgement of a wave whose lowest may lie this far below and above."""
    lowest = float(wave.values.min())
    band = Band(lowest - width_v, lowest, lowest + width_v)
    limits = Limits(need, hold_up, hold_up is HOLD_UP, None, "")
    return judged(wave.longest_below, float(wave.values[0]), band, limits, at_best=at_best)


def test_a_dip_longer_than_the_hold_up_restarts_and_a_shorter_one_does_not() -> None:
    assert verdict_of(dip(9.5, 0.03), STATED, KNOWN_HOLD_UP).verdict == "restarts"
    assert verdict_of(dip(9.5, 0.01), STATED, KNOWN_HOLD_UP).verdict == "keeps-running"
    assert verdict_of(dip(10.5, 3.0), STATED, KNOWN_HOLD_UP).verdict == "keeps-running"


def test_a_hold_up_known_as_a_range_decides_only_beyond_its_ends() -> None:
    assert verdict_of(dip(8.0, 0.2), STATED, HOLD_UP).verdict == "restarts"
    assert verdict_of(dip(8.0, 0.05), STATED, HOLD_UP).verdict == "too-close-to-call"
    assert verdict_of(dip(8.0, 0.0005), STATED, HOLD_UP).verdict == "keeps-running"


def test_a_need_known_as_a_range_decides_only_beyond_its_ends() -> None:
    assert verdict_of(dip(10.9, 2.0), NEED, HOLD_UP).verdict == "keeps-running"
    assert verdict_of(dip(10.2, 2.0), NEED, HOLD_UP).verdict == "too-close-to-call"
    assert verdict_of(dip(8.8, 2.0), NEED, HOLD_UP).verdict == "restarts"


def test_the_band_of_the_lowest_voltage_is_taken_into_the_time_below() -> None:
    """10.2 V that may be 9.8 V is not surely above 10 V; 9.8 V that may be 10.2 V not surely below."""
    assert verdict_of(dip(10.2, 2.0), STATED, KNOWN_HOLD_UP, width_v=0.4).verdict == "too-close-to-call"
    assert verdict_of(dip(9.8, 2.0), STATED, KNOWN_HOLD_UP, width_v=0.4).verdict == "too-close-to-call"
    assert verdict_of(dip(9.8, 2.0), STATED, KNOWN_HOLD_UP, width_v=0.1).verdict == "restarts"


def test_the_other_depth_scales_the_whole_waveform() -> None:
    """A ramp from 12 V to 10 V and back within 2 s: 1.5 times as deep it is below 10 V for a third of it."""
    ramp = Wave(np.array([0.0, 1.0, 2.0, 3.0]), np.array([12.0, 10.0, 12.0, 12.0]))
    band = Band(9.0, 10.0, 10.0)
    at_a_third = Level(2 / 3 + 1e-6, 2 / 3 + 1e-6, 2 / 3 + 1e-6)
    shorter = Level(2 / 3 - 1e-6, 2 / 3 - 1e-6, 2 / 3 - 1e-6)

    def found(hold_up: Level) -> str:
        limits = Limits(STATED, hold_up, False, None, "")
        return judged(ramp.longest_below, 12.0, band, limits, at_best=False).verdict

    assert (found(at_a_third), found(shorter)) == ("keeps-running", "too-close-to-call")


def test_a_wire_of_unknown_resistance_takes_away_the_certainty() -> None:
    found = verdict_of(dip(10.5, 3.0), STATED, KNOWN_HOLD_UP, at_best=True)

    assert found.verdict == "too-close-to-call"
    assert "unknown resistance" in found.reason


def test_a_start_that_may_last_longer_or_shorter_takes_the_certainty_away() -> None:
    band = Band(9.5, 9.5, 9.5)
    limits = Limits(STATED, KNOWN_HOLD_UP, False, None, "")

    def found(stretch: tuple[float, float], seconds: float) -> str:
        wave = dip(9.5, seconds)
        return judged(wave.longest_below, 12.6, band, limits, at_best=False, stretch=stretch).verdict

    assert (found((1.0, 1.0), 0.03), found((0.5, 2.0), 0.03)) == ("restarts", "too-close-to-call")
    assert (found((1.0, 1.0), 0.015), found((0.5, 2.0), 0.015)) == ("keeps-running", "too-close-to-call")
    assert (found((0.5, 2.0), 0.05), found((0.5, 2.0), 0.009)) == ("restarts", "keeps-running")


def test_drawn_times_only_take_certainty_away() -> None:
    limits = Limits(STATED, KNOWN_HOLD_UP, False, None, "")

    def found(seconds: float, surely_s: float, perhaps_s: float) -> str:
        drawn, band = Drawn(surely_s, perhaps_s), Band(9.5, 9.5, 9.5)
        below = dip(9.5, seconds).longest_below
        return judged(below, 12.6, band, limits, at_best=False, drawn=drawn).verdict

    assert (found(0.03, 0.025, 0.04), found(0.03, 0.01, 0.04)) == ("restarts", "too-close-to-call")
    assert (found(0.01, 0.005, 0.015), found(0.01, 0.005, 0.03)) == ("keeps-running", "too-close-to-call")


def test_a_load_below_its_need_all_along_restarts() -> None:
    found = verdict_of(dip(9.0, 0.5, before_v=9.5), STATED, KNOWN_HOLD_UP, width_v=0.1)

    assert found.verdict == "restarts"
    assert found.below_need_s == pytest.approx(5.0)


def test_a_load_that_rises_is_judged_by_its_band_alone() -> None:
    """Its lowest stands before the event, so that there is no dip to scale."""
    rise = Wave(np.array([0.0, 1.0, 5.0]), np.array([10.1, 12.0, 12.0]))

    def found(low_v: float) -> str:
        limits = Limits(STATED, KNOWN_HOLD_UP, False, None, "")
        return judged(rise.longest_below, 10.1, Band(low_v, 10.1, 10.2), limits, at_best=False).verdict

    assert (found(10.05), found(9.5)) == ("keeps-running", "too-close-to-call")


def test_a_dip_that_may_be_none_can_keep_running() -> None:
    wave = dip(9.9, 2.0, before_v=12.0)
    limits = Limits(STATED, KNOWN_HOLD_UP, False, None, "")

    assert judged(wave.longest_below, 12.0, Band(9.0, 9.9, 12.5), limits, at_best=False).verdict == (
        "too-close-to-call"
    )


def test_no_limit_no_verdict() -> None:
    lamp = Need(None, None, None, "", assumed=True, can_restart=False)
    unknown = Need(None, None, None, "", assumed=True, can_restart=True)

    for need, hold_up, reason in ((lamp, None, "no electronics"), (unknown, HOLD_UP, "not known")):
        found = verdict_of(dip(5.0, 3.0), need, hold_up)
        assert (found.verdict, found.below_need_s) == ("limit-not-known", 0.0)
        assert reason in found.reason


def test_an_assumed_limit_is_never_an_unmarked_reason() -> None:
    for wave in (dip(11.5, 1.0), dip(10.9, 1.0), dip(8.0, 1.0)):
        assert "(assumed, 9.0 to 10.8 V)" in verdict_of(wave, NEED, HOLD_UP).reason
    exact = Need(10.0, 10.0, 10.0, "assumed: for the test", assumed=True, can_restart=True)
    assert "its 10.0 V (assumed)" in verdict_of(dip(8.0, 1.0), exact, HOLD_UP).reason


def test_reasons_say_how_long_and_how_low() -> None:
    long = verdict_of(dip(9.5, 0.164), STATED, HOLD_UP)
    close = verdict_of(dip(10.2, 2.0), STATED, KNOWN_HOLD_UP, width_v=0.4)

    assert long.reason == (
        "Below its 10.0 V for 164 ms at a stretch, at lowest 9.5 V. "
        "It rides through 10 ms (assumed, 1.0 ms to 100 ms)."
    )
    assert close.reason == (
        "At lowest 10.2 V, but 9.8 V is possible: it may be below its 10.0 V for up to 2.0 s. "
        "It rides through 20 ms."
    )


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (2.5e-5, "25 µs"),
        (2.5e-4, "250 µs"),
        (1.5e-3, "1.5 ms"),
        (0.0123, "12 ms"),
        (0.164, "164 ms"),
        (2.0, "2.0 s"),
    ],
)
def test_times_are_said_to_two_or_three_figures(seconds: float, words: str) -> None:
    assert duration(seconds) == words


def test_what_was_entered_goes_before_what_is_assumed() -> None:
    own = Figures.of(boat())
    plain = limits_of(electronics("gps", "GPS", 5.0), "main", NEED, own)
    demand = ConstantPower(kind="constant-power", power_w=5.0)
    fed = LoadInput(
        id="main",
        demand=demand,
        hold_up_s=0.05,
        maximum_voltage_v=Span(low=16.0, high=18.0),
        limit_source="label",
    )
    told = limits_of(
        Load(kind="load", id="radio", name="Radio", role="radio", inputs=(fed,)), "main", STATED, own
    )
    one = fed.model_copy(update={"maximum_voltage_v": 17.0, "limit_source": None})
    lamp = Load(
        kind="load",
        id="lamp",
        name="Lamp",
        role="lights",
        inputs=(one.model_copy(update={"hold_up_s": None}),),
    )
    unlit = limits_of(lamp, "main", Need(None, None, None, "", assumed=True, can_restart=False), own)

    assert plain.hold_up_assumed
    assert plain.hold_up is not None
    assert (plain.hold_up.low, plain.hold_up.value, plain.hold_up.high) == (0.001, 0.010, 0.100)
    assert (told.hold_up_assumed, told.maximum_v, told.maximum_source) == (False, 16.0, "label")
    assert told.hold_up == Level(0.05, 0.05, 0.05)
    assert (unlit.hold_up, unlit.maximum_v, unlit.maximum_source) == (None, 17.0, "as entered for this load")


def test_an_inverter_rides_through_what_was_entered_for_it() -> None:
    inverter = Inverter(kind="inverter", id="inverter", name="Inverter", rated_power_w=1000.0, hold_up_s=0.02)
    battery = next(part for part in boat().parts if part.kind == "battery")

    assert limits_of(inverter, "positive", STATED, Figures.of(boat())).hold_up == KNOWN_HOLD_UP
    assert limits_of(battery, "positive", NEED, Figures.of(boat())).maximum_v is None
    assert math.isclose(limits_of(battery, "positive", NEED, Figures.of(boat())).hold_up.value, 0.01)  # type: ignore[union-attr]


def test_a_time_below_a_need_is_given_as_its_bands_allow() -> None:
    assert within_bands(0.041, 5.3) == " (41 ms to 5.3 s by its bands)"
    assert within_bands(0.0, 0.3) == " (300 ms at most by its bands)"
    assert within_bands(0.0301, 0.0302) == ""

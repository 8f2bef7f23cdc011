"""Packs whose own electronics would switch them off in a start, by the figures entered for them."""

import re
from typing import Any

import numpy as np
import pytest

from server.engine.transient.answer import EventRun
from server.engine.transient.event_run import event_run
from server.engine.transient.verdict import after_the_press
from server.engine.transient.waves import Wave
from tests.engine.boats import part, wire
from tests.engine.transient.test_event_run import small


def start(**pack: object) -> EventRun:
    """The small boat's start from a lithium battery with this pack."""
    battery = part("battery", chemistry="lifepo4", pack=pack)
    return event_run(small(parts=[battery]), "starting", "start")


def said(run: EventRun) -> list[str]:
    """What of it drops out, in words."""
    return [one.message for one in run.troubles if one.code == "drops-out"]


def trip(amps: float, seconds: float) -> dict[str, Any]:
    """A point of the trip table."""
    return {"current_a": amps, "time_s": seconds}


def first_above(run: EventRun, amps: float) -> float:
    """When the current that the battery gives, the starter's and the plotter's, first passes some amperes."""
    heavy = next(one for one in run.waveforms if one.key == "heavy-current")
    plotter_a = 2.0
    return float(heavy.time_s[np.flatnonzero(heavy.values + plotter_a > amps)[0]])


def test_a_pack_within_its_figures_stays_on() -> None:
    assert said(start(discharge_limit_a=2000.0, trips=[trip(3000.0, 0.0)], low_cut_off_v=1.0)) == []


def test_a_current_that_lasts_trips_it_when_its_time_is_over() -> None:
    """Above 100 A from the inrush to the release at 0.6 s: 0.2 s after that began; then nothing is fed."""
    run = start(trips=[trip(100.0, 0.2), trip(3000.0, 0.0)])
    begins = first_above(run, 100.0)
    found = re.fullmatch(
        r"House battery is switched off by its own electronics (\d+) ms after the press: it gives more than "
        r"100 A for 200 ms\. What is shown from then on is computed so\. How far voltages swing as it cuts "
        r"its current is assumed\.",
        "".join(said(run)),
    )

    assert 0 <= begins < 0.002
    assert found is not None
    assert float(found[1]) == pytest.approx((begins + 0.2) * 1e3, abs=1.5)
    plotter = run.points[0]
    assert (plotter.lowest.value, plotter.verdict) == (0.0, "restarts")
    assert plotter.lowest.at_s == pytest.approx(begins + 0.2, abs=1e-3)
    assert plotter.lowest_band is not None
    assert plotter.lowest_band.low == 0.0
    assert plotter.dip_causes == ()
    assert run.waveforms[0].values[-1] == pytest.approx(0.0, abs=1e-4)


def test_a_current_that_falls_in_time_does_not() -> None:
    """The inrush above 150 A is over long before two seconds are."""
    assert said(start(trips=[trip(150.0, 2.0)])) == []


def test_of_several_points_the_first_to_trip_counts() -> None:
    found = said(start(trips=[trip(100.0, 0.3), trip(150.0, 0.0)]))

    assert len(found) == 1
    assert "more than 150 A. " in found[0]


def test_a_limit_without_a_time_may_trip() -> None:
    found = said(start(discharge_limit_a=120.0))

    assert len(found) == 1
    assert found[0].startswith("The electronics of House battery may switch it off: it gives up to ")
    assert "may give 120 A; no time is stated for more" in found[0]


def test_posts_below_its_cut_off_may_trip_it() -> None:
    run = start(low_cut_off_v=12.0)
    found = said(run)

    assert len(found) == 1
    assert "below the 12.0 V at which it cuts off; how fast it does is not stated" in found[0]


def test_a_pack_on_which_nothing_hangs_is_not_asked() -> None:
    spare = part("battery", id="spare", chemistry="lifepo4", pack={"trips": [trip(1.0, 0.0)]})
    run = event_run(small(parts=[spare]), "starting", "start")

    assert said(run) == []


def test_a_pack_on_the_same_bars_shares_the_current() -> None:
    """Two alike in parallel each give half: what is too much for one is not for two."""
    pack = {"trips": [trip(150.0, 0.0)]}
    one = part("battery", chemistry="lifepo4", pack=pack)
    other = {**one, "id": "other", "name": "Other battery"}
    wires = [
        wire("w-other", "other.positive", "battery.positive", length_m=0.1),
        wire("w-other-return", "other.negative", "battery.negative", length_m=0.1),
    ]

    assert len(said(event_run(small(parts=[one]), "starting", "start"))) == 1
    assert said(event_run(small(parts=[one, other], conductors=wires), "starting", "start")) == []


def test_words_for_a_wave_are_those_of_its_instant() -> None:
    assert after_the_press(-0.5) == "before the press"
    assert Wave(np.array([0.0, 1.0]), np.array([0.0, -1.0])).first_below(-0.5) == 0.5

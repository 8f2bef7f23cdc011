"""A boat fed by ISO 16750-2's starting profile in the place of its batteries.

Figures of the profiles are verified rows of ``starting_profile``; voltages are those of the steady network,
solved by node voltages instead of loop currents, wherever the wave stands still long enough.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from server.boat.parts import Battery
from server.engine.operating_point import operating_point
from server.engine.solution import Solution
from server.engine.transient.answer import EventRun, PointAnswer
from server.engine.transient.circuit import TransientError
from server.engine.transient.fed_model import FedModel, FedSolution, levels_for
from server.engine.transient.fed_run import fed_run
from server.engine.transient.waves import Wave
from server.practice.supply import StartingLevel, starting_profile
from tests.engine.boats import boat, load, part, wire
from tests.engine.demo import demo_boat
from tests.engine.transient.test_event_run import small
from tests.engine.transient.test_followed import alternator
from tests.engine.transient.test_followed import boat as with_parts


@cache
def fed(name: str, mode: str, level: StartingLevel) -> EventRun:
    return fed_run(demo_boat(name), mode, level)


def wave(run: EventRun, key: str) -> Wave:
    found = next(one for one in run.waveforms if one.key == key)
    return Wave(found.time_s, found.values)


def point(run: EventRun, name: str) -> PointAnswer:
    return next(one for one in run.points if one.name == name)


@pytest.mark.parametrize(("name", "mode"), [("1-sloop", "under-way"), ("4-outboard", "at-anchor")])
def test_on_the_plateau_every_load_stands_as_in_the_steady_network(name: str, mode: str) -> None:
    """Level II: 6.5 V for 10 s at every battery of 12 V, in halves at those of 6 V."""
    solution = Solution.of(demo_boat(name), mode)
    solved = FedSolution.of(solution, "II")
    network = solved.net.network
    emf_v = np.array([one.share * 6.5 for one in solved.posts])
    held = replace(network, sources=replace(network.sources, emf_v=emf_v))
    steady = operating_point(held, solved.net.off).element_v
    run = fed(name, mode, "II")

    at = np.array([5.0])
    ours = [float(wave(run, f"{part}.{terminal}").at(at)[0]) for part, terminal in solved.inputs]
    assert len(ours) > 3
    assert ours == pytest.approx(steady[solved.elements].tolist(), abs=1e-4)


def test_the_wave_at_the_batteries_is_the_published_one() -> None:
    """Level I at 12 V: 8 V for 15 ms after a fall of 5 ms, 9.5 V for 1 s after 50 ms, up again in 40 ms."""
    at = wave(fed("1-sloop", "under-way", "I"), "test-supply")

    instants = np.array([-0.001, 0.0025, 0.005, 0.02, 0.045, 0.07, 1.07, 1.09, 1.11, 1.5])
    assert at.at(instants) == pytest.approx([12.0, 10.0, 8.0, 8.0, 8.75, 9.5, 9.5, 10.75, 12.0, 12.0])


def test_a_load_is_below_its_need_for_as_long_as_the_wave_and_its_leads_have_it_there() -> None:
    """The radio needs 9.6 V, more than the plateau of 9.5 V: from the fall on until the rise has passed it.

    In between its leads take 0.083 V off; of the rise's 2.5 V in 40 ms the rest is passed after 2.9 ms.
    """
    radio = point(fed("1-sloop", "under-way", "I"), "VHF radio")
    leads_v = 12.0 - radio.before_v
    begins, ends = 0.005 * (12.0 - 9.6 - leads_v) / 4.0, 1.07 + 0.04 * (9.6 + leads_v - 9.5) / 2.5

    assert radio.below_need_s == pytest.approx(ends - begins, abs=2e-3)
    assert (radio.need_v, radio.verdict) == (9.6, "restarts")


def test_what_stands_the_lowest_voltage_keeps_running_and_says_its_band() -> None:
    panel = point(fed("1-sloop", "under-way", "I"), "Engine panel")

    assert (panel.need_v, panel.verdict, panel.band_basis) == (6.0, "keeps-running", "first-instant")
    assert panel.lowest_band is not None
    assert panel.lowest_band.low < panel.lowest.value < panel.lowest_band.high < 8.0


def test_nothing_charges_and_nothing_heavy_runs() -> None:
    """The alternator and the starter of the mode are out: what the supply gives is what the plotter takes."""
    run = fed_run(with_parts(*alternator(14.4, 60.0), "alternator"), "starting", "I")
    plateau = np.array([0.8])

    assert [one.name for one in run.points] == ["Plotter"]
    volts, amps = (wave(run, key).at(plateau)[0] for key in ("plotter.supply", "heavy-current"))
    assert volts * amps == pytest.approx(20.0, abs=0.05)


def test_batteries_in_series_take_their_halves_and_a_midpoint_its_own() -> None:
    """24 V level III falls to 6 V: 3 V at each battery of 12 V, at the tracker 5 V on the plateau of 10 V."""
    solved = FedSolution.of(Solution.of(demo_boat("3-workboat"), "at-anchor"), "III")
    tracker = point(fed("3-workboat", "at-anchor", "III"), "Position tracker")

    assert {one.share for one in solved.posts} == {0.5}
    assert tracker.lowest.value == pytest.approx(3.0, abs=0.05)
    assert wave(fed("3-workboat", "at-anchor", "III"), tracker.key).at(np.array([0.8]))[0] == pytest.approx(
        5.0, abs=0.05
    )


def test_each_system_voltage_has_its_own_profile() -> None:
    """A 24 V bank beside one of 12 V: each follows the wave of its own voltage."""
    bow = part("battery", id="bow", name="Bow bank", nominal_voltage_v=24.0, island="thruster")
    islands = [{"id": "thruster", "name": "Thruster", "nominal_voltage_v": 24.0}]
    lands = [wire("w-bow", "bow.negative", "bar.stud-3")]
    both = boat(parts=[bow], conductors=lands, islands=islands)
    solution = Solution.of(both, "starting")
    supplies = FedModel(solution, FedSolution.of(solution, "I")).supplies

    assert [float(one.rise_v.min()) for one in supplies] == [-4.0, -14.0]
    assert levels_for(both) == ("I", "II", "III")


def test_levels_are_those_with_a_verified_row_for_every_battery() -> None:
    without = demo_boat("1-sloop").model_copy(update={"parts": ()})
    assert levels_for(demo_boat("1-sloop")) == ("I", "II", "III", "IV")
    assert levels_for(demo_boat("3-workboat")) == ("I", "II", "III")
    assert starting_profile(24.0, "IV") is None
    assert levels_for(without) == ()


def test_a_level_without_a_row_is_refused_by_the_batterys_name() -> None:
    battery = next(one.name for one in demo_boat("3-workboat").parts if isinstance(one, Battery))
    with pytest.raises(TransientError, match=f"{battery}: there is no starting profile of level IV for 24 V"):
        fed_run(demo_boat("3-workboat"), "at-anchor", "IV")


def test_what_hangs_on_a_converter_goes_out_with_it() -> None:
    converter = {
        "kind": "converter",
        "id": "converter",
        "name": "Converter",
        "output_v": 5.0,
        "rated_current_a": 2.0,
        "minimum_input_v": 9.0,
    }
    light = load("light", {"kind": "resistive", "rated_power_w": 5.0, "rated_voltage_v": 5.0}, role="lights")
    lands = [
        wire("w-in", "switch.out", "converter.input"),
        wire("w-in-return", "converter.negative", "bar.stud-3"),
        wire("w-light", "converter.output", "light.supply"),
        wire("w-light-return", "light.negative", "bar.stud-4"),
    ]
    run = fed_run(with_parts([converter, light], lands, "light"), "starting", "I")
    stops = next(one for one in run.waveforms if one.key == "light.supply")

    assert point(run, "Light").lowest.value == 0.0
    assert 0.0037 < Wave(stops.time_s, stops.values).first_below(2.5, 0.0) < 0.02  # type: ignore[operator]
    told = run.troubles[0].message
    assert told.startswith("Converter stops")
    assert "after the dip begins" in told
    assert not any("the press" in one.message for one in run.troubles)


def test_what_lets_go_in_the_dip_is_told_from_the_dip_on() -> None:
    """A relay that opens below 11.5 V after 10 ms, and a coil that moves nothing and may let go."""
    coil = {
        "id": "supply",
        "demand": {"kind": "coil", "current_a": 0.5, "rated_voltage_v": 12.0, "hold_v": 8.5},
    }
    horn = {"kind": "load", "id": "horn", "name": "Horn", "role": "other", "inputs": [coil]}
    lands = [
        wire("w-horn", "horn.supply", "switch.out"),
        wire("w-horn-return", "horn.negative", "bar.stud-3"),
    ]
    run = fed_run(with_parts([horn], lands, "horn"), "starting", "I")

    assert any("The coil of Horn" in one.message and "the dip begins" in one.message for one in run.troubles)
    assert point(run, "Plotter").verdict != "limit-not-known"


def test_a_packs_own_electronics_are_not_in_the_place_of_the_battery() -> None:
    pack = {"trips": [{"current_a": 0.1, "time_s": 0.0}], "low_cut_off_v": 11.0}
    run = fed_run(small(parts=[part("battery", chemistry="lifepo4", pack=pack)]), "starting", "I")

    assert run.troubles == ()
    assert point(run, "Plotter").lowest.value > 7.5

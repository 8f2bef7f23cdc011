"""An event in time in words: figures by their band, splits that add up, meters that disagree."""

from dataclasses import replace

import numpy as np
import pytest

from server.actions.events_in_time import Figures
from server.boat.modes import Event, HeavyInput
from server.drawing.chart import COLUMNS
from server.engine.answer import Band
from server.engine.transient.answer import Instant, LinkOffsetInTime, PointAnswer, Turning
from server.engine.transient.load_dump import LostBattery
from server.engine.transient.meters import CLAMP, OSCILLOSCOPE, PEAK_CAPTURE, RECORDING, Instrument, Reading
from server.engine.transient.profiles import Comparison, Requirement, requirements
from server.engine.transient.waves import Wave
from server.practice.load_dump import load_dump
from server.practice.supply import starting_profile
from server.web.event_fields import asked_of, seconds
from server.web.views.event_chart import chart_of, draw, drawn_points, shown_point
from server.web.views.event_demands import (
    demands,
    link_rows,
    links_words,
    load_dump_words,
    lost_battery_words,
)
from server.web.views.event_figures import below_words, kick_volts, margin_words, shown_amperes, shown_volts
from server.web.views.event_heavies import heavy_row
from server.web.views.event_meters import disagreement, meter_rows
from server.web.views.event_overlay import profile_choices, profile_curve
from server.web.views.event_probes import probe_view, terminal_named
from server.web.views.event_strip import (
    assumed_figures,
    bands_words,
    caption,
    change_words,
    exact_figures,
    extremes,
    point_words,
)
from server.web.views.event_why import splits
from server.web.views.state import ViewState
from tests.drawing.event_runs import POINTS, cause, point, run
from tests.drawing.pictures import seed

STATE = ViewState("sloop", mode="starting", event="engine-start")
AUTOPILOT, PLOTTER, LAMP = POINTS
BEFORE_THE_MOVE = run((point("autopilot.supply", "Autopilot", ohm=0.012),), (0.012,))


def test_a_dip_reads_to_a_tenth_and_a_spike_as_about_so_many_volts() -> None:
    assert kick_volts(12.96, None, 12.6) == "13.0 V"
    assert kick_volts(17.6, None, 12.6) == "about 18 V"
    assert kick_volts(13.9, Band(13.2, 13.9, 14.7), 12.6) == "about 13–15 V"


@pytest.mark.parametrize(
    ("low", "high", "words"), [(12.61, 12.63, "12.6"), (7.06, 12.6, "7.1…12.6"), (-0.04, 0.0, "0.0")]
)
def test_a_column_shows_both_ends_where_it_moves(low: float, high: float, words: str) -> None:
    assert shown_volts(low, high) == words


def test_amperes_read_whole() -> None:
    assert shown_amperes(-0.3, 0.4) == "0"
    assert shown_amperes(99.6, 399.8) == "100…400"


def test_a_verdict_comes_with_its_margin_and_says_what_is_assumed() -> None:
    assert margin_words(AUTOPILOT) == "0.4 V short of the 9.0 V it needs"
    assert margin_words(replace(PLOTTER, need_assumed=True)) == "1.6 V above the 9.0 V it needs (assumed)"
    assert margin_words(LAMP) == ""


def test_time_below_the_need_stands_beside_what_is_ridden_through() -> None:
    """12.6 V - 10 mΩ·i is below 9 V while i > 360 A: 50 ms · ln(300/260) = 7.16 ms."""
    assert AUTOPILOT.below_need_s == pytest.approx(0.05 * 0.1431, rel=1e-3)
    assert below_words(AUTOPILOT) == "7.2 ms (rides through 2 ms, assumed)"
    assert below_words(replace(AUTOPILOT, hold_up_s=None)) == "7.2 ms"
    assert below_words(PLOTTER) == "never"
    assert below_words(LAMP) == "–"


def test_the_shown_point_is_the_probes_else_the_selected_else_the_worst_hit() -> None:
    solved = run()
    probed = run((*POINTS, replace(LAMP, key="probe")), (0.01, 0.005, 0.002, 0.002))

    assert shown_point(solved, "starter.motor", None) == AUTOPILOT
    assert shown_point(solved, "autopilot.supply", None) == PLOTTER
    assert shown_point(solved, "autopilot.supply", "autopilot") == AUTOPILOT
    assert shown_point(solved, "starter.motor", "plotter.supply") == PLOTTER
    assert shown_point(probed, "starter.motor", "plotter") == probed.points[-1]
    assert shown_point(run((), ()), "starter.motor", None) is None


def test_the_chart_draws_the_shown_load_the_worst_hit_and_the_shown_one_before_the_move() -> None:
    chart = chart_of(run(), drawn_points(run(), "starter.motor", PLOTTER), BEFORE_THE_MOVE)
    moved = chart_of(run(), drawn_points(run(), "starter.motor", AUTOPILOT), BEFORE_THE_MOVE)

    assert [curve.name for curve in chart.volts] == ["Plotter", "Autopilot", "Cabin lamp"]
    assert [curve.role for curve in moved.volts] == ["chosen", "second", "third", "earlier"]
    assert moved.volts[-1].words == "lowest 7.8 V"
    assert drawn_points(run(), "starter.motor", replace(LAMP, key="probe")) == (replace(LAMP, key="probe"),)
    assert [limit.words for limit in chart.limits] == [
        "Plotter and 1 more need 9.0 V",
        "Autopilot: 16.0 V at most",
    ]
    assert [one.words for one in chart.points] == ["10.6 V", "about 18 V"]
    assert chart.current.words == "peak 400 A"


def test_without_a_kick_only_the_lowest_place_is_named() -> None:
    calm = replace(AUTOPILOT, release_highest=Instant(12.7, 2.0))

    assert len(chart_of(run(), (calm,), None).points) == 1
    assert len(chart_of(run(), (replace(calm, release_highest=None),), None).points) == 1


def test_the_cursor_reads_the_closed_form_at_its_instant() -> None:
    """At 50 ms the current is 100 + 300/e = 210.4 A, and the autopilot stands at 12.6 V - 2.104 V."""
    chart = chart_of(run(), (AUTOPILOT, PLOTTER), None)
    _, cursor = draw(chart, None, 0.05)
    by_column = draw(chart, cursor.at, None)[1]

    assert cursor.time == "50 ms after the press"
    values = {one.role: (one.value, one.unit) for one in cursor.readouts}
    assert values["chosen"] == ("10.5", "V")
    assert values["second"] == ("11.5", "V")
    assert values["current"][1] == "A"
    assert float(values["current"][0]) == pytest.approx(210.4, abs=1)
    assert float(by_column.time.removesuffix(" ms after the press")) == pytest.approx(50, rel=0.05)
    assert "10.5" in by_column.readouts[0].value.split("…")
    assert all(len(one.values.split(" ")) == COLUMNS for one in cursor.readouts)
    assert len(cursor.times.split("|")) == COLUMNS


def test_the_cursor_begins_at_the_lowest_place_and_stays_within_the_chart() -> None:
    chart = chart_of(run(), (AUTOPILOT,), None)

    assert draw(chart, None, None)[1].readouts[0].value == "8.6"
    assert draw(chart, 10_000, None)[1].at == COLUMNS - 1


def test_the_table_has_every_load_the_worst_off_first() -> None:
    rows = extremes(run(), BEFORE_THE_MOVE, AUTOPILOT, STATE, "/event")

    assert [row.name for row in rows] == ["Autopilot", "Plotter", "Cabin lamp"]
    first = rows[0]
    assert (first.before, first.lowest, first.was) == ("12.6 V", "8.6 V", "7.8 V")
    assert (first.when, first.highest, first.average) == ("at the press", "about 18 V", "11.5 V")
    assert (first.verdict, first.shown) == ("restarts", True)
    assert first.url == "/boats/sloop/event?mode=starting&event=engine-start&selected=autopilot.supply"
    assert rows[1].was == "–"


def test_bands_stand_beside_the_figures_they_belong_to() -> None:
    banded = replace(point("a.b", "A", band=True), key="probe", lowest=Instant(8.6, 0.003))
    row = extremes(run((banded,), (0.01,)), None, banded, STATE, "")[0]

    assert (row.lowest, row.band) == ("8.6 V", "8.2 to 8.9 V")
    assert row.highest == "about 15–20 V"
    assert row.when == "3 ms after the press"
    assert row.url == ""


def test_what_stood_before_the_press_says_so() -> None:
    early = replace(AUTOPILOT, lowest=Instant(8.6, -0.01))

    assert extremes(run((early,), (0.01,)), None, early, STATE, "")[0].when == "before the press"


def test_a_split_adds_up_to_the_dip_that_is_shown() -> None:
    dip, kick = splits(AUTOPILOT)

    assert [row.volts for row in dip.rows] == ["2.50 V", "1.00 V", "0.50 V"]
    assert dip.sum_words == "The parts add up to 4.00 V: from 12.60 V before to 8.60 V at the lowest."
    assert [row.cause for row in dip.rows][1] == "the battery's own voltage gives way"
    assert kick.sum_words == "The parts add up to 5.00 V: from 12.60 V before to 17.60 V after the release."


def test_many_small_parts_are_summed_in_one_row_and_still_add_up() -> None:
    causes = tuple(cause(f"c{n}", f"Cable {n}", "conductor", "resistance", 0.2777) for n in range(18))
    (split, *_) = splits(replace(AUTOPILOT, dip_causes=causes, lowest=Instant(12.6 - 18 * 0.2777, 0.0)))

    assert split.rows[-1].name == "6 smaller parts"
    hundredths = [round(100 * float(row.volts.removesuffix(" V"))) for row in split.rows]
    assert sum(hundredths) == 500
    assert split.sum_words.startswith("The parts add up to 5.00 V")


def test_a_point_without_causes_or_kick_has_no_split() -> None:
    assert splits(replace(AUTOPILOT, dip_causes=(), release_highest=None)) == ()
    assert [one.id for one in splits(replace(AUTOPILOT, release_highest=Instant(12.69, 2.0)))] == [
        "event-why-dip"
    ]


READINGS: tuple[tuple[Instrument, Reading | None], ...] = (
    (PEAK_CAPTURE, Reading(7.5, 7.5, 13.7, 13.7)),
    (RECORDING, Reading(9.6, 10.6, 12.3, 12.3)),
    (OSCILLOSCOPE, Reading(7.5, 7.5, 16.0, 16.0)),
    (CLAMP, None),
)


def test_each_instrument_says_what_it_is_set_to_and_what_it_shows() -> None:
    rows = meter_rows(READINGS, AUTOPILOT)

    assert [row.setting for row in rows] == ["capture 250 µs", "response 0.1 s", "", "integrates for 0.1 s"]
    assert rows[0].shows == "min 7.5 V, max 13.7 V"
    assert rows[1].shows == "min 9.6 to 10.6 V, max 12.3 V"
    assert rows[3].shows == "nothing: the current does not pass its trigger of 5.0 A"
    assert meter_rows(((CLAMP, Reading(210.0, 210.0, 210.0, 210.0)),), AUTOPILOT)[0].shows == "210 A"


def test_a_meter_has_that_part_of_the_band_that_it_has_of_the_swing() -> None:
    """12.6 V before, 8.6 V at lowest, 7.8 to 9.0 V by the band.

    A meter that sees 3 of the 4 V of the dip sees 3/4 of 4.8 or 3.6 V. After the release the curve goes to
    16.6 V, the band to 17.6 V.
    """
    banded = replace(
        AUTOPILOT,
        before_v=12.6,
        lowest_band=Band(7.8, 8.6, 9.0),
        highest_band=Band(16.6, 16.6, 17.6),
    )
    seen = Reading(9.6, 9.6, 14.6, 14.6)

    told = meter_rows(((PEAK_CAPTURE, seen), (CLAMP, Reading(1.0, 1.0, 1.0, 1.0))), banded)

    assert told[0].bands == ("min may be 9.0 to 9.9 V", "max may be 14.6 to 15.1 V")
    assert told[1].bands == ()
    flat = replace(banded, before_v=8.6, highest_band=None)
    assert meter_rows(((PEAK_CAPTURE, Reading(8.6, 8.6, 8.6, 8.6)),), flat)[0].bands == (
        "min may be 7.8 to 9.0 V",
    )


def test_a_test_wave_is_laid_over_the_chart_as_far_as_the_event_lasts() -> None:
    level = Requirement("level-i", "Level I", "ISO 16750-2", starting_profile(12.0, "I"))  # type: ignore[arg-type]
    wave = Wave(np.array([0.0, 0.005, 9.0]), np.array([12.0, 8.0, 12.0]))
    profiles = ((level, wave),)

    curve = profile_curve(run(), profiles, "level-i")

    assert curve is not None
    assert (curve.name, curve.words) == ("Level I", "lowest 8.0 V")
    assert curve.waveform.time_s[-1] == run().phases[-1].end_s < 9.0
    assert profile_curve(run(), profiles, "level-x") is None
    assert [one.label for one in profile_choices(profiles, "level-i")] == ["none", "Level I"]
    assert profile_choices((), "") == ()
    drawn = chart_of(run(), drawn_points(run(), "starter.motor", PLOTTER), None, (), curve)
    assert [one.role for one in drawn.volts][-1] == "fourth"


def test_meters_that_disagree_are_told_not_to_be_broken() -> None:
    assert disagreement(READINGS) == "Their lowest figures may differ by 3.1 V, and none of them is broken."
    assert disagreement(READINGS[:1]) == ""
    assert disagreement((READINGS[0], READINGS[2])) == "At this point they agree."


def test_what_the_move_did_stands_in_one_sentence() -> None:
    assert change_words(AUTOPILOT, BEFORE_THE_MOVE) == (
        "Autopilot before the change: lowest 7.8 V, restarts; now: lowest 8.6 V, restarts."
    )
    assert change_words(LAMP, BEFORE_THE_MOVE) == ""
    assert change_words(AUTOPILOT, None) == ""


def test_the_shown_point_and_the_event_are_told_in_a_sentence_each() -> None:
    assert point_words(PLOTTER) == "falls from 12.6 V to 10.6 V: 1.6 V above the 9.0 V it needs."
    assert point_words(LAMP) == "falls from 12.6 V to 11.8 V."
    probed = replace(LAMP, key="probe", before_v=0.0, lowest=Instant(-0.6, 2.0), highest=Instant(3.5, 0.01))
    assert point_words(probed) == "reads 0.0 V before the press, then −0.6 V to 3.5 V."
    told = "Starter motor draws up to 400 A and 100 A before the release"
    turning = replace(run(), turning=Turning(10.2, 112.4))
    assert caption(run()) == f"{told}; battery charged 60 %, 0 °C."
    assert caption(replace(run(), conditions="")) == f"{told}."
    assert "up to 400 A and 112 A on average while it turns;" in caption(turning)


def test_exact_digits_and_sources_stand_under_how_got() -> None:
    got = {one.name: one.value for one in exact_figures(AUTOPILOT)}
    assumed = assumed_figures(run().assumptions)[0]

    assert got["Lowest"] == "8.6 V"
    assert got["Needs at least"] == "9 V (its manual)"
    assert got["Rides through"] == "2 ms, assumed"
    assert got["Bears at most"] == "16 V (its manual)"
    assert "Needs at least" not in {one.name for one in exact_figures(LAMP)}
    assert assumed.value == "18 V (14.4 V to 21.6 V), common practice, no source"


@pytest.mark.parametrize(
    ("typed", "at_s"),
    [("3 ms", 0.003), ("20µs", 20e-6), ("20 us", 20e-6), ("0,1", 0.1), ("-5 ms", -0.005), ("1e-3 s", 0.001)],
)
def test_an_instant_is_read_in_its_unit(typed: str, at_s: float) -> None:
    assert seconds(typed) == pytest.approx(at_s)


@pytest.mark.parametrize("typed", ["soon", "ms", "", "inf", "nan s", "3 h", "٣ ms", "1" * 400])
def test_what_is_no_instant_is_none(typed: str) -> None:
    assert seconds(typed) is None


def test_what_is_wrong_with_the_probes_is_said_beside_each() -> None:
    boat = seed("1-sloop")
    some = next(f"{part.id}.positive" for part in boat.parts if part.kind == "battery")

    only_plus = asked_of(boat, {"plus": some})
    unknown = asked_of(boat, {"plus": some, "minus": "nothing.at-all"})
    same = asked_of(boat, {"plus": some, "minus": some})
    good = asked_of(boat, {"plus": some, "minus": some.replace("positive", "negative"), "at": "12", "t": " "})

    assert only_plus.minus_error == "Choose a terminal for this probe too."
    assert unknown.minus_error == "This boat has no such terminal. Choose one from the list."
    assert same.minus_error == "Choose another terminal than for the plus probe."
    assert (good.is_wrong, good.column, good.at_s) == (False, 12, None)
    assert good.pair is not None
    assert good.pair.plus.terminal == "positive"


def test_a_wrong_instant_is_kept_with_its_message() -> None:
    asked = asked_of(seed("1-sloop"), {"t": "soon", "at": "x"})

    assert (asked.typed, asked.is_wrong, asked.column) == ("soon", True, None)
    assert "3 ms" in asked.time_error


def test_probes_offer_every_terminal_of_a_small_boat_and_fewer_of_a_large_one() -> None:
    small, large = seed("1-sloop"), seed("5-large-yacht")
    offered = probe_view(small, "plus", "Plus probe", "autopilot.negative", "")
    many = probe_view(large, "plus", "Plus probe", "", "")

    chosen = [one.label for group in offered.groups for one in group.terminals if one.chosen]
    assert chosen == ["Autopilot, negative"]
    every = {one.value for group in offered.groups for one in group.terminals}
    assert all(terminal_named(small, value) for value in every)
    assert sum(len(group.terminals) for group in many.groups) < 700
    assert {"battery", "busbar", "panel", "load"} <= {
        part.kind for part in large.parts if part.name in {group.name for group in many.groups}
    }
    assert not [group for group in many.groups if not group.terminals]


def test_where_the_bands_come_from_is_said_with_what_matters_most() -> None:
    drawn = replace(AUTOPILOT, band_basis="drawn", matters_most="Joint at the engine")

    assert bands_words(AUTOPILOT).startswith("No bands")
    assert bands_words(AUTOPILOT, POINTS).startswith("No bands")
    assert bands_words(AUTOPILOT, (AUTOPILOT, replace(PLOTTER, band_basis="drawn"))) == (
        "The bands were drawn over all assumptions. They are the loads': Autopilot has none."
    )
    assert "first instant" in bands_words(replace(AUTOPILOT, band_basis="first-instant"))
    assert bands_words(drawn).endswith("; for Autopilot “Joint at the engine” matters most.")
    assert bands_words(replace(drawn, matters_most=None)) == "The bands were drawn over all assumptions."


NETWORK: Requirement = requirements(12.0)[0]


@pytest.mark.parametrize(
    ("compared", "words"),
    [
        (Comparison(NETWORK, True, 0.6, "", None, None, None), "lowest 0.6 V above the lowest it allows"),
        (Comparison(NETWORK, False, -1.7, "too-low", 9.0, 0.054, 0.0), "below 9.0 V for 54 ms"),
        (Comparison(NETWORK, False, 0.6, "too-high", 16.0, 0.0002, 0.0), "above its 16.0 V for 200 µs"),
        (
            Comparison(NETWORK, False, 0.6, "too-long", 8.0, 0.2, 0.05),
            "below 8.0 V for 0.2 s where it allows 50 ms",
        ),
    ],
)
def test_a_published_requirement_is_met_or_missed_by_so_much(compared: Comparison, words: str) -> None:
    (row,) = demands((compared,))

    assert (row.title, row.told) == (NETWORK.title, words)
    assert row.word == ("met" if compared.met else "not met")


def test_every_way_to_lose_the_battery_is_a_sentence_in_the_boats_words() -> None:
    boat = seed("1-sloop")
    alternator = next(part.id for part in boat.parts if part.kind == "alternator")
    switch = next(part for part in boat.parts if part.kind == "contact" and len(part.positions) > 2)
    first, second = switch.positions[:2]

    lost = LostBattery(
        alternator=alternator,
        how="device",
        switch=switch.id,
        before=first.id,
        after=second.id,
        certain=False,
        field_opens=False,
        suppressed=True,
        sharing=(),
    )
    told = lost_battery_words(
        boat,
        (
            replace(lost, how="already", suppressed=False, sharing=("autopilot",)),
            lost,
            replace(lost, how="position", after=first.id, field_opens=True, suppressed=False),
            replace(lost, how="turn", suppressed=False),
        ),
    )
    assert told[0] == "Alternator has no battery in this mode as it stands; on it alone then: Autopilot."
    assert (
        told[1] == f"Alternator loses its battery where “{switch.name}” opens; it has suppression of its own."
    )
    assert told[2].endswith(f"with “{switch.name}” at {first.name}; the switch opens its field first.")
    assert told[3].endswith(
        f"may lose its battery while “{switch.name}” is turned from {first.name} to {second.name}."
    )


def test_a_lost_battery_has_its_published_size_and_none_where_none_is_published() -> None:
    """ISO 16750-2, load dump: 79 to 101 V at 12 V, 35 V with suppression, 40 to 400 ms."""
    assert "79 to 101 V for 40 ms to 0.4 s, 35 V where" in load_dump_words(load_dump(12.0))
    assert load_dump_words(None).startswith("No figure")


EVENT = Event(
    id="start", name="Engine start", mode="starting", heavy=HeavyInput(part="plotter", input="supply")
)


def figures(*points: PointAnswer) -> Figures:
    return Figures({point.key: point for point in points}, 400.0)


def test_an_event_names_whom_it_hits_worst_and_never_its_own_heavy_load() -> None:
    hit = heavy_row(EVENT, "Starting", figures(AUTOPILOT, PLOTTER), STATE)
    alone = heavy_row(EVENT, "Starting", figures(PLOTTER), STATE)

    assert (hit.hit, hit.lowest, hit.verdict, hit.inrush) == ("Autopilot", "8.6 V", "restarts", "400 A")
    assert hit.url == "/boats/sloop?mode=starting&event=start"
    assert (alone.hit, alone.lowest) == ("nothing else is on", "")
    ridden = replace(AUTOPILOT, verdict="keeps-running")
    through = heavy_row(EVENT, "Starting", figures(ridden, PLOTTER), STATE)
    assert hit.margin == "0.4 V short of the 9.0 V it needs"
    assert through.margin == "0.4 V short of the 9.0 V it needs, and rides that through"


def test_a_row_says_its_mode_in_one_place() -> None:
    own = EVENT.model_copy(update={"name": "Windlass in Everything on"})
    row = heavy_row(own, "Everything on", figures(AUTOPILOT, PLOTTER), STATE)

    assert (row.name, row.mode) == ("Windlass", "Everything on")


def test_a_fall_of_less_than_a_tenth_of_a_volt_is_none() -> None:
    steady = replace(AUTOPILOT, before_v=13.52, lowest=Instant(13.49, 0.01))

    assert point_words(steady).startswith("stays at 13.5 V")


def test_an_event_that_cannot_be_solved_says_why_in_its_row() -> None:
    assert (
        heavy_row(EVENT, "Starting", Figures(why="The starter gets no power."), STATE).trouble
        == "The starter gets no power."
    )


def test_a_data_link_tells_how_far_its_negatives_come_apart() -> None:
    link = LinkOffsetInTime(
        "data",
        "Instrument data",
        Instant(3.546, 0.015),
        0.041,
        "Autopilot",
        "VHF radio",
        None,
        "autopilot",
        "vhf",
    )
    (isolated, driven) = link_rows((link, replace(link, current_a=2.5)))

    assert (isolated.apart, isolated.before, isolated.current) == ("3.5 V", "0.0 V", "isolated, or not known")
    assert isolated.between == "Autopilot above VHF radio"
    assert driven.current == "2.5 A"
    assert links_words((link,)) == "up to 3.5 V on Instrument data"
    assert links_words(()) == ""

"""The event in time laid over a mode's answer: one figure for one thing, and what it is where it is not."""

import pytest

from server.actions import answers, in_time
from server.actions.check import check, report
from server.actions.choices import Chosen
from server.actions.events_in_time import Figures, event_in_time, figures_of
from server.actions.findings import found_at_once
from server.actions.kept import Kept
from server.actions.pick_ups import kept_pick_up, kept_refined
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import ChangeValue, MoveLead, apply
from tests.engine.demo import demo_boat

STARTING = Chosen("starting", "engine-start")
PILOT = "autopilot.supply"


@pytest.fixture(scope="module")
def boat() -> Boat:
    return demo_boat("1-sloop")


def test_an_answer_takes_its_figures_from_the_event_and_keeps_the_first_instant(boat: Boat) -> None:
    results = Results()
    first = answers.answer(results, "one", boat, "starting", "engine-start")
    told = in_time.whole(results, "one", boat, first)
    run = event_in_time(results, "one", boat, "starting", "engine-start")

    points = {point.key: point for point in run.points}
    before = {load.id: load for load in first.loads}
    assert set(points) <= {load.id for load in told.loads}
    for load in told.loads:
        for seen, was in zip(load.events, before[load.id].events, strict=True):
            point = points[load.id]
            assert seen.in_time == point
            assert seen.lowest == point.lowest_band
            assert seen.verdict == point.verdict
            assert seen.at_first == was.lowest
    assert told.events[0].inrush_a == run.inrush_a.value
    assert told.events[0].restarts == sum(point.verdict == "restarts" for point in run.points) == 1
    assert (told.events[0].worst_part, told.events[0].worst_lowest_v) == (
        "autopilot",
        points[PILOT].lowest.value,
    )


def test_what_is_not_known_yet_stays_the_first_instant_and_says_so(boat: Boat) -> None:
    results = Results()
    first = answers.answer(results, "one", boat, "starting", "engine-start")

    told = in_time.over(results, "one", boat, first)
    assert told is first
    assert in_time.standing(results, "one", STARTING, told) == in_time.Standing("refining")
    assert in_time.standing(results, "one", STARTING, told).is_refining

    figures_of(results, "one", boat, "starting", "engine-start")
    assert in_time.standing(results, "one", STARTING, told).is_refining
    told = in_time.over(results, "one", boat, first)
    assert in_time.standing(results, "one", STARTING, told) == in_time.Standing("in-time")


def test_without_an_event_nothing_is_told_of_one(boat: Boat) -> None:
    results = Results()
    first = answers.answer(results, "one", boat, "sailing")

    assert in_time.standing(results, "one", Chosen("sailing", None), first).basis == "none"
    assert in_time.standing(results, "one", None, None).basis == "none"


def test_an_event_that_cannot_be_followed_stays_the_first_instant_for_good(boat: Boat) -> None:
    results = Results()
    results.figures.get(("one", "starting", "engine-start"), lambda: Figures(why="No voltage settles."))
    first = answers.answer(results, "one", boat, "starting", "engine-start")

    assert in_time.whole(results, "one", boat, first) is first
    assert in_time.standing(results, "one", STARTING, first) == in_time.Standing(
        "first-instant", "No voltage settles."
    )
    assert in_time.not_in_time(results, "one", first) == ("No voltage settles.",)


def test_an_event_in_which_nothing_is_on_has_no_figures_to_wait_for(boat: Boat) -> None:
    results = Results()
    results.figures.get(("one", "starting", "engine-start"), Figures)
    first = answers.answer(results, "one", boat, "starting", "engine-start")

    assert in_time.standing(results, "one", STARTING, first).basis == "in-time"


def test_findings_at_once_are_judged_by_what_is_known(boat: Boat) -> None:
    results = Results()
    early = found_at_once(results, "one", boat, "starting", "engine-start")
    figures_of(results, "one", boat, "starting", "engine-start")
    late = found_at_once(results, "one", boat, "starting", "engine-start")
    again = found_at_once(results, "one", boat, "starting", "engine-start", frozenset())

    volts = [
        next(one.figure.value for one in found if one.code == "restarts" and one.figure)
        for found in (early, late, again)
    ]
    assert volts[0] == volts[2] > volts[1]


def test_a_put_down_gives_what_the_tap_said(boat: Boat) -> None:
    """Decision 4: the answer at a tap is the analysis of the boat after that very move."""
    results = Results()
    held = kept_refined(results, "one", boat, "autopilot", "negative", STARTING)

    for tap in held.taps:
        moved = apply(boat, MoveLead(part="autopilot", terminal="negative", to=tap.terminal))
        point = figures_of(results, tap.place, moved, "starting", "engine-start").points[PILOT]
        assert tap.exact
        assert tap.lowest is not None
        assert tap.lowest.value == pytest.approx(point.lowest.value, abs=1e-6)
        assert tap.verdict == point.verdict
    assert [tap.rank for tap in held.taps if tap.rank] == [1, 2, 3]


def test_where_nothing_is_looked_at_every_tap_stays_at_the_first_instant(boat: Boat) -> None:
    results = Results()
    held = kept_refined(results, "one", boat, "starter", "motor", STARTING)

    assert {tap.exact for tap in held.taps} == {False}


def test_without_an_event_a_lead_answers_as_ever(boat: Boat) -> None:
    results = Results()
    steady = Chosen("sailing", None)
    held = kept_refined(results, "one", boat, "autopilot", "negative", steady)

    assert held == kept_pick_up(results, "one", boat, "autopilot", "negative", steady)
    assert all(tap.exact for tap in held.taps)


def test_a_report_says_what_each_figure_is() -> None:
    told = report(check(boat_bytes(demo_boat("4-outboard"))))

    row = next(
        line for line in told.splitlines() if "Sounder and plotter" in line and "Outboard start" in line
    )
    assert row.split("Outboard start")[1].split() == [
        "10.0",
        "V",
        "12.6",
        "V",
        "9.0",
        "V",
        "keeps",
        "running,",
        "+1.0",
        "V",
    ]
    heavy = next(line for line in told.splitlines() if "Outboard " in line and "at the first instant" in line)
    assert "keeps running" in heavy


def test_a_document_names_the_basis_of_every_event() -> None:
    document = check(boat_bytes(demo_boat("1-sloop"))).document
    starting = next(mode for mode in document.modes if mode.id == "starting")
    seen = next(load for load in starting.loads if load.id == PILOT).events[0]

    assert seen.basis == "in-time"
    assert seen.highest_v is not None
    assert seen.lowest_v.value < seen.at_first_v.value < seen.highest_v
    assert seen.margin_v == pytest.approx(seen.lowest_v.value - 9.0)
    assert seen.below_need_s is not None
    assert seen.hold_up_s is not None
    assert seen.below_need_s > seen.hold_up_s
    assert (seen.maximum_v, seen.reason[:5]) == (16.0, "Below")
    assert starting.not_in_time == ()


def test_a_value_that_fails_to_be_made_is_made_by_the_next_who_asks() -> None:
    kept: Kept[str, int] = Kept(2)

    def fails() -> int:
        raise ValueError("not yet")

    with pytest.raises(ValueError, match="not yet"):
        kept.get("one", fails)
    assert kept.get("one", lambda: 1) == 1


def test_a_changed_hold_up_changes_the_verdict_and_not_the_volts(boat: Boat) -> None:
    results = Results()
    patient = apply(boat, ChangeValue(id="autopilot", field="inputs.0.hold_up_s", value=0.25))
    one = figures_of(results, "one", boat, "starting", "engine-start").points[PILOT]
    two = figures_of(results, "two", patient, "starting", "engine-start").points[PILOT]

    assert (one.verdict, two.verdict) == ("restarts", "keeps-running")
    assert one.lowest.value == pytest.approx(two.lowest.value, abs=1e-9)

"""The places of a held lead by the event in time: the event of the boat after that very move."""

from dataclasses import replace

import pytest

from server.boat.boat import Boat
from server.boat.edit_values import ChangeValue, MoveConductorEnd, MoveLead
from server.boat.edits import apply
from server.engine.answer import PickUp
from server.engine.ranking import sign
from server.engine.taps import pick_up
from server.engine.transient.event_run import event_run
from server.engine.transient.refined_taps import refined
from tests.engine.demo import demo_boat

SLOOP = ("starting", "engine-start")
PILOT = "autopilot"


@pytest.fixture(scope="module")
def boat() -> Boat:
    return demo_boat("1-sloop")


@pytest.fixture(scope="module")
def found(boat: Boat) -> PickUp:
    return refined(boat, pick_up(boat, PILOT, "negative", *SLOOP))


def test_every_place_has_the_band_and_the_verdict_of_the_moved_boat(boat: Boat, found: PickUp) -> None:
    assert len(found.taps) >= 4
    for tap in found.taps:
        moved = apply(boat, MoveLead(part=PILOT, terminal="negative", to=tap.terminal))
        point = next(one for one in event_run(moved, *SLOOP).points if one.key == "autopilot.supply")
        assert tap.exact
        assert tap.lowest is not None
        assert point.lowest_band is not None
        assert tap.lowest.value == pytest.approx(point.lowest.value, abs=1e-6)
        assert tap.lowest.low == pytest.approx(point.lowest_band.low, abs=1e-6)
        assert tap.lowest.high == pytest.approx(point.lowest_band.high, abs=1e-6)
        assert tap.verdict == point.verdict


def test_the_places_are_ranked_anew_and_marked_by_their_own_figures(boat: Boat, found: PickUp) -> None:
    at_first = pick_up(boat, PILOT, "negative", *SLOOP)
    ranks = [tap.rank for tap in found.taps if tap.rank is not None]

    assert ranks == list(range(1, len(ranks) + 1))
    assert found.present is not None
    assert at_first.present is not None
    assert found.present.lowest is not None
    assert at_first.present.lowest is not None
    assert found.present.lowest.value < at_first.present.lowest.value - 0.1
    assert found.present.mark == "same"
    assert {tap.mark for tap in found.taps if tap.rank == 1} == {"clears"}
    barred = [tap for tap in found.taps if tap.breaks]
    assert barred
    assert {tap.mark for tap in barred} == {"breaks"}


def test_a_verdict_that_only_time_tells_marks_a_place(boat: Boat) -> None:
    """A quarter of a second of hold-up rides through the 54 ms below 9.0 V: nothing is left to clear."""
    patient = apply(boat, ChangeValue(id=PILOT, field="inputs.0.hold_up_s", value=0.25))
    found = refined(patient, pick_up(patient, PILOT, "negative", *SLOOP))

    assert found.present is not None
    assert found.present.verdict == "keeps-running"
    assert {tap.mark for tap in found.taps if tap.rank == 1} == {"better"}


def test_without_an_event_or_a_load_to_look_at_nothing_changes(boat: Boat) -> None:
    steady = pick_up(boat, PILOT, "negative", "starting", None)
    starter = pick_up(boat, "starter", "motor", *SLOOP)

    assert refined(boat, steady) is steady
    assert starter.observed is None
    assert refined(boat, starter) is starter


def test_a_loose_lead_keeps_its_marks_for_there_is_nothing_to_compare_with(boat: Boat) -> None:
    loose = apply(boat, MoveConductorEnd(conductor="autopilot-neg", end="head", to=None))
    held = pick_up(loose, PILOT, "negative", *SLOOP)
    found = refined(loose, held)

    assert found.present is None
    at_first = {tap.terminal: tap for tap in held.taps}
    exact = [tap for tap in found.taps if tap.exact]
    assert exact
    assert all(tap.mark == at_first[tap.terminal].mark for tap in exact)
    assert all(tap.lowest != at_first[tap.terminal].lowest for tap in exact)


def test_where_the_event_cannot_be_followed_now_all_places_keep_their_first_instant(boat: Boat) -> None:
    held = pick_up(boat, PILOT, "negative", *SLOOP)
    blind = refined(boat, replace(held, observed=("starter", "motor")))

    assert [tap.exact for tap in blind.taps] == [False] * len(held.taps)
    assert [tap.lowest for tap in blind.taps] == [tap.lowest for tap in held.taps]


def test_a_place_that_feeds_nothing_keeps_its_first_instant(boat: Boat) -> None:
    held = pick_up(boat, PILOT, "negative", *SLOOP)
    dark = tuple(replace(tap, lowest=None) if tap.rank == 1 else tap for tap in held.taps)
    found = refined(boat, replace(held, taps=dark))

    assert [tap.exact for tap in found.taps if tap.lowest is None] == [False]


def test_a_sign_tells_restarts_of_others_before_the_verdict_and_the_verdict_before_the_volts() -> None:
    rest, harm = (1, 1), (0, 1)

    assert sign((9.0, "restarts"), (12.0, "keeps-running"), harm) == "worse"
    assert sign((9.0, "restarts"), (12.0, "keeps-running"), rest) == "clears"
    assert sign((9.0, "restarts"), (9.0, "too-close-to-call"), rest) == "better"
    assert sign((9.0, "keeps-running"), (12.0, "too-close-to-call"), rest) == "worse"
    assert sign((9.0, "restarts"), (9.04, "restarts"), rest) == "same"
    assert sign((9.0, "restarts"), (9.06, "restarts"), rest) == "better"
    assert sign((9.0, "restarts"), (8.9, "restarts"), rest) == "worse"
    assert sign((None, "restarts"), (8.9, "restarts"), rest) == "same"

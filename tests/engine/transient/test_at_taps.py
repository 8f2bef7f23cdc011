"""The event at every place of a held lead is, by definition, the event of the boat after that move."""

import pytest

from server.boat.edit_values import MoveLead
from server.boat.edit_wiring import move_lead
from server.boat.value import TerminalRef
from server.engine.taps import pick_up
from server.engine.transient.at_taps import EventAtTap, event_at_taps
from server.engine.transient.event_run import UnknownModeError, event_run
from tests.engine.demo import demo_boat
from tests.engine.transient.test_event_run import small

SAME_V, SAME_S = 1e-6, 1e-9
PILOT = ("autopilot", "supply")


@pytest.mark.parametrize(
    ("name", "mode", "event"),
    [("1-sloop", "starting", "engine-start"), ("2-trawler", "under-way", "thruster-burst")],
)
def test_each_place_is_the_whole_run_of_the_moved_boat(name: str, mode: str, event: str) -> None:
    boat = demo_boat(name)
    taps = [one for one in pick_up(boat, *PILOT, mode, event).taps if not one.breaks]
    places = [one.terminal for one in taps][:4]

    found = event_at_taps(boat, mode, event, PILOT, PILOT, places)

    assert len(places) == 4
    for place, one in zip(places, found, strict=True):
        moved = move_lead(boat, MoveLead(part="autopilot", terminal="supply", to=place))
        run = event_run(moved, mode, event)
        whole = next(point for point in run.points if point.key == "autopilot.supply")
        assert one.place == place
        assert one.lowest is not None
        assert one.highest is not None
        assert one.lowest.value == pytest.approx(whole.lowest.value, abs=SAME_V)
        assert one.highest.value == pytest.approx(whole.highest.value, abs=SAME_V)
        assert one.before_v == pytest.approx(whole.before_v, abs=SAME_V)
        assert one.below_need_s == pytest.approx(whole.below_need_s, abs=1e-5)
        assert one.verdict == whole.verdict
        assert one.trouble == ""


def at_one(terminal: tuple[str, str], load: tuple[str, str] = ("plotter", "supply")) -> EventAtTap:
    place = TerminalRef(part=terminal[0], terminal=terminal[1])
    return event_at_taps(small(), "starting", "start", load, ("plotter", "supply"), [place])[0]


def test_a_place_that_refuses_the_lead_says_why() -> None:
    refused = at_one(("nowhere", "stud"))

    assert refused.lowest is None
    assert refused.verdict == "limit-not-known"
    assert "nowhere" in refused.trouble


def test_a_load_that_gets_nothing_there_has_no_figures() -> None:
    """The starter itself is pressed, not looked at."""
    unseen = at_one(("battery", "positive"), ("starter", "supply"))

    assert unseen.lowest is None
    assert unseen.trouble == "It is off, or no source reaches it here."


def test_an_unknown_event_is_refused() -> None:
    with pytest.raises(UnknownModeError):
        event_at_taps(small(), "starting", "none", PILOT, PILOT, [])

"""The best tap of a load is advice: never a place that the list of the same lead bars (decision 9)."""

import pytest

from server.actions import answers
from server.actions.judged_taps import judged
from server.actions.pick_ups import lead_ends
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.parts import Busbar, Panel, Post
from server.checks.ground import Ground
from server.engine.analysis import analyse_mode, pick_up
from server.engine.answer import EventAnswer, InputAnswer, TapAnswer
from tests.engine.demo import demo_boat

EVENTS = (
    ("1-sloop", "starting"),
    ("2-trawler", "anchoring"),
    ("3-workboat", "starting"),
    ("4-outboard", "starting"),
)


def advised(boat: Boat, mode: str) -> list[tuple[InputAnswer, EventAnswer]]:
    """The loads of a mode with an event in which a best tap is told."""
    solved = answers.whole_answer(Results(), "sha", boat, mode)
    return [(load, seen) for load in solved.loads for seen in load.events if seen.best_tap is not None]


def at_best_tap(boat: Boat, mode_id: str, load: InputAnswer, seen: EventAnswer) -> list[TapAnswer]:
    """What picking up either lead says of the best tap."""
    ground = Ground(boat, next(mode for mode in boat.modes if mode.id == mode_id))
    return [
        tap
        for terminal in lead_ends(boat, load.part, load.input)
        for tap in judged(ground, pick_up(boat, load.part, terminal, mode_id, seen.event)).taps
        if seen.best_tap in {tap.terminal, *tap.same_as}
    ]


@pytest.mark.parametrize(("name", "mode"), EVENTS)
def test_no_best_tap_is_barred_where_the_lead_is_picked_up(name: str, mode: str) -> None:
    """It breaks nothing, is protected, fits the device before it, makes nothing restart."""
    boat = demo_boat(name)
    found = advised(boat, mode)

    assert found
    for load, seen in found:
        assert any(
            not tap.breaks
            and tap.protected
            and tap.others.restarts_after <= tap.others.restarts_before
            and (tap.present or tap.rank is not None)
            for tap in at_best_tap(boat, mode, load, seen)
        ), (load.id, seen.best_tap)


@pytest.mark.parametrize(("name", "mode"), EVENTS)
def test_a_best_tap_is_made_for_leads_or_holds_one_now(name: str, mode: str) -> None:
    """Bars, posts and panels, as mends have it; or the lead stays where it lies."""
    boat = demo_boat(name)
    parts = {part.id: part for part in boat.parts}
    for load, seen in advised(boat, mode):
        assert seen.best_tap is not None
        made_for_leads = isinstance(parts[seen.best_tap.part], Busbar | Post | Panel)
        assert made_for_leads or any(tap.present for tap in at_best_tap(boat, mode, load, seen))


def test_the_most_volts_are_not_advised_where_a_lead_would_burn() -> None:
    """The trawler's radar: most volts on the start bus, whose fuse is for a far thicker cable."""
    boat = demo_boat("2-trawler")
    radar = next(one for one in analyse_mode(boat, "anchoring").loads if one.part == "radar")
    by_volts = next(seen for seen in radar.events if seen.event == "windlass-break-out")
    best = next(seen for load, seen in advised(boat, "anchoring") if load.part == "radar")

    assert by_volts.best_tap is not None
    assert by_volts.best_tap.part == "start-bus"
    assert any("device-too-large" in tap.breaks for tap in at_best_tap(boat, "anchoring", radar, by_volts))
    assert best.best_tap != by_volts.best_tap

"""The switching page: combinations, turns, what stays alive, the way to all off."""

import pytest
from fastapi.testclient import TestClient

from server.actions.switching import SwitchingFacts, TurnFact, switching_facts
from server.web.views.controls import HeadView
from server.web.views.switching import SwitchingView, switching_view
from tests.engine.test_switching import boat_of, selector_boat
from tests.web.reading import element, words

HEAD = HeadView("Boat", "", "", ())


def view_of(facts: SwitchingFacts) -> SwitchingView:
    return switching_view("Switching", HEAD, (), facts)


def test_the_sloop_shows_its_selector_and_what_stays_alive(bystander: TestClient) -> None:
    html = bystander.get("/boats/sloop/switching?mode=starting").text

    assert "Battery selector: 1 → BOTH" in words(html)
    assert "may be made" in words(html)
    assert "Cabin heater: Runs on to cool down" in words(element(html, "stays"))
    assert "79 to 101 V" in words(html)
    assert words(element(html, "combinations")).count("(now)") == 1


def test_switching_the_outboard_boat_off_says_to_stop_the_engine(bystander: TestClient) -> None:
    html = bystander.get("/boats/outboard/switching?mode=under-way").text

    assert "stop the engine first" in words(element(html, "turns"))
    assert "No order of turns to all off" in words(html)


def test_a_mode_that_does_not_exist_is_said_and_nothing_else(bystander: TestClient) -> None:
    answer = bystander.get("/boats/sloop/switching?mode=nowhere")

    assert answer.status_code == 200
    assert "This boat has no such mode" in answer.text
    assert 'id="turns"' not in answer.text


def test_a_turn_that_loses_the_battery_on_the_way_says_how_sure_that_is() -> None:
    certain = TurnFact("Selector", "1", "2", ("Alternator",), (), certain=True)
    unsure = TurnFact("Selector", "1", "2", ("Alternator",), (), certain=False)
    after = TurnFact("Selector", "1", "OFF", (), ("Alternator",), certain=True)
    facts = SwitchingFacts(("Selector",), (), (certain, unsure, after), (), ("Alternator",), (), None)

    view = view_of(facts)

    assert [(turn.mark, turn.word) for turn in view.turns] == [
        ("▲", "stop the engine first"),
        ("▲", "stop the engine first, or ask the maker"),
        ("▲", "stop the engine first"),
    ]
    assert view.turns[0].why == "Alternator loses its battery on the way: the switch breaks before it makes."
    assert view.turns[2].why == "Alternator then has no battery."
    assert view.way_title == "Every battery switch is off already."
    assert "not published for this system voltage" in view.load_dump


def test_a_selector_reads_its_combinations_in_words() -> None:
    facts = switching_facts(selector_boat(), None)
    view = view_of(facts)

    rows = {row.positions[0]: row for row in view.combinations}
    assert (rows["Off"].alive, rows["Off"].dead, rows["Off"].alone) == ("none", "all", "Alternator")
    assert (rows["1"].alive, rows["1"].dead, rows["1"].now) == ("all", "none", "now")
    assert rows["BOTH"].banks in {"1 and 2", "2 and 1"}
    assert view.stays == ()
    assert view.way == ()


def test_a_boat_without_battery_switches_says_so() -> None:
    view = view_of(switching_facts(boat_of([], []), None))

    assert view.problem == "This boat has no part that is marked as a battery switch."
    assert view.combinations == ()
    assert view.way_title == ""


@pytest.mark.parametrize("boat", ["trawler", "workboat", "large-yacht"])
def test_every_demo_boat_has_its_page(bystander: TestClient, boat: str) -> None:
    answer = bystander.get(f"/boats/{boat}/switching?mode=under-way")

    assert answer.status_code == 200
    assert 'id="combinations"' in answer.text
    assert "In this order all can be turned off" in answer.text

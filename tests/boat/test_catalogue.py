"""Parts by the trade's words: every word makes its part, and what is not known is left out."""

import pytest
from pydantic import ValidationError

from server.boat.catalogue import CATALOGUE, Answers, Entry, Made, Question
from server.boat.devices import Motor
from server.boat.parts import AnyPart, Battery, Contact, Load, MeasuringShunt, Outboard, Panel
from server.boat.terminals import terminals


def usual(asked: Question) -> str | float | None:
    """What stands in a field beforehand, or five where something is needed."""
    if asked.kind in {"choice", "lines"}:
        return asked.usual
    return float(asked.usual) if asked.usual else 5.0 if asked.needed else None


def made(word: str, answers: Answers | None = None) -> AnyPart:
    """The part of a word with usual answers."""
    entry = CATALOGUE[word]
    usually = {asked.key: usual(asked) for asked in entry.questions}
    return entry.part(Made("thing", "Thing", 12.0, usually | dict(answers or {})))


@pytest.mark.parametrize("entry", CATALOGUE.values(), ids=lambda entry: entry.word)
def test_every_word_makes_a_part_with_terminals(entry: Entry) -> None:
    part = made(entry.word)

    assert (part.id, part.name) == ("thing", "Thing")
    assert terminals(part)


def test_a_battery_without_a_cranking_rating_states_no_standard_for_it() -> None:
    without, rated = made("battery"), made("battery", {"cranking_a": 640.0, "use": "start"})
    assert isinstance(without, Battery)
    assert isinstance(rated, Battery)

    assert (without.cranking_a, without.cranking_standard) == (None, None)
    assert (rated.cranking_standard, rated.bank) == ("sae", "Start")


def test_a_panels_lines_become_its_ways() -> None:
    """Name and rating on a line, with a comma, a semicolon or nothing between, the unit typed or not."""
    lines = "Chart plotter, 5\nVHF 10 A\n\nSpare\n7.5\nDeck light; 2,5"
    panel = made("panel", {"ways": lines, "devices": "blade", "bar": "no"})
    assert isinstance(panel, Panel)
    ways = [(way.name, way.device.rating_a if way.device else None) for way in panel.sections[0].ways]

    assert ways == [
        ("Chart plotter", 5.0),
        ("VHF", 10.0),
        ("Spare", None),
        ("Way 4", 7.5),
        ("Deck light", 2.5),
    ]
    assert [way.device_kind for way in panel.sections[0].ways] == ["fuse"] * 5
    assert len(panel.sections) == 1


def test_a_shunts_millivolts_become_volts() -> None:
    shunt = made("shunt")
    assert isinstance(shunt, MeasuringShunt)

    assert (shunt.rated_current_a, shunt.rated_voltage_v) == (500.0, 0.05)


def test_switches_have_the_positions_of_their_names() -> None:
    selector, switch = made("selector", {"cranking_a": 900.0}), made("battery-switch")
    assert isinstance(selector, Contact)
    assert isinstance(switch, Contact)

    assert [one.id for one in selector.positions] == ["off", "one", "both", "two"]
    assert (selector.cranking_a, switch.is_battery_switch) == (900.0, True)


def test_a_starter_says_its_inrush_only_where_it_is_known() -> None:
    starter = made("starter", {"inrush_a": 366.0})
    assert isinstance(starter, Load)
    demand = starter.inputs[0].demand
    assert isinstance(demand, Motor)
    outboard = made("outboard", {"inrush_a": 200.0})
    assert isinstance(outboard, Outboard)

    assert (starter.heavy, demand.inrush_current_a) == (True, 366.0)
    assert outboard.starter.inrush_current_a == 200.0


def test_what_a_device_needs_is_kept_with_where_it_comes_from() -> None:
    radio = made("radio", {"needs_v": 9.6})
    assert isinstance(radio, Load)

    assert radio.inputs[0].minimum_voltage_v == 9.6
    assert radio.inputs[0].limit_source


def test_an_answer_that_does_not_fit_is_refused() -> None:
    with pytest.raises(ValidationError):
        made("battery", {"chemistry": "lemon"})
    with pytest.raises(ValueError, match="is no figure"):
        made("shunt", {"rated_mv": None})

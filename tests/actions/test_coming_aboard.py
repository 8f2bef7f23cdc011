"""Rows that speak of a part before it is aboard, and that part put in."""

import pytest

from server.actions.coming_aboard import guessed_word, met_by_loose_ends, part_name, ways_spoken_of
from server.actions.fitting import part_edit
from server.actions.survey_list import rows_of
from server.actions.survey_rows import SurveyRow
from server.boat.boat import Boat
from server.boat.catalogue import CATALOGUE
from server.boat.edits import apply
from server.boat.parts import Fuse
from server.boat.references import broken_references
from tests.actions.test_survey_rows import HULL, put


def come(boat: Boat, word: str, name: str, **answers: str | float | None) -> tuple[Boat, int]:
    """The boat with a part put in, and how many loose ends lie on it."""
    met = met_by_loose_ends(boat, part_edit(boat, CATALOGUE[word], name, answers))
    return apply(boat, met.edit), met.ends


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("Windlass", "windlass"),
        ("bilge pump 2", "bilge-pump"),
        ("nav lights", "navigation-lights"),
        ("Plotter", "electronics"),
        ("bow thruster", "thruster"),
        ("Gizmo", "electronics"),
        ("VHF", "radio"),
        ("heads light", "lights"),
        ("9", "electronics"),
    ],
)
def test_the_word_of_the_trade_is_guessed_from_the_name(name: str, word: str) -> None:
    assert guessed_word(CATALOGUE, name) == word


@pytest.mark.parametrize(
    ("text", "name"),
    [("Windlass +", "Windlass"), ("Windlass: negative", "Windlass"), ("VHF neg", "VHF"), ("+", "+")],
)
def test_a_part_is_called_as_its_end_without_the_pole(text: str, name: str) -> None:
    assert part_name(text) == name


def test_loose_ends_that_speak_of_a_part_lie_on_it_once_it_is_aboard() -> None:
    rows = (
        SurveyRow(number="1", tail="Battery", head="Windlass", colour="red"),
        SurveyRow(number="2", tail="Windlass -", head="Battery", colour="black"),
        SurveyRow(number="3", tail="somewhere", head="Battery", colour="black"),
        SurveyRow(number="4", tail="Windlass", what="sense"),
    )
    boat, ends = come(put(HULL, *rows), "windlass", "Windlass", running_a=80.0)
    shown = {one.number: one for one in rows_of(boat)}

    assert ends == 2
    assert shown["1"].head.startswith("Windlass: ")
    assert shown["2"].tail == "Windlass: negative"
    assert (shown["3"].tail, shown["4"].tail) == ("somewhere", "Windlass")
    assert broken_references(boat) == ()


def test_a_fuse_that_had_nothing_to_sit_on_sits_on_it_now() -> None:
    rows = (SurveyRow(number="1", tail="Start battery +", head="bus", fuse="40"),)
    begun = put(HULL, *rows)
    boat, ends = come(begun, "battery", "Start battery", chemistry="agm", nominal_v=12.0, use="start")

    assert not any(isinstance(one, Fuse) for one in begun.parts)
    assert ends == 1
    assert [one.rating_a for one in boat.parts if isinstance(one, Fuse)] == [40.0]
    assert rows_of(boat)[0] == SurveyRow(
        number="1", tail="Start battery: positive", head="Bus: stud 1", fuse="40"
    )


def test_the_ways_of_a_panel_are_called_as_the_rows_that_begin_there() -> None:
    rows = (
        SurveyRow(number="1", tail="panel", what="VHF"),
        SurveyRow(number="2", tail="Panel +", what="Plotter"),
        SurveyRow(number="3", tail="Panel"),
        SurveyRow(number="4", tail="Panel", what="VHF"),
        SurveyRow(number="5", tail="Bus", what="Lamp"),
    )

    assert ways_spoken_of(put(HULL, *rows), "Panel") == "VHF\nPlotter"


def test_a_part_of_which_no_row_speaks_comes_alone() -> None:
    boat, ends = come(put(HULL, SurveyRow(number="1", tail="somewhere")), "post", "Post")

    assert ends == 0
    assert boat.parts[-1].name == "Post"

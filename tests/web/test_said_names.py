"""Names told apart: semicolons between names with commas, cores of one cable by their ends."""

import pytest

from server.actions.findings import all_findings
from server.actions.results import Results
from server.checks.words import agreed, listed, owned
from server.web.views.finding_filter import FindingFilter, filter_view
from tests.engine.demo import demo_boat


def test_names_that_hold_a_comma_are_parted_by_semicolons() -> None:
    assert listed(["Plotter, flybridge", "Plotter"]) == "Plotter, flybridge; Plotter"
    assert listed(["VHF radio", "Plotter"]) == "VHF radio, Plotter"


@pytest.mark.parametrize(
    ("name", "verb", "owner"),
    [
        ("the cabin lights", "are", "the cabin lights'"),
        ("the windlass", "is", "the windlass's"),
        ("the house bus", "is", "the house bus's"),
        ("the radar", "is", "the radar's"),
    ],
)
def test_a_name_of_several_takes_its_own_verb_and_owner(name: str, verb: str, owner: str) -> None:
    assert (agreed(name, "is", "are"), owned(name)) == (verb, owner)


def test_the_list_of_parts_and_conductors_says_no_name_twice() -> None:
    boat = demo_boat("1-sloop")
    view = filter_view(boat, all_findings(Results(), "1-sloop", boat), FindingFilter(), "/", ())
    labels = [one.label for one in next(one for one in view.lists if one.name == "of_part").options]

    assert "Cable 41, House positive bus to Cabin heater" in labels
    assert len(labels) == len(set(labels))

"""A loose engine strap, and the thin bonding wire that the starter's current then takes."""

import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.finding import Finding
from server.bundled import bundled
from server.checks.one_lost import burning_in_its_place
from server.engine.analysis import analyse_mode
from tests.engine.boats import boat
from tests.engine.test_one_lost import bonded


def found(one: Boat) -> list[Finding]:
    return list(burning_in_its_place(one, analyse_mode(one, "starting")))


def test_the_bonding_wire_reaches_its_limit_within_the_start() -> None:
    """IEC 60949: t = (k S / I)², k = 87.6 for 105 °C insulation, S = 1.31 mm²."""
    (one,) = found(bonded())

    assert (one.code, one.severity, one.subjects) == ("burns-in-its-place", "advice", ("w-bond", "w-strap"))
    assert one.figure is not None
    seconds = (87.6 * 1.31 / one.figure.value) ** 2
    assert seconds < 2
    assert one.message.endswith(f"its insulation is at its limit after about {seconds:.1g} s.")
    assert (
        "When the engine starts with the conductor from the engine to the negative bar loose" in one.message
    )


@pytest.mark.parametrize(("rating_c", "k"), [(None, 87.6), (60.0, 115.0), (75.0, 100.0), (90.0, 100.0)])
def test_insulation_is_taken_for_the_least_that_its_rating_allows(rating_c: float | None, k: float) -> None:
    plain = bonded()
    conductors = tuple(
        one.model_copy(update={"insulation_c": rating_c}) if one.id == "w-bond" else one
        for one in plain.conductors
    )
    (one,) = found(plain.model_copy(update={"conductors": conductors}))

    assert one.figure is not None
    assert f"about {(k * 1.31 / one.figure.value) ** 2:.1g} s" in one.message


def test_where_there_is_no_other_way_nothing_burns_and_the_demo_boats_have_none() -> None:
    assert found(boat()) == []
    for path in sorted(bundled("seed_boats").glob("[1-4]*.json")):
        one = read_boat(path.read_bytes())
        for mode in one.modes:
            assert list(burning_in_its_place(one, analyse_mode(one, mode.id))) == []

"""The adiabatic limit against IEC 60364's printed values."""

import math

import pytest

from server.practice.tables import rows
from server.practice.withstand import (
    UnknownInsulationError,
    adiabatic_k,
    let_through_limit,
    published_k,
    time_to_rating,
    withstand,
)


@pytest.mark.parametrize("row", rows("adiabatic_k"), ids=lambda row: row["key"])
def test_printed_k_values_follow_from_the_formula(row: dict[str, str]) -> None:
    """IEC 60364-4-43 against IEC 60949."""
    computed = adiabatic_k(float(row["initial_c"]), float(row["final_c"]))

    assert float(row["k"]) == pytest.approx(computed, abs=0.25)


@pytest.mark.parametrize(("insulation", "k"), [("pvc-70", 115), ("xlpe-90", 143)])
def test_k_of_the_common_insulations(insulation: str, k: float) -> None:
    """IEC 60364-4-43 Table 43A; 115 and 143 also seen in NBR 5410 and a cable data sheet."""
    published = published_k(insulation)

    assert (published.value, published.status) == (k, "verified")


def test_an_insulation_without_a_k_is_not_guessed() -> None:
    with pytest.raises(UnknownInsulationError, match="paper"):
        published_k("paper")


def test_a_conductor_with_a_k_survives_k_squared_s_squared() -> None:
    """2.5 mm² PVC: 82 656 A²s; a 575 A fault for a quarter of a second brings it just to its limit."""
    limit = let_through_limit(115, 2.5)

    assert limit == pytest.approx(82656, abs=1)
    assert math.sqrt(limit / 0.25) == pytest.approx(575)


def test_a_fault_that_does_not_heat_is_refused() -> None:
    with pytest.raises(ValueError, match="not above"):
        adiabatic_k(160, 160)


@pytest.mark.parametrize(
    ("rating_c", "least", "most"),
    [(None, 87.6, 143), (60, 115, 143), (70, 115, 143), (75, 100, 143), (90, 100, 143), (105, 87.6, 134.8)],
)
def test_a_rating_leaves_open_what_the_insulation_is_made_of(
    rating_c: float | None, least: float, most: float
) -> None:
    """Thermoplastic at least, cross-linked at most (IEC 60364-4-43 Table 43A, IEC 60949)."""
    found = withstand(rating_c)

    assert (found.least.value, found.most.value) == (least, most)


def test_a_rating_between_two_rows_is_never_taken_for_more_than_its_own_formula_gives() -> None:
    """What is rated higher than 105 °C is cross-linked and ends higher than the 160 °C of this bound."""
    for rating in range(60, 126, 5):
        assert withstand(rating).least.value <= adiabatic_k(min(rating, 105), 160) + 0.25


def test_a_conductor_burns_between_the_times_of_both_insulations() -> None:
    """By (k S / I)² 2.5 mm² at 575 A is at its limit after 0.25 s with 115 and 0.387 s with 143."""
    earliest, latest = withstand(70).burns_after(575, 2.5)

    assert earliest == pytest.approx(0.25, rel=1e-3)
    assert latest == pytest.approx(0.25 * (143 / 115) ** 2, rel=1e-3)
    assert withstand(70).burns_after(0, 2.5) == (math.inf, math.inf)


def test_heating_to_the_rating_starts_from_what_was_carried_before() -> None:
    """IEC 60949 from 30 to 105 °C: k = 112.9; full load leaves no time, half load starts at 48.75 °C."""
    cold = time_to_rating(100, 10, 105, 30)
    half = time_to_rating(100, 10, 105, 30, before_a=30, ampacity_a=60)

    assert cold == pytest.approx((112.92 * 10 / 100) ** 2, rel=1e-3)
    assert half == pytest.approx((adiabatic_k(48.75, 105) * 10 / 100) ** 2)
    assert time_to_rating(100, 10, 105, 30, before_a=60, ampacity_a=60) == 0.0
    assert time_to_rating(100, 10, 105, 30, before_a=90, ampacity_a=60) == 0.0

"""The adiabatic limit against IEC 60364's printed values."""

import math

import pytest

from server.practice.tables import rows
from server.practice.withstand import adiabatic_k, let_through_limit, published_k


@pytest.mark.parametrize("row", rows("adiabatic_k"), ids=lambda row: row["key"])
def test_printed_k_values_follow_from_the_formula(row: dict[str, str]) -> None:
    """IEC 60364-4-43 against IEC 60949."""
    computed = adiabatic_k(float(row["initial_c"]), float(row["final_c"]))

    assert float(row["k"]) == pytest.approx(computed, abs=0.25)


@pytest.mark.parametrize(("insulation", "k"), [("pvc-70", 115), ("xlpe-90", 143)])
def test_k_of_the_common_insulations(insulation: str, k: float) -> None:
    """IEC 60364-4-43 Table 43A; 115 and 143 also seen in NBR 5410 and a cable data sheet."""
    published = published_k(insulation)

    assert published is not None
    assert (published.value, published.status) == (k, "verified")


def test_an_insulation_without_a_k_is_not_guessed() -> None:
    assert published_k("paper") is None


def test_a_conductor_with_a_k_survives_k_squared_s_squared() -> None:
    """2.5 mm² PVC: 82 656 A²s; a 575 A fault for a quarter of a second brings it just to its limit."""
    limit = let_through_limit(115, 2.5)

    assert limit == pytest.approx(82656, abs=1)
    assert math.sqrt(limit / 0.25) == pytest.approx(575)


def test_a_fault_that_does_not_heat_is_refused() -> None:
    with pytest.raises(ValueError, match="not above"):
        adiabatic_k(160, 160)

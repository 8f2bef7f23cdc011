"""Ampacities against 33 CFR 183.425 and the physics behind them."""

import math

import pytest

from server.practice.ampacity import (
    INSULATION_RATINGS_C,
    ambient,
    ampacity,
    bundling_factor,
    engine_space_factor,
    smallest_for_current,
    table5,
)
from server.practice.sizes import awg_area_mm2, size
from server.practice.sourced import NoFigure, Sourced
from server.practice.tables import rows

GAUGES = [row["gauge"] for row in rows("table5_ampacity")]


def amperes(answer: Sourced | NoFigure | None) -> float:
    assert isinstance(answer, Sourced)
    return answer.value


def test_no_10_with_105_degree_insulation_carries_60_amperes() -> None:
    """33 CFR 183.425 Table 5."""
    answer = ampacity(size("10 AWG"), 105, "abyc-e11")

    assert isinstance(answer, Sourced)
    assert (answer.value, answer.unit, answer.status) == (60, "A", "verified")


def test_no_4_in_an_engine_space_carries_136_amperes() -> None:
    """33 CFR 183.425 Table 5 note 1, as listed in the reprint "Wire Heat Ratings"."""
    answer = ampacity(size("4 AWG"), 105, "33-cfr-183", engine_space=True)

    assert amperes(answer) == pytest.approx(136)
    assert isinstance(answer, Sourced)
    assert answer.may_decide


def test_a_factor_from_memory_marks_the_answer() -> None:
    answer = ampacity(size("4 AWG"), 75, "33-cfr-183", engine_space=True)

    assert isinstance(answer, Sourced)
    assert answer.value == pytest.approx(125 * 0.75)
    assert not answer.may_decide


@pytest.mark.parametrize("rating", INSULATION_RATINGS_C)
def test_table_5_grows_with_the_conductor_as_cooling_does(rating: int) -> None:
    """Heat balance: current goes with the area to a power between 1/2 (no surface) and 3/4 (full surface)."""
    column = [amperes(table5(gauge, rating)) for gauge in GAUGES]
    span = math.log(column[-1] / column[0]) / math.log(awg_area_mm2("4/0") / awg_area_mm2("18"))

    assert column == sorted(set(column))
    assert 0.5 < span < 0.75


@pytest.mark.parametrize("gauge", GAUGES)
def test_table_5_grows_with_the_insulation_as_the_square_root_of_the_temperature_rise(gauge: str) -> None:
    """I ~ √(T - 30 °C) from the 60 °C column; the table is rounded to 5 A and more cautious when hot."""
    row = [amperes(table5(gauge, rating)) for rating in INSULATION_RATINGS_C]

    assert row == sorted(row)
    for rating, current in zip(INSULATION_RATINGS_C, row, strict=True):
        by_heating = row[0] * math.sqrt((rating - 30) / (60 - 30))
        assert current < by_heating * 1.15 + 5
        assert current > by_heating * (0.85 if rating <= 125 else 0.65) - 5


@pytest.mark.parametrize("rating", INSULATION_RATINGS_C)
def test_engine_space_factors_follow_the_temperature_rise_left(rating: int) -> None:
    """√((T - 50) / (T - 30)) within 0.01, but for 200 °C, where the table has 1.00 and the rule 0.94."""
    factor = amperes(engine_space_factor(rating))
    rule = math.sqrt((rating - 50) / (rating - 30))

    assert factor == pytest.approx(rule, abs=0.07 if rating == 200 else 0.01)
    assert factor <= 1


def test_only_the_105_degree_engine_space_factor_is_verified() -> None:
    statuses = {rating: engine_space_factor(rating) for rating in INSULATION_RATINGS_C}

    assert [r for r, f in statuses.items() if isinstance(f, Sourced) and f.may_decide] == [105]


def test_insulation_between_two_columns_is_read_in_the_lower_one() -> None:
    assert table5("10", 70) == table5("10", 60)
    assert engine_space_factor(100) == engine_space_factor(90)


def test_what_the_table_does_not_hold_is_answered_with_a_reason() -> None:
    assert "60 °C" in refused(table5("10", 50))
    assert "5 AWG" in refused(table5("5", 105))
    assert "50 °C" in refused(engine_space_factor(50))
    assert "60 °C" in refused(ampacity(size("10 AWG"), 50, "abyc-e11", engine_space=True))


def refused(answer: Sourced | NoFigure) -> str:
    assert isinstance(answer, NoFigure)
    return answer.reason


def test_metric_and_sae_conductors_and_iso_boats_are_not_judged_by_table_5() -> None:
    """The ISO ampacity table could not be confirmed; SAE gauges have less copper than AWG."""
    assert "table not shipped" in refused(ampacity(size("10 mm²"), 105, "abyc-e11"))
    assert "table not shipped" in refused(ampacity(size("10 AWG"), 105, "iso-10133"))
    assert "SAE 10" in refused(ampacity(size("SAE 10"), 105, "abyc-e11"))


@pytest.mark.parametrize(
    ("conductors", "factor"), [(3, 0.7), (4, 0.6), (6, 0.6), (7, 0.5), (24, 0.5), (25, 0.4), (60, 0.4)]
)
def test_bundles_at_50_volts_and_more_are_derated(conductors: int, factor: float) -> None:
    """33 CFR 183.425 Table 5 note 2, Coast Guard guideline reprint."""
    assert amperes(bundling_factor(conductors, 50, "33-cfr-183")) == factor


def test_note_2_takes_at_least_what_the_shared_surface_costs() -> None:
    """Heat n I² leaves by a surface growing as √n: each conductor may carry n^(-1/4) at the very most."""
    for conductors in (3, 4, 7, 25):
        assert amperes(bundling_factor(conductors, 120, "33-cfr-183")) < conductors**-0.25 + 1e-9


def test_below_50_volts_only_e11_has_a_bundling_factor() -> None:
    """No federal factor below 50 V; E-11 (2008): 0.70 flat, one public document, so from memory."""
    flat = bundling_factor(3, 12, "abyc-e11")

    assert bundling_factor(3, 49.9, "33-cfr-183") is None
    assert isinstance(flat, Sourced)
    assert (flat.value, flat.may_decide) == (0.7, False)
    assert bundling_factor(2, 120, "33-cfr-183") is None


def test_engine_space_and_bundle_multiply() -> None:
    answer = ampacity(
        size("4 AWG"), 105, "33-cfr-183", engine_space=True, bundled_conductors=5, circuit_v=110
    )

    assert amperes(answer) == pytest.approx(160 * 0.85 * 0.6)


def test_the_smallest_conductor_for_a_current_is_the_next_in_the_table() -> None:
    """Table 5, 105 °C: 12 AWG 45 A, 10 AWG 60 A (51 A in an engine space), 8 AWG 80 A."""
    assert smallest_for_current(45, 105, "abyc-e11") == size("12 AWG")
    assert smallest_for_current(46, 105, "abyc-e11") == size("10 AWG")
    assert smallest_for_current(52, 105, "abyc-e11", engine_space=True) == size("8 AWG")
    assert smallest_for_current(446, 105, "abyc-e11") is None
    assert smallest_for_current(10, 105, "iso-10133") is None


@pytest.mark.parametrize(("engine_space", "air_c"), [(False, 30), (True, 50)])
def test_ampacities_are_tabulated_for_the_air_of_the_space(engine_space: bool, air_c: float) -> None:
    """33 CFR 183.425 Table 5: 30 °C; its note 1: 50 °C in engine spaces."""
    found = ambient(engine_space=engine_space)

    assert (found.value, found.unit, found.status) == (air_c, "°C", "verified")

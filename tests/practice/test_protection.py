"""Overcurrent rules against 33 CFR 183.455 and ABYC E-11 as quoted in public."""

from itertools import pairwise

import pytest

from server.practice.batteries import cranking_resistance_bound
from server.practice.profiles import RuleSet
from server.practice.protection import (
    BreakerRole,
    interrupting_capacity,
    location_limit,
    next_standard_rating,
    rating_limit,
    standard_ratings,
)
from server.practice.rules import UnknownRuleError, all_rules, rule, rule_distance, rule_figure
from server.practice.sourced import NoFigure, Sourced
from server.practice.tables import rows


def conductor(current_a: float) -> Sourced:
    return Sourced(value=current_a, unit="A", source="a table", status="verified")


def test_no_14_with_75_degree_insulation_may_have_30_amperes_under_50_volts() -> None:
    """33 CFR 183.455(c)(1): 150 % of Table 5's 20 A."""
    limit = rating_limit(conductor(20), 12, "33-cfr-183")

    assert (limit.limit_a, limit.ceiling_a, limit.status) == (30, 30, "verified")
    assert limit.allows(30)
    assert not limit.allows(30.1)


@pytest.mark.parametrize(("rule_set", "circuit_v"), [("33-cfr-183", 50), ("abyc-e11", 12), ("abyc-e11", 48)])
def test_the_stricter_rules_allow_100_per_cent_or_the_next_standard_rating(
    rule_set: RuleSet, circuit_v: float
) -> None:
    """33 CFR 183.455(c)(2) from 50 V; ABYC E-11 at any voltage. 33 A: next is 35 A, 40 A is not."""
    limit = rating_limit(conductor(33), circuit_v, rule_set)

    assert (limit.limit_a, limit.ceiling_a) == (33, 49.5)
    assert limit.largest_a == 35
    assert [limit.allows(rating) for rating in (30, 33, 35, 40)] == [True, True, True, False]


def test_no_step_up_where_a_standard_rating_equals_the_ampacity() -> None:
    assert not rating_limit(conductor(40), 12, "abyc-e11").allows(45)


def test_the_next_rating_is_refused_above_150_per_cent() -> None:
    """Next above 3.1 A is 5 A, which is 161 %."""
    assert not rating_limit(conductor(3.1), 12, "abyc-e11").allows(5)


def test_iso_allows_no_more_than_the_ampacity_and_says_that_it_is_from_memory() -> None:
    limit = rating_limit(conductor(40), 12, "iso-10133")

    assert (limit.limit_a, limit.ceiling_a, limit.status) == (40, 40, "memory")
    assert not limit.allows(45)


def test_a_verdict_that_rests_on_the_remembered_ratings_inherits_the_mark() -> None:
    limit = rating_limit(conductor(33), 12, "abyc-e11")

    assert limit.status_for(30) == "verified"
    assert limit.status_for(35) == "memory"
    assert limit.status_for(60) == "verified"


def test_standard_ratings_climb_without_large_gaps() -> None:
    """Common practice, no source: neighbouring ratings are at most a factor of two apart."""
    ratings = standard_ratings()

    assert list(ratings) == sorted(set(ratings))
    assert all(high / low <= 2 for low, high in pairwise(ratings))
    assert next_standard_rating(101) == 110
    assert next_standard_rating(601) is None


@pytest.mark.parametrize(
    ("rule_set", "on_battery", "sheathed", "inches", "confirmed"),
    [
        ("abyc-e11", True, True, 72, True),
        ("abyc-e11", True, False, 7, True),
        ("abyc-e11", False, True, 40, True),
        ("abyc-e11", False, False, 7, True),
        ("33-cfr-183", True, True, 72, False),
        ("33-cfr-183", True, False, 72, False),
        ("33-cfr-183", False, True, 40, True),
        ("33-cfr-183", False, False, 7, True),
    ],
)
def test_how_far_the_device_may_sit_from_the_source(
    rule_set: RuleSet, on_battery: bool, sheathed: bool, inches: float, confirmed: bool
) -> None:
    """ABYC E-11 (2008) 11.10.1.1.1 and 33 CFR 183.455; 183.460's 72 in is from memory."""
    limit = location_limit(rule_set, on_battery=on_battery, sheathed=sheathed)

    assert limit is not None
    assert limit.value == pytest.approx(inches * 0.0254)
    assert limit.may_decide == confirmed


def test_iso_asks_for_200_mm_or_a_sheath_all_the_way() -> None:
    """ISO 10133:2000 8.1, partly read, so from memory."""
    near = location_limit("iso-10133", on_battery=True, sheathed=False)

    assert near is not None
    assert (near.value, near.may_decide) == (0.2, False)
    assert location_limit("iso-10133", on_battery=True, sheathed=True) is None


@pytest.mark.parametrize(
    ("rule_id", "printed_m"),
    [("e11-7in", 0.175), ("e11-72in", 1.83), ("e11-40in", 1.02), ("e11-support", 0.455)],
)
def test_inch_rules_are_the_metric_figures_printed_beside_them(rule_id: str, printed_m: float) -> None:
    """ABYC E-11 prints rounded metric equivalents beside its inches."""
    assert rule_distance(rule_id).value == pytest.approx(printed_m, rel=0.02)


def test_rules_are_found_by_their_id_and_unknown_ones_refused() -> None:
    assert rule_figure("e11-stud").value == 4
    assert len({r.id for r in all_rules()}) == len(all_rules())
    assert rule("e11-starter").figure is None
    with pytest.raises(UnknownRuleError, match="no rule"):
        rule("e99")
    with pytest.raises(UnknownRuleError, match="no number"):
        rule_figure("e11-starter")
    with pytest.raises(UnknownRuleError, match="not a distance"):
        rule_distance("e11-stud")


@pytest.mark.parametrize(
    ("cca", "role", "amperes"),
    [
        (900, "main", 3000),
        (900, "branch", 1500),
        (650, "main", 1500),
        (650, "branch", 750),
        (651, "main", 3000),
        (1100, "branch", 1500),
        (1101, "main", 5000),
        (2200, "branch", 2500),
    ],
)
def test_interrupting_capacity_by_cranking_rating(cca: float, role: BreakerRole, amperes: float) -> None:
    """ABYC E-11 table for 12 and 24 V, as reprinted."""
    for nominal_v in (12, 24):
        answer = interrupting_capacity(role, cca, nominal_v)
        assert isinstance(answer, Sourced)
        assert (answer.value, answer.may_decide) == (amperes, True)


def test_the_interrupting_table_follows_from_what_cold_cranking_means() -> None:
    """SAE J537: (12.6 - 7.2) V / CCA bounds the resistance, so a short draws 2.3 A per CCA or more."""
    for row in rows("interrupting_capacity")[:2]:
        cca = float(row["cca_to"])
        by_definition = 12.6 / cranking_resistance_bound(cca).value
        assert by_definition * 0.95 < float(row["main_a"]) < by_definition * 1.25
        assert float(row["branch_a"]) * 2 == float(row["main_a"])


def test_the_32_volt_rows_are_from_memory() -> None:
    answer = interrupting_capacity("main", 1000, 32)

    assert isinstance(answer, Sourced)
    assert (answer.value, answer.may_decide) == (3000, False)


@pytest.mark.parametrize(
    ("cca", "capacity_ah"),
    [(None, 100), (2201, None), (1000, 501)],
    ids=["no rating", "large", "large by Ah"],
)
def test_banks_outside_the_table_are_sent_to_the_makers_figure(
    cca: float | None, capacity_ah: float | None
) -> None:
    """Later E-11 editions: above 2200 CCA or 500 Ah the battery maker's short-circuit rating counts."""
    answer = interrupting_capacity("main", cca, 12, capacity_ah)

    assert isinstance(answer, NoFigure)
    assert "short-circuit figure" in answer.reason

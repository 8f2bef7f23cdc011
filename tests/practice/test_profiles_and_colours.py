"""Practice profiles and conductor colours."""

from typing import get_args

from server.practice.colours import colour_rule, colour_rules
from server.practice.profiles import PROFILES, RULE_SET_TITLES, ProfileKey, RuleSet, profile


def test_each_profile_is_found_by_its_key() -> None:
    assert tuple(p.key for p in PROFILES) == get_args(ProfileKey)
    assert [profile(p.key) for p in PROFILES] == list(PROFILES)


def test_every_rule_set_says_whether_it_is_law_or_standard() -> None:
    assert tuple(RULE_SET_TITLES) == get_args(RuleSet)
    assert all("law" in title or "standard" in title for title in RULE_SET_TITLES.values())


def test_american_practice_counts_drop_from_the_panelboard_beside_the_federal_law() -> None:
    """E-11 counts from the circuit's source, maybe a panelboard; 33 CFR 183 is law for petrol inboards."""
    american = profile("us-recreational")

    assert (american.standard, american.law, american.drop_counted_from) == (
        "abyc-e11",
        "33-cfr-183",
        "panelboard",
    )


def test_metric_practice_counts_from_the_battery_and_admits_that_this_is_from_memory() -> None:
    metric = profile("iso-metric")

    assert (metric.drop_counted_from, metric.drop_origin_status, metric.law) == ("battery", "memory", None)


def test_green_with_yellow_is_kept_for_bonding() -> None:
    """IEC 60445 reserves green-and-yellow for the protective conductor; E-11's trim is "not yellow"."""
    users = [rule.function for rule in colour_rules() if "green with yellow" in rule.colour]

    assert users == ["bonding"]


def test_positive_is_red_and_negative_black_or_yellow() -> None:
    """ABYC E-11 colour code, five public reprints."""
    positive, negative = colour_rule("dc-positive"), colour_rule("dc-negative")

    assert positive is not None
    assert negative is not None
    assert (positive.colour, negative.colour) == ("red", "black or yellow")
    assert negative.status == "verified"
    assert colour_rule("disco-lights") is None


def test_functions_are_listed_once() -> None:
    functions = [rule.function for rule in colour_rules()]

    assert sorted(functions) == sorted(set(functions))

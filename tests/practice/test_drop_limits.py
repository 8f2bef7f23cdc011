"""Drop limits and handbook formulas against published sentences and worked examples."""

from typing import get_args

import pytest

from server.practice.drop_limits import (
    Circuit,
    circular_mil_area_needed,
    circular_mil_drop,
    circular_mils_needed,
    drop_classes,
    drop_limit,
    metric_area_needed,
    metric_drop,
)
from server.practice.sizes import size, smallest_size
from server.practice.tables import rows
from server.units import circular_mils, metres


def per_cent(circuit: Circuit, rule_set: str) -> float:
    limit = drop_limit(circuit, "abyc-e11" if rule_set == "abyc-e11" else "iso-10133")
    assert limit is not None
    return limit.value


def test_10_amperes_over_21_feet_at_3_per_cent_of_12_volts_need_6271_circular_mils() -> None:
    """Trade article "Maintaining Three Percent Voltage Drop": 12 AWG will do, 12 SAE not, 10 SAE will."""
    needed = circular_mils_needed(10, metres(21), 0.36)

    assert needed == pytest.approx(6270.8, abs=0.1)
    assert circular_mils(size("12 AWG").area_mm2) > needed
    assert circular_mils(size("SAE 12").area_mm2) < needed < circular_mils(size("SAE 10").area_mm2)
    assert smallest_size(circular_mil_area_needed(10, metres(21), 0.36), "sae") == size("SAE 10")


def test_the_drop_formula_is_the_size_formula_turned_around() -> None:
    area_mm2 = circular_mil_area_needed(10, metres(21), 0.36)

    assert circular_mil_drop(10, metres(21), area_mm2) == pytest.approx(0.36)


def test_12_amperes_over_5_metres_there_and_back_need_5_95_mm2() -> None:
    """German handbook formula 2 L I / (56 ΔU): 12 A, 5 m, 0.36 V."""
    assert metric_area_needed(12, 2 * 5, 0.36) == pytest.approx(5.95, abs=0.005)
    assert metric_drop(12, 2 * 5, 5.9524) == pytest.approx(0.36, abs=1e-5)


def test_the_american_and_the_metric_formula_agree_within_one_per_cent() -> None:
    """K = 10.75 Ω·cmil/ft is 55.96 m/(Ω·mm²); the metric book rounds to 56."""
    assert metric_drop(20, 12, 16) == pytest.approx(circular_mil_drop(20, 12, 16), rel=0.01)


@pytest.mark.parametrize(
    "circuit", ["panel-feeder", "bilge-blower", "electronics", "navigation-lights", "critical", "bilge-pump"]
)
@pytest.mark.parametrize("rule_set", ["abyc-e11", "iso-10133"])
def test_critical_circuits_may_lose_3_per_cent(circuit: Circuit, rule_set: str) -> None:
    """E-11 sentence quoted in a wire maker's chart; ISO 10133:2012 4.7-4.8 preview adds bilge pumps."""
    assert per_cent(circuit, rule_set) == 3


@pytest.mark.parametrize("circuit", ["lighting", "general", "thruster", "windlass", "winch"])
@pytest.mark.parametrize("rule_set", ["abyc-e11", "iso-10133"])
def test_other_circuits_may_lose_10_per_cent(circuit: Circuit, rule_set: str) -> None:
    """E-11 as above; ISO 13297:2021 names thruster, windlass and winches for 10 %."""
    assert per_cent(circuit, rule_set) == 10


def test_the_federal_rule_has_no_drop_limit() -> None:
    assert drop_limit("electronics", "33-cfr-183") is None
    assert drop_classes("33-cfr-183") == ()


@pytest.mark.parametrize("rule_set", ["abyc-e11", "iso-10133"])
def test_every_kind_of_circuit_has_one_limit(rule_set: str) -> None:
    listed = [row["circuit"] for row in rows("drop_classes") if row["rule_set"] == rule_set]

    assert sorted(listed) == sorted(get_args(Circuit))


def test_a_circuit_that_the_standard_does_not_name_is_not_called_verified() -> None:
    limit = drop_limit("windlass", "abyc-e11")

    assert limit is not None
    assert limit.status == "derived"
    assert "not named" in limit.note

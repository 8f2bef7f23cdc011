"""Copper against published constants and worked examples."""

import pytest

from server.practice.materials import (
    HANDBOOK_CONDUCTIVITY,
    HANDBOOK_K,
    RESISTIVITY_20,
    TEMPERATURE_COEFFICIENT_20,
    ZERO_RESISTANCE_TEMPERATURE,
    conductor_resistance,
    iec_60228_factor_to_20,
    pure_copper_ohm_per_m,
    resistance_at,
    temperature_ratio,
)
from server.units import METRES_PER_FOOT, MM2_PER_CIRCULAR_MIL, metres


def test_copper_at_75_degrees_has_1_2161_times_its_resistance() -> None:
    """FAA AC 43.13-1B par. 11-66: 309.5 / 254.5."""
    assert temperature_ratio(75) == pytest.approx(1.2161, abs=1e-4)
    assert resistance_at(2.0, 75) == pytest.approx(2.4322, abs=2e-4)


def test_39_feet_at_20_degrees_become_32_feet_at_75() -> None:
    """FAA AC 43.13-1B par. 11-66: L2 = 254.5 L1 / (234.5 + T2)."""
    assert 39 / temperature_ratio(75) == pytest.approx(32.07, abs=0.005)


def test_the_ratio_between_two_hot_temperatures_needs_no_detour() -> None:
    assert temperature_ratio(75, 50) == pytest.approx(temperature_ratio(75) / temperature_ratio(50))


def test_the_two_published_temperature_constants_agree() -> None:
    """IEC 60028's 0.00393 per kelvin against the -234.5 °C of FAA and IEC 60949."""
    slope = 1 / (20 - ZERO_RESISTANCE_TEMPERATURE.value)

    assert slope == pytest.approx(TEMPERATURE_COEFFICIENT_20.value, rel=5e-4)


def test_the_measuring_correction_from_75_degrees_is_0_820() -> None:
    """IEC 60228 Annex B tabulates 0.820 for 75 °C and 1.000 for 20 °C."""
    assert iec_60228_factor_to_20(75) == pytest.approx(0.820, abs=5e-4)
    assert iec_60228_factor_to_20(20) == 1


def test_resistivity_is_one_58th() -> None:
    """IEC 60028 (1925): 0.017241 Ω·mm²/m, 58 MS/m."""
    assert RESISTIVITY_20.value == pytest.approx(0.017241, abs=5e-7)
    assert pure_copper_ohm_per_m(10) == pytest.approx(1 / 580)


def test_the_handbook_k_is_copper_at_29_degrees() -> None:
    """ABYC E-11's K = 10.75 Ω·cmil/ft in metric units, against IEC 60028 copper."""
    k_metric = HANDBOOK_K.value * MM2_PER_CIRCULAR_MIL / METRES_PER_FOOT

    assert k_metric == pytest.approx(0.017871, abs=1e-6)
    assert RESISTIVITY_20.value * temperature_ratio(29.3) == pytest.approx(k_metric, rel=2e-4)


def test_the_metric_handbook_conductivity_is_copper_a_little_above_20_degrees() -> None:
    """58 MS/m at 20 °C (IEC 60028) falls to the handbook's 56 near 29 °C."""
    assert 58 / temperature_ratio(29) == pytest.approx(HANDBOOK_CONDUCTIVITY.value, rel=2e-3)


@pytest.mark.parametrize(
    ("current_a", "length_ft", "ohm_per_ft", "drop_v", "tolerance_v"),
    [
        (20, 107, 0.00044, 0.942, 0.001),
        (20, 90, 0.00028, 0.504, 0.001),
        (20, 88, 0.00202, 3.5552, 0.001),
        (20, 100, 0.00306, 6.12, 0.005),
    ],
)
def test_drop_of_a_tinned_conductor_at_20_degrees(
    current_a: float, length_ft: float, ohm_per_ft: float, drop_v: float, tolerance_v: float
) -> None:
    """FAA AC 43.13-1B Chg 1, Table 11-7, rows 1 to 4 (row 3 is printed rounded up, 3.60 V)."""
    resistance = conductor_resistance(metres(length_ft), ohm_per_ft / METRES_PER_FOOT)

    assert current_a * resistance == pytest.approx(drop_v, abs=tolerance_v)

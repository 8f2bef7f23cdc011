"""Exact conversions between units (NIST SP 811, appendix B: foot, inch, circular mil, degree Fahrenheit)."""

import math

import pytest

from server import units


def test_a_foot_is_exactly_0_3048_m() -> None:
    assert units.metres(1.0) == 0.3048
    assert units.feet(0.3048) == 1.0
    assert pytest.approx(units.METRES_PER_FOOT, rel=1e-15) == units.METRES_PER_INCH * 12


def test_a_circular_mil_is_the_area_of_a_circle_a_thousandth_of_an_inch_across() -> None:
    area_mm2 = math.pi / 4 * 0.0254**2

    assert units.square_millimetres(1.0) == pytest.approx(area_mm2, rel=1e-15)
    assert units.circular_mils(area_mm2) == pytest.approx(1.0, rel=1e-15)
    # NIST SP 811 gives 5.067 075e-10 m² to seven digits.
    assert area_mm2 * 1e-6 == pytest.approx(5.067075e-10, rel=1e-7)


def test_water_boils_at_212_and_freezes_at_32_fahrenheit() -> None:
    assert units.fahrenheit(100.0) == 212.0
    assert units.fahrenheit(0.0) == 32.0
    assert units.fahrenheit(-40.0) == -40.0


def test_a_unit_carries_its_symbol() -> None:
    assert units.Unit("Ω").symbol == "Ω"

"""Inductance of cables: closed forms of field theory, and what standards and tables give for cables."""

import math

import pytest

from server.engine.transient.inductance import (
    INSIDE_HENRY_PER_M,
    over_plane_henry_per_m,
    pair_henry_per_m,
    strand_diameter,
    touching_spacing,
    twin_henry_per_m,
)

SPEED_OF_LIGHT = 299_792_458.0
VACUUM_FARAD_PER_M = 8.8541878128e-12


@pytest.mark.parametrize("ratio", [1.3, 2.0, 10.0, 100.0])
def test_a_pair_carries_waves_at_the_speed_of_light(ratio: float) -> None:
    """L'C' = 1/c² for a line in air, with C' = π ε₀ / acosh(D/d) (any textbook on lines)."""
    outside = pair_henry_per_m(0.01, 0.01 * ratio) - 2 * INSIDE_HENRY_PER_M
    capacitance = math.pi * VACUUM_FARAD_PER_M / math.acosh(ratio)

    assert outside * capacitance == pytest.approx(1 / SPEED_OF_LIGHT**2, rel=1e-6)


def test_far_apart_a_pair_is_rosas_two_wires() -> None:
    """Rosa 1908 (from memory): 0.4 (ln(D/r) + 1/4) µH/m for wires far apart."""
    assert pair_henry_per_m(0.002, 0.5) == pytest.approx(0.4e-6 * (math.log(0.5 / 0.001) + 0.25), rel=1e-5)


def test_a_wire_over_a_plane_is_half_of_the_pair_with_its_image() -> None:
    """Method of images: the image lies as deep below the plane as the wire above it."""
    assert over_plane_henry_per_m(0.008, 0.05) == pytest.approx(pair_henry_per_m(0.008, 0.10) / 2)


def test_a_core_of_a_cable_has_what_iec_60364_reckons_with() -> None:
    """IEC 60364-5-52 Annex G, from memory: 0.08 mΩ/m at 50 Hz, 0.255 µH/m for each conductor."""
    annex_g = 0.08e-3 / (2 * math.pi * 50)

    for area_mm2 in (1.3, 2.5, 16.0, 35.0, 70.0):
        assert twin_henry_per_m(area_mm2) == pytest.approx(annex_g, rel=0.25)


@pytest.mark.parametrize(
    ("area_mm2", "copper_mm", "outside_mm"),
    [(2.5, 2.0, 3.6), (16.0, 5.1, 8.5), (35.0, 7.8, 11.5), (70.0, 10.9, 15.5)],
)
def test_strands_and_insulation_are_as_thick_as_usual(
    area_mm2: float, copper_mm: float, outside_mm: float
) -> None:
    """Typical boat cable, from memory."""
    assert strand_diameter(area_mm2) * 1e3 == pytest.approx(copper_mm, rel=0.05)
    assert touching_spacing(strand_diameter(area_mm2)) * 1e3 == pytest.approx(outside_mm, rel=0.06)


def test_wires_cannot_be_in_each_other() -> None:
    with pytest.raises(ValueError, match="closer than their diameter"):
        pair_henry_per_m(0.01, 0.009)
    with pytest.raises(ValueError, match="lower than half its diameter"):
        over_plane_henry_per_m(0.01, 0.004)

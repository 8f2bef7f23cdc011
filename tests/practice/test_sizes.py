"""Conductor sizes against formulas and tables that they were not copied from."""

import pytest

from server.practice.materials import conductor_resistance, pure_copper_ohm_per_m, temperature_ratio
from server.practice.sizes import (
    ConductorSize,
    UnknownSizeError,
    awg_area_mm2,
    class2_ohm_per_m,
    next_size,
    size,
    sizes,
    smallest_size,
)
from server.practice.tables import rows
from server.units import METRES_PER_FOOT, circular_mils, metres

FAA_TINNED_AT_20_OHM_PER_KFT = {
    "18": (6.23, 1900),
    "16": (4.81, 2426),
    "14": (3.06, 3831),
    "12": (2.02, 5874),
    "10": (1.26, 9354),
    "8": (0.70, 16983),
    "6": (0.44, 26818),
    "4": (0.28, 42615),
    "2": (0.18, 66500),
    "1": (0.15, 81700),
    "1/0": (0.12, 104500),
    "2/0": (0.09, 133000),
    "3/0": (0.07, 166500),
    "4/0": (0.06, 210900),
}
"""FAA AC 43.13-1B Table 11-9: largest resistance and circular mils of tinned wire (public domain)."""


def of(system: str) -> list[ConductorSize]:
    return [candidate for candidate in sizes() if candidate.system == system]


def test_35_mm2_reads_as_iec_60228_prints_it() -> None:
    """IEC 60228 class 5: 0.554 Ω/km plain, 0.565 Ω/km tinned, at 20 °C."""
    cable = size("35 mm²")

    assert cable.plain_ohm_per_m == pytest.approx(0.554e-3, rel=1e-12)
    assert cable.ohm_per_m == pytest.approx(0.565e-3, rel=1e-12)
    assert (cable.area_mm2, cable.status) == (35, "verified")


def test_1000_feet_of_2_0_at_75_degrees_read_as_the_nec_prints_them() -> None:
    """NEC chapter 9 Table 8: 0.0967 Ω uncoated, 0.101 Ω coated."""
    cable = size("2/0 AWG")

    assert conductor_resistance(metres(1000), cable.plain_ohm_per_m, 75) == pytest.approx(0.0967)
    assert conductor_resistance(metres(1000), cable.ohm_per_m, 75) == pytest.approx(0.101)
    assert cable.status == "derived"


def test_drop_of_100_feet_of_no_16_there_and_back() -> None:
    """electrician2.com training page on NEC Table 8: 4 A, 24 V, uncoated: 3.992 V, printed 4.0 V."""
    there_and_back = 2 * conductor_resistance(metres(100), size("16 AWG").plain_ohm_per_m, 75)

    assert 4 * there_and_back == pytest.approx(3.992, abs=0.0005)
    assert 4 * there_and_back / 24 == pytest.approx(0.1663, abs=5e-5)


def test_50_feet_at_20_amperes_and_28_volts_need_no_8() -> None:
    """FAA AC 43.13-1B par. 11-66 example 1: within 1 V the chart lies between No. 10 and No. 8."""
    path_m = metres(50)

    assert 20 * conductor_resistance(path_m, size("10 AWG").ohm_per_m) > 1
    assert 20 * conductor_resistance(path_m, size("8 AWG").ohm_per_m) < 1


@pytest.mark.parametrize(
    ("gauge", "area_mm2"),
    [("18", 0.823), ("16", 1.31), ("10", 5.26), ("4", 21.2), ("1/0", 53.5), ("2/0", 67.4), ("4/0", 107.2)],
)
def test_american_gauge_areas_are_the_handbook_ones(gauge: str, area_mm2: float) -> None:
    """HyperPhysics wire gauge table (three figures)."""
    assert awg_area_mm2(gauge) == pytest.approx(area_mm2, rel=3e-3)


@pytest.mark.parametrize("cable", of("awg"), ids=lambda cable: cable.label)
def test_formula_areas_are_the_circular_mils_of_the_nec(cable: ConductorSize) -> None:
    """ASTM B258's formula against NEC chapter 9 Table 8, which rounds to four figures."""
    nec = next(row for row in rows("nec_table8") if row["gauge"] == cable.gauge)

    assert circular_mils(cable.area_mm2) == pytest.approx(float(nec["area_cmil"]), rel=3e-3)


@pytest.mark.parametrize("cable", of("awg"), ids=lambda cable: cable.label)
def test_nec_resistances_are_copper_with_a_little_for_stranding_and_tin(cable: ConductorSize) -> None:
    """IEC 60028 copper of the ASTM B258 area; about 2 % for stranding and 3 to 7 % for tin."""
    solid = pure_copper_ohm_per_m(cable.area_mm2)

    assert 1.01 < cable.plain_ohm_per_m / solid < 1.03
    assert 1.025 < cable.ohm_per_m / cable.plain_ohm_per_m < 1.07


@pytest.mark.parametrize(("gauge", "published"), FAA_TINNED_AT_20_OHM_PER_KFT.items())
def test_tinned_american_sizes_lie_just_under_the_aircraft_wire_limit(
    gauge: str, published: tuple[float, int]
) -> None:
    """Resistance times area against FAA AC 43.13-1B Table 11-9: upper limits, to two digits."""
    ohm_per_kft, area_cmil = published
    cable = size(f"{gauge} AWG")
    ours = cable.ohm_per_m * 1000 * METRES_PER_FOOT * circular_mils(cable.area_mm2)

    assert 0.85 < ours / (ohm_per_kft * area_cmil) < 1.0


@pytest.mark.parametrize("cable", of("metric"), ids=lambda cable: cable.label)
def test_class_5_resistances_are_copper_of_the_nominal_area_with_the_standards_margin(
    cable: ConductorSize,
) -> None:
    """IEC 60228 against IEC 60028: 8 to 17 % more for fine strands, 1 to 4 % more for tin."""
    solid = pure_copper_ohm_per_m(cable.area_mm2)

    assert 1.08 < cable.plain_ohm_per_m / solid < 1.17
    assert 1.01 < cable.ohm_per_m / cable.plain_ohm_per_m < 1.04


@pytest.mark.parametrize("cable", of("metric"), ids=lambda cable: cable.label)
def test_fine_strands_never_beat_coarse_ones_but_for_plain_50_mm2(cable: ConductorSize) -> None:
    """IEC 60228 prints 0.386 for class 5 and 0.387 for class 2 at 50 mm² plain; both are as published."""
    plain = class2_ohm_per_m(cable.area_mm2, tinned=False)
    tinned = class2_ohm_per_m(cable.area_mm2, tinned=True)

    assert plain is not None
    assert tinned is not None
    assert (cable.plain_ohm_per_m > plain.value) == (cable.label != "50 mm²")
    assert cable.ohm_per_m > tinned.value
    assert 1.0 < plain.value / pure_copper_ohm_per_m(cable.area_mm2) < 1.13
    assert 1.002 < tinned.value / plain.value < 1.025


def test_an_area_that_the_standard_does_not_know_has_no_class_2_resistance() -> None:
    assert class2_ohm_per_m(3, tinned=True) is None


@pytest.mark.parametrize("cable", of("sae"), ids=lambda cable: cable.label)
def test_sae_gauges_have_5_to_12_per_cent_less_copper_than_awg(cable: ConductorSize) -> None:
    """Trade article on voltage drop: SAE wire is 5 to 12 % smaller; 4/0, printed 205500 cmil, 3 %."""
    missing = 1 - cable.area_mm2 / awg_area_mm2(cable.gauge)

    assert (0.025 if cable.gauge == "4/0" else 0.05) < missing < 0.12
    assert cable.ohm_per_m * cable.area_mm2 == pytest.approx(
        size(f"{cable.gauge} AWG").ohm_per_m * awg_area_mm2(cable.gauge), rel=3e-3
    )


def test_an_sae_gauge_whose_area_is_from_memory_says_so() -> None:
    assert (size("SAE 10").status, size("SAE 10").area_status) == ("memory", "memory")
    assert (size("SAE 12").status, size("SAE 12").area_status) == ("derived", "verified")


@pytest.mark.parametrize("system", ["awg", "sae", "metric"])
def test_thicker_means_less_resistance(system: str) -> None:
    cables = of(system)

    assert [c.area_mm2 for c in cables] == sorted({c.area_mm2 for c in cables})
    assert [c.ohm_per_m for c in cables] == sorted({c.ohm_per_m for c in cables}, reverse=True)


def test_labels_are_unique_and_found_again() -> None:
    assert [size(cable.label) for cable in sizes()] == list(sizes())
    assert size(" 35 mm2 ") is size("35 mm²")


def test_an_unknown_label_is_refused_with_an_example() -> None:
    with pytest.raises(UnknownSizeError, match="SAE 10"):
        size("7 AWG")


def test_the_next_size_stays_in_its_system_and_ends() -> None:
    assert next_size(size("1 AWG")) == size("1/0 AWG")
    assert next_size(size("SAE 4")) == size("SAE 2")
    assert next_size(size("240 mm²")) is None


def test_the_smallest_size_has_at_least_the_area() -> None:
    assert smallest_size(16, "metric") == size("16 mm²")
    assert smallest_size(16.1, "metric") == size("25 mm²")
    assert smallest_size(1000, "awg") is None


def test_a_hot_conductor_is_the_table_times_the_temperature_ratio() -> None:
    cable = size("10 mm²")

    assert conductor_resistance(3, cable.ohm_per_m, 60) == pytest.approx(
        3 * cable.ohm_per_m * temperature_ratio(60)
    )

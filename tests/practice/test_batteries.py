"""Battery figures against electrochemistry, test definitions and data-sheet ranges."""

from typing import get_args

import pytest

from server.practice.assumptions import default
from server.practice.batteries import (
    Chemistry,
    CrankingDefinition,
    aged_resistance,
    cranking_resistance_bound,
    open_circuit_voltage,
    resistance_from_capacity,
    resistance_from_cranking,
    rest_voltage_table,
    series_count,
    short_circuit_current,
    short_circuit_from_cranking,
    temperature_factor,
)

CHEMISTRIES: tuple[Chemistry, ...] = get_args(Chemistry)


@pytest.mark.parametrize(
    ("soc_percent", "specific_gravity"), [(100, 1.265), (75, 1.225), (50, 1.190), (25, 1.155), (0, 1.120)]
)
def test_flooded_rest_voltage_follows_the_acid(soc_percent: float, specific_gravity: float) -> None:
    """Cell voltage is about specific gravity + 0.84 V (secondary source); gravities from memory, confirm."""
    by_acid = 6 * (specific_gravity + 0.84)

    assert open_circuit_voltage("flooded", soc_percent).value == pytest.approx(by_acid, abs=0.15)


@pytest.mark.parametrize("chemistry", ["flooded", "agm", "gel"])
def test_lead_acid_stays_inside_what_sulphuric_acid_can_give(chemistry: Chemistry) -> None:
    """Bode 1977, six cells: 11.53 V at 1 mol/kg, 12.74 V at 6; starved cells hold up to 0.15 V more."""
    voltages = [v.value for _, v in rest_voltage_table(chemistry)]

    assert 11.53 < voltages[0] < voltages[-1] < 12.74 + 0.15


def test_lithium_sits_on_its_plateau_for_most_of_its_charge() -> None:
    """Published charts: 12.9 to 13.3 V holds 70 to 80 % of a four-cell pack's capacity, within 0.1 V."""
    for soc_percent in range(30, 91, 10):
        assert 12.9 < open_circuit_voltage("lifepo4", soc_percent).value < 13.45
    assert open_circuit_voltage("lifepo4", 0).value == 10


@pytest.mark.parametrize("chemistry", CHEMISTRIES)
def test_rest_voltage_rises_with_charge_and_meets_the_table(chemistry: Chemistry) -> None:
    table = rest_voltage_table(chemistry)
    sweep = [open_circuit_voltage(chemistry, soc).value for soc in range(101)]

    assert sweep == sorted(set(sweep))
    for soc, voltage in table:
        assert open_circuit_voltage(chemistry, soc).value == pytest.approx(voltage.value)


def test_between_two_points_the_voltage_lies_on_the_straight_line() -> None:
    """Halfway from 12.24 V (50 %) to 12.45 V (75 %)."""
    answer = open_circuit_voltage("flooded", 62.5, 24)

    assert answer.value == pytest.approx(2 * (12.24 + 12.45) / 2)
    assert answer.status == "memory"


@pytest.mark.parametrize("soc_percent", [-0.1, 100.1, float("nan")])
def test_a_state_of_charge_outside_0_to_100_is_refused(soc_percent: float) -> None:
    with pytest.raises(ValueError, match="state of charge"):
        open_circuit_voltage("agm", soc_percent)


@pytest.mark.parametrize(
    ("nominal_v", "blocks"),
    [(12, 1), (12.8, 1), (24, 2), (25.6, 2), (36, 3), (38.4, 3), (48, 4), (51.2, 4), (6.4, 0.5), (3.2, 0.25)],
)
def test_lithium_packs_count_whole_blocks_whatever_they_are_called(nominal_v: float, blocks: float) -> None:
    """Cells of 3.2 V: 12.8 V is four of them and sold as 12 V, 51.2 V is sixteen and sold as 48 V."""
    assert series_count("lifepo4", nominal_v) == blocks


def test_lead_acid_counts_cells_of_two_volts() -> None:
    assert [series_count("gel", v) for v in (2, 6, 8, 12, 24)] == pytest.approx([1 / 6, 0.5, 2 / 3, 1, 2])


@pytest.mark.parametrize(("cca", "bound_mohm"), [(500, 10.80), (650, 8.31), (800, 6.75), (1000, 5.40)])
def test_the_cranking_bound_is_the_test_definition(cca: float, bound_mohm: float) -> None:
    """SAE J537: 7.2 V after 30 s at -18 °C, from 12.6 V."""
    bound = cranking_resistance_bound(cca)

    assert bound.value * 1000 == pytest.approx(bound_mohm, abs=0.01)
    assert bound.status == "derived"


@pytest.mark.parametrize(
    ("definition", "spent_v"),
    [("sae-cca", 5.4), ("marine-ca", 5.4), ("en", 5.1), ("iec", 4.2), ("din", 3.6)],
)
def test_each_cranking_definition_has_its_own_end_voltage(
    definition: CrankingDefinition, spent_v: float
) -> None:
    """End voltages per cell 1.2 (SAE, BCI), 1.25 (EN), 1.4 (IEC), 1.5 (DIN): 12.6 V less six of them."""
    assert cranking_resistance_bound(700, definition).value == pytest.approx(spent_v / 700)
    assert cranking_resistance_bound(700, definition, 24).value == pytest.approx(2 * spent_v / 700)


def test_a_warm_starting_battery_has_a_few_milliohms() -> None:
    """Data sheets, from memory: 3 to 6 mΩ for 60 to 100 Ah, about 500 to 900 CCA, full at 25 °C."""
    from_cranking = resistance_from_cranking(800)
    from_capacity = resistance_from_capacity("flooded", 90)

    for band in (from_cranking, from_capacity):
        assert 0.003 < band.value < 0.006
        assert (band.unit, band.status, band.title) == ("Ω", "memory", "Battery internal resistance")
    assert from_cranking.high < cranking_resistance_bound(800).value


def test_larger_batteries_have_less_resistance_and_strings_more() -> None:
    one = resistance_from_capacity("agm", 100)

    assert resistance_from_capacity("agm", 200).value == pytest.approx(one.value / 2)
    assert resistance_from_capacity("agm", 100, 24).value == pytest.approx(one.value * 2)


@pytest.mark.parametrize("chemistry", CHEMISTRIES)
def test_every_chemistry_has_a_resistance(chemistry: Chemistry) -> None:
    """A 100 Ah battery: between a thin-plate battery's 1 mΩ and a small lithium pack's limit of 50 mΩ."""
    band = resistance_from_capacity(chemistry, 100)

    assert 0.001 <= band.low < band.value < band.high <= 0.050


def test_ratings_of_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="cranking rating"):
        resistance_from_cranking(0)
    with pytest.raises(ValueError, match="capacity"):
        resistance_from_capacity("agm", 0)


def test_cold_raises_resistance_and_lithium_suffers_more() -> None:
    """A lead-acid battery at -18 °C stays below its cranking bound, 1.5 to 2.2 times the warm value."""
    assert temperature_factor("flooded", 25) == 1
    assert 1.5 < temperature_factor("flooded", -18) < 2.2
    assert temperature_factor("lifepo4", -18) > temperature_factor("agm", -18)
    assert temperature_factor("agm", 40) < 1


def test_age_and_cold_multiply_the_whole_band() -> None:
    rated = resistance_from_cranking(800)

    old = aged_resistance(rated, "flooded", -5, 1.5)

    assert old.value / rated.value == pytest.approx(1.5 * temperature_factor("flooded", -5))
    assert old.high / old.low == pytest.approx(rated.high / rated.low)


def test_short_circuits_agree_with_the_interrupting_table() -> None:
    """ABYC E-11: 1500 A at 650 CCA and 3000 A at 1100 CCA bracket the figure per ampere."""
    band = short_circuit_from_cranking(650)

    assert band.low == pytest.approx(1500, rel=2e-3)
    assert short_circuit_from_cranking(1100).high == pytest.approx(3000, rel=2e-3)
    assert band.unit == "A"
    assert short_circuit_current(12.6, 0.0042) == pytest.approx(3000)


def test_cooling_high_end_is_what_the_cranking_bound_allows() -> None:
    """ln(1 / 0.45) over 43 K is 0.0186 per kelvin: all of the bound laid to the cold."""
    assert default("battery_resistance_cooling_lead_acid").high == pytest.approx(0.0186, abs=5e-4)

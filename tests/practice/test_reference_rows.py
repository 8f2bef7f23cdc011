"""Every shipped row against the row as it was collected: no figure changed on the way, none was left out."""

from collections.abc import Sequence

import pytest

from server.practice.rules import all_rules
from server.practice.tables import rows
from tests.practice import reference_rows as reference


def lines(block: str) -> list[list[str]]:
    return [line.split() for line in block.strip().splitlines()]


def shipped(table: str, *columns: str, **only: str) -> list[list[str]]:
    """The cells of some columns; an empty one is a dash."""
    return [
        [row[column] or "-" for column in columns]
        for row in rows(table)
        if all(row[key] == value for key, value in only.items())
    ]


def same(found: Sequence[Sequence[str]], expected: Sequence[Sequence[str]]) -> bool:
    """Whether all cells agree, numbers as numbers."""
    return [[_value(cell) for cell in row] for row in found] == [[_value(c) for c in row] for row in expected]


def _value(cell: str) -> float | str:
    try:
        return float(cell)
    except ValueError:
        return cell


@pytest.mark.parametrize(
    ("table", "columns", "block"),
    [
        ("table5_ampacity", "gauge a_60c a_75c a_80c a_90c a_105c a_125c a_200c", reference.TABLE_5),
        ("table5_engine_space", "insulation_c factor status", reference.ENGINE_SPACE),
        ("table5_bundling", "from_conductors to_conductors factor", reference.BUNDLING),
        (
            "nec_table8",
            "gauge area_cmil strands uncoated_ohm_per_kft coated_ohm_per_kft",
            reference.NEC_TABLE_8,
        ),
        ("iec60228_class5", "area_mm2 plain_ohm_per_km tinned_ohm_per_km", reference.IEC_CLASS_5),
        ("iec60228_class2", "area_mm2 plain_ohm_per_km tinned_ohm_per_km", reference.IEC_CLASS_2),
        ("sae_area", "gauge area_cmil", reference.SAE_AREA),
        ("interrupting_capacity", "system cca_from cca_to main_a branch_a status", reference.INTERRUPTING),
        (
            "starting_profile",
            "system_v level lowest_v plateau_v fall_ms lowest_ms rise_to_plateau_ms plateau_s recovery_ms "
            "ripple_hz",
            reference.STARTING,
        ),
        ("battery_rest_voltage", "chemistry soc_percent voltage_v", reference.REST_VOLTAGE),
    ],
)
def test_a_table_has_the_very_rows_that_were_collected(table: str, columns: str, block: str) -> None:
    assert same(shipped(table, *columns.split()), lines(block))


def test_every_rule_has_the_figure_and_the_status_that_were_collected() -> None:
    """Rules partly read in public count as from memory; one more, ISO's 100 per cent, was never read."""
    units = {"% of max rated current at 60 C": "% of max rated current at 60 °C", "mm2": "mm²"}
    collected = {}
    for line in reference.RULES.strip().splitlines():
        key, value, unit, status = line.split("|")
        known = "memory" if status == "partly" else status
        figure = (float(value), units.get(unit, unit)) if value else None
        collected[key.replace("_", "-").lower()] = (figure, known)
    ours = {
        rule.id: ((rule.figure.value, rule.figure.unit) if rule.figure else None, rule.status)
        for rule in all_rules()
    }

    assert ours.pop("iso-100pct") == ((100.0, "% of ampacity"), "memory")
    assert ours == collected


def test_cranking_ratings_load_dump_and_k_are_those_that_were_collected() -> None:
    """SAE J537, BCI, EN 50342-1, IEC 60095-1, DIN 43539-2; ISO 16750-2; IEC 60364-4-43 Table 43A."""
    cranking = shipped("cranking_definitions", "definition", "temperature_c", "time_s", "least_voltage_v")
    dump = shipped(
        "load_dump",
        "system_v", "lowest_v", "highest_v", "low_ohm", "high_ohm", "shortest_ms", "longest_ms", "clamped_v",
    )  # fmt: skip
    k = dict(shipped("adiabatic_k", "key", "k"))

    assert cranking == [
        ["sae-cca", "-18", "30", "7.2"],
        ["marine-ca", "0", "30", "7.2"],
        ["en", "-18", "10", "7.5"],
        ["iec", "-18", "60", "8.4"],
        ["din", "-18", "30", "9.0"],
    ]
    assert dump == [
        ["12", "79", "101", "0.5", "4", "40", "400", "35"],
        ["24", "151", "202", "1", "8", "100", "350", "58"],
    ]
    assert {key: k[key] for key in ("pvc-70", "pvc-70-over-300", "xlpe-90")} == {
        "pvc-70": "115",
        "pvc-70-over-300": "103",
        "xlpe-90": "143",
    }

"""The published load dump: its own arithmetic, and figures quoted elsewhere."""

import pytest

from server.practice.load_dump import load_dump
from server.practice.supply import supply_range


@pytest.mark.parametrize(("system_v", "lowest_v", "highest_v"), [(12.0, 79.0, 101.0), (24.0, 151.0, 202.0)])
def test_the_pulse_is_what_the_standard_tests_with(
    system_v: float, lowest_v: float, highest_v: float
) -> None:
    """ISO 16750-2, test A, as tabulated in a journal article besides the catalogue."""
    found = load_dump(system_v)

    assert found is not None
    assert (found.lowest_v, found.highest_v, found.status) == (lowest_v, highest_v, "verified")
    assert found.low_ohm < found.high_ohm
    assert found.shortest_s < found.longest_s <= 0.4


def test_24_volts_are_about_twice_12() -> None:
    twelve, twenty_four = load_dump(12.0), load_dump(24.0)

    assert twelve is not None
    assert twenty_four is not None
    assert twenty_four.highest_v == pytest.approx(2 * twelve.highest_v)
    assert twenty_four.lowest_v == pytest.approx(2 * twelve.lowest_v, rel=0.05)


def test_a_clamped_alternator_still_gives_more_than_equipment_works_on() -> None:
    """ISO 16750-2 code C ends at 16 V, code G at 32 V."""
    for system_v, code in ((12.0, "iso-16750-c"), (24.0, "iso-16750-g")):
        dump, works = load_dump(system_v), supply_range(code, system_v)
        assert dump is not None
        assert works is not None
        assert works.high_v is not None
        assert works.high_v < dump.clamped_v < dump.lowest_v


def test_nothing_is_published_for_other_voltages() -> None:
    assert load_dump(48.0) is None

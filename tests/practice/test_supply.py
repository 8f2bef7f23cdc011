"""Supply ranges and profiles against their own arithmetic and published examples."""

from typing import get_args

import pytest

from server.practice.sizes import size
from server.practice.supply import (
    BACKBONE_DROP_LIMIT,
    StartingLevel,
    backbone_drop,
    starting_profile,
    supply_range,
    supply_ranges,
)


def test_a_full_backbone_of_30_metres_fails() -> None:
    """Garmin NMEA 2000 power distribution page: 0.053 Ω/m, 20 LEN, 30 m: 3.18 V against 1.67 V."""
    drop = backbone_drop(0.053, 30, 20)

    assert drop == pytest.approx(3.18)
    assert drop > BACKBONE_DROP_LIMIT.value


def test_the_cold_start_profile_of_12_volts() -> None:
    """ISO 16750-2 level II: 4.5 V, then 6.5 V for 10 s."""
    profile = starting_profile(12, "II")

    assert profile is not None
    assert (profile.lowest_v, profile.plateau_v, profile.plateau_s) == (4.5, 6.5, 10)
    assert (profile.fall_s, profile.lowest_s, profile.recovery_s) == pytest.approx((0.005, 0.015, 0.1))


@pytest.mark.parametrize("system_v", [12, 24])
def test_levels_get_harder_and_no_profile_climbs_above_its_system(system_v: float) -> None:
    """ISO 16750-2 orders levels I to III by severity; level IV exists for 12 V only."""
    profiles = [starting_profile(system_v, level) for level in get_args(StartingLevel)]
    present = [profile for profile in profiles if profile is not None]

    assert (profiles[3] is not None) == (system_v == 12)
    assert present[0].lowest_v > present[1].lowest_v > present[2].lowest_v
    for profile in present:
        assert profile.lowest_v <= profile.plateau_v < system_v


@pytest.mark.parametrize(
    ("key", "low_share", "high_share"), [("iec-60945", 0.90, 1.30), ("iacs-e10", 0.75, 1.30)]
)
@pytest.mark.parametrize("system_v", [12, 24])
def test_ranges_in_per_cent_are_shares_of_the_nominal_voltage(
    key: str, low_share: float, high_share: float, system_v: float
) -> None:
    """IEC 60945 -10/+30 %, IACS E10 -25/+30 % while charging; from memory, confirm."""
    found = supply_range(key, system_v)

    assert found is not None
    assert found.low_v == pytest.approx(low_share * system_v)
    assert found.high_v == pytest.approx(high_share * system_v)
    assert found.status == "memory"


def test_every_range_contains_its_system_voltage() -> None:
    for found in supply_ranges():
        assert found.low_v < found.system_v
        assert found.high_v is None or found.high_v > found.system_v


def test_nmea_2000_works_from_9_to_16_volts_and_only_at_12() -> None:
    """NMEA 2000 as quoted in makers' manuals."""
    found = supply_range("nmea-2000", 12)

    assert found is not None
    assert (found.low_v, found.high_v, found.status) == (9, 16, "verified")
    assert supply_range("nmea-2000", 24) is None


def test_a_display_lead_has_a_lowest_voltage_and_no_highest() -> None:
    """Raymarine Element manual: 10.8 V at the connector, flat battery at 11 V: 0.2 V for the lead."""
    found = supply_range("display-lead", 12)

    assert found is not None
    assert (found.low_v, found.high_v) == (10.8, None)
    assert 11 - found.low_v == pytest.approx(0.2)


def test_backbone_drop_counts_both_conductors() -> None:
    """One LEN over one metre there and back is 50 mA through two conductors."""
    pair = size("0.75 mm²").ohm_per_m

    assert backbone_drop(pair, 1, 1) == pytest.approx(0.05 * 2 * pair)

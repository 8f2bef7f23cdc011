"""Published supply requirements as yardsticks of a waveform."""

import numpy as np
import pytest

from server.engine.transient.profiles import Requirement, compared, profile_wave, requirements
from server.engine.transient.waves import Wave
from server.practice.supply import starting_profile


def dip(lowest_v: float, seconds: float, rest_v: float = 12.5) -> Wave:
    """A rectangular dip from and to rest."""
    ends = [0.0, 1.0, 1.0, 1.0 + seconds, 1.0 + seconds, 30.0]
    return Wave(np.array(ends), np.array([rest_v, rest_v, lowest_v, lowest_v, rest_v, rest_v]))


def required(key: str, system_v: float = 12.0) -> Requirement:
    """One requirement by its key."""
    return next(one for one in requirements(system_v) if one.key == key)


def test_only_verified_requirements_are_offered() -> None:
    """Rows from memory (IEC 60945, IACS E10, ISO 10133) never decide."""
    keys = {one.key for one in requirements(12.0)}

    assert {"nmea-2000", "iso-16750-c", "iso-16750-starting-ii"} <= keys
    assert not keys & {"iec-60945", "iacs-e10", "iso-10133"}
    assert {one.key for one in requirements(24.0)} >= {"iso-16750-h", "iso-16750-starting-iii"}
    assert not requirements(48.0)


def test_the_backbone_works_from_9_to_16_volts() -> None:
    """NMEA 2000, as quoted in makers' manuals."""
    backbone = required("nmea-2000")

    assert compared(backbone, dip(9.1, 0.5), 12.0).met
    low, high = compared(backbone, dip(8.4, 0.5), 12.0), compared(backbone, dip(17.0, 0.2), 12.0)
    assert (low.failing, high.failing) == ("too-low", "too-high")
    assert (low.margin_v, low.ours_s) == pytest.approx((-0.6, 0.5))
    assert (high.at_v, high.ours_s) == pytest.approx((16.0, 0.2))


def test_a_range_without_an_upper_end_bars_no_peak() -> None:
    assert compared(required("display-lead"), dip(90.0, 0.2), 12.0).met


def test_a_profile_has_its_published_corners() -> None:
    """ISO 16750-2 level II, 12 V: 4.5 V for 15 ms, then 6.5 V for 10 s, with edges of 5, 50 and 100 ms."""
    profile = starting_profile(12.0, "II")
    assert profile is not None
    wave = profile_wave(profile, 12.0)

    assert wave.time_s == pytest.approx([0.0, 0.005, 0.020, 0.070, 10.070, 10.170])
    assert wave.values == pytest.approx([12.0, 4.5, 4.5, 6.5, 6.5, 12.0])


def test_a_profile_is_met_by_itself_and_by_anything_milder() -> None:
    for level in ("I", "II", "III", "IV"):
        profile = starting_profile(12.0, level)
        assert profile is not None
        same = compared(required(f"iso-16750-starting-{level.lower()}"), profile_wave(profile, 12.0), 12.0)
        assert same.met
        assert same.margin_v == pytest.approx(0.0)
    assert compared(required("iso-16750-starting-ii"), dip(7.0, 2.0), 12.0).met


def test_a_dip_that_is_too_deep_or_too_long_fails() -> None:
    """Level III holds 5 V for 1 s; level I never goes below 8 V."""
    deep = compared(required("iso-16750-starting-i"), dip(7.0, 0.1), 12.0)
    long = compared(required("iso-16750-starting-iii"), dip(6.0, 3.0), 12.0)

    assert (deep.failing, deep.at_v) == ("too-low", 8.0)
    assert long.failing == "too-long"
    assert long.ours_s == pytest.approx(3.0)
    assert long.allowed_s is not None
    assert 1.0 < long.allowed_s < 1.2

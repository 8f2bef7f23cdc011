"""ISO 16750-2's starting profiles as the waveform at a device: what is read off them, by hand.

The corners are the published ones (``iso16750_2_starting_profile``, verified); between them straight lines.
"""

import pytest

from server.engine.transient.meters import OSCILLOSCOPE, PEAK_CAPTURE, RECORDING, Instrument, reading
from server.engine.transient.profiles import compared, profile_wave, requirements
from server.engine.transient.waves import Wave
from server.practice.supply import StartingLevel, starting_profile


def profile(system_v: float, level: StartingLevel) -> Wave:
    found = starting_profile(system_v, level)
    assert found is not None
    return profile_wave(found, system_v)


@pytest.mark.parametrize(
    ("system_v", "level", "below_v", "expected_s"),
    [
        # 12 V falls to 4.5 V in 5 ms: 9 V after 2 ms; 6.5 V rises to 12 V in 100 ms: 9 V after 45.45 ms.
        (12.0, "II", 9.0, 0.020 + 0.050 + 10.0 + 0.1 * 2.5 / 5.5 - 0.002),
        # Level I dips to 8 V and stays at 9.5 V: below 9 V from 3.75 ms until 33.3 ms into the 50 ms rise.
        (12.0, "I", 9.0, 0.020 + 0.050 * 1.0 / 1.5 - 0.00375),
        # 24 V, level III: 24 to 6 V in 10 ms, 50 ms there, up to 10 V in 50 ms, 1 s there, 40 ms up.
        (24.0, "III", 18.0, 0.010 + 0.050 + 0.050 + 1.0 + 0.040 * 8.0 / 14.0 - 0.010 * 6.0 / 18.0),
    ],
)
def test_the_time_below_a_devices_minimum_is_that_between_the_corners(
    system_v: float, level: StartingLevel, below_v: float, expected_s: float
) -> None:
    assert profile(system_v, level).longest_below(below_v) == pytest.approx(expected_s, rel=1e-9)


def test_instruments_disagree_on_a_profile_as_their_windows_do() -> None:
    """Level II: the dip lasts 15 ms, so a peak hold of 250 µs shows all of it, a recording of 100 ms little.

    The lowest mean over 100 ms begins where the fall passes 6.5 V, 3.67 ms after its start:
    (1.33 ms · 5.5 V + 15 ms · 4.5 V + 50 ms · 5.5 V + 33.67 ms · 6.5 V) / 100 ms = 5.687 V.
    """
    wave = profile(12.0, "II")
    fall = 5e-3 * 2.0 / 7.5
    area = fall * 5.5 + 0.015 * 4.5 + 0.05 * 5.5 + (0.1 - fall - 0.065) * 6.5

    scope, held, recorded = (reading(one, wave) for one in (OSCILLOSCOPE, PEAK_CAPTURE, RECORDING))

    assert scope is not None
    assert held is not None
    assert recorded is not None
    assert [scope.lowest, held.lowest] == pytest.approx([4.5, 4.5])
    assert recorded.lowest == pytest.approx(area / 0.1)
    slow = reading(Instrument("min-max-recording", 1.0), wave)
    assert slow is not None
    assert recorded.lowest < slow.lowest < 6.5


@pytest.mark.parametrize("system_v", [12.0, 24.0])
def test_a_harder_profile_does_not_meet_the_mildest_one(system_v: float) -> None:
    """Level I is the mildest: only its own waveform meets it."""
    mildest = next(one for one in requirements(system_v) if one.key == "iso-16750-starting-i")
    levels: tuple[StartingLevel, ...] = ("I", "II", "III")

    for level in levels:
        assert compared(mildest, profile(system_v, level), system_v).met == (level == "I")

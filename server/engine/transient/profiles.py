"""Published supply requirements that an event can be judged by: ranges, and starting profiles as waveforms.

Only verified rows decide. A starting profile is met where the event is not below any voltage for longer than
the profile is, and nowhere lower than its lowest: equipment that stood the profile has then stood as much.
The ripple on the profile's plateau is left out: its swing is in no shipped table.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.waves import Wave
from server.practice.supply import (
    StartingLevel,
    StartingProfile,
    SupplyRange,
    starting_profile,
    supply_ranges,
)
from server.units import Second, Volt

LEVELS: tuple[StartingLevel, ...] = ("I", "II", "III", "IV")
LEVELS_COMPARED = 400
"""Voltages between the lowest and the rest voltage at which durations are compared."""
ROUNDING_S: Second = 1e-9


@dataclass(frozen=True, slots=True)
class Requirement:
    """A published requirement on a supply of one nominal voltage."""

    key: str
    title: str
    source: str
    supply: SupplyRange | StartingProfile


@dataclass(frozen=True, slots=True)
class Comparison:
    """How a waveform meets a requirement.

    ``margin_v`` is how far its lowest lies above the lowest allowed. Where it fails, ``at_v`` is the voltage
    it is below for ``ours_s`` instead of ``allowed_s``, or the highest it may not pass.
    """

    requirement: Requirement
    met: bool
    margin_v: Volt
    failing: Literal["", "too-low", "too-high", "too-long"]
    at_v: Volt | None
    ours_s: Second | None
    allowed_s: Second | None


def requirements(system_v: Volt) -> tuple[Requirement, ...]:
    """The verified requirements for a nominal voltage, ranges first."""
    ranges = (
        Requirement(one.key, one.title, one.source, one)
        for one in supply_ranges()
        if one.system_v == system_v and one.status == "verified"
    )
    profiles = (
        Requirement(
            f"iso-16750-starting-{level.lower()}",
            f"ISO 16750-2 starting profile, level {level}",
            found.source,
            found,
        )
        for level in LEVELS
        if (found := starting_profile(system_v, level)) is not None and found.status == "verified"
    )
    return (*ranges, *profiles)


def compared(requirement: Requirement, wave: Wave, system_v: Volt) -> Comparison:
    """How a waveform meets a requirement."""
    if isinstance(requirement.supply, SupplyRange):
        return _in_range(requirement, requirement.supply, wave)
    return _within_profile(requirement, requirement.supply, wave, system_v)


def _in_range(requirement: Requirement, allowed: SupplyRange, wave: Wave) -> Comparison:
    lowest, highest = float(wave.values.min()), float(wave.values.max())
    margin = lowest - allowed.low_v
    if margin < 0:
        below = wave.longest_below(allowed.low_v)
        return Comparison(requirement, False, margin, "too-low", allowed.low_v, below, 0.0)
    if allowed.high_v is not None and highest > allowed.high_v:
        above = Wave(wave.time_s, -wave.values).longest_below(-allowed.high_v)
        return Comparison(requirement, False, margin, "too-high", allowed.high_v, above, 0.0)
    return Comparison(requirement, True, margin, "", None, None, None)


def profile_wave(profile: StartingProfile, system_v: Volt) -> Wave:
    """A starting profile from and to the nominal voltage, beginning at 0 s."""
    steps = (
        profile.fall_s,
        profile.lowest_s,
        profile.rise_to_plateau_s,
        profile.plateau_s,
        profile.recovery_s,
    )
    corners = (
        system_v,
        profile.lowest_v,
        profile.lowest_v,
        profile.plateau_v,
        profile.plateau_v,
        system_v,
    )
    return Wave(np.concatenate([[0.0], np.cumsum(steps)]), np.array(corners))


def _within_profile(
    requirement: Requirement, profile: StartingProfile, wave: Wave, system_v: Volt
) -> Comparison:
    test = profile_wave(profile, system_v)
    margin = float(wave.values.min()) - profile.lowest_v
    if margin < 0:
        below = wave.longest_below(profile.lowest_v)
        return Comparison(requirement, False, margin, "too-low", profile.lowest_v, below, 0.0)
    levels = _levels(test)
    ours = np.array([wave.longest_below(level) for level in levels])
    allowed = np.array([test.longest_below(level) for level in levels])
    over = ours - allowed
    worst = int(over.argmax())
    if over[worst] > ROUNDING_S:
        return Comparison(
            requirement,
            False,
            margin,
            "too-long",
            float(levels[worst]),
            float(ours[worst]),
            float(allowed[worst]),
        )
    return Comparison(requirement, True, margin, "", None, None, None)


def _levels(test: Wave) -> Floats:
    """Voltages to compare at: evenly from the profile's lowest up to where it ends."""
    return np.linspace(float(test.values.min()), float(test.values.max()), LEVELS_COMPARED + 1)[1:]

"""Copper: resistivity, what temperature does to it, and the resistance of a conductor."""

from __future__ import annotations

from server.practice.sourced import Sourced
from server.practice.tables import figure, rows
from server.units import Celsius, Metre, Ohm, OhmPerMetre, Ratio, SquareMillimetre

_CONSTANTS = {row["key"]: figure(row, "value", row["unit"]) for row in rows("copper_constants")}

RESISTIVITY_20: Sourced = _CONSTANTS["resistivity-20"]
TEMPERATURE_COEFFICIENT_20: Sourced = _CONSTANTS["temperature-coefficient-20"]
ZERO_RESISTANCE_TEMPERATURE: Sourced = _CONSTANTS["zero-resistance-temperature"]
HANDBOOK_K: Sourced = _CONSTANTS["handbook-k"]
HANDBOOK_CONDUCTIVITY: Sourced = _CONSTANTS["handbook-conductivity"]
ADIABATIC_CONSTANT: Sourced = _CONSTANTS["adiabatic-constant"]
DENSITY: Sourced = _CONSTANTS["density"]
IEC_60228_COEFFICIENT: Sourced = _CONSTANTS["iec-60228-annex-b"]

REFERENCE_TEMPERATURE_C: Celsius = 20.0


def temperature_ratio(temperature_c: Celsius, reference_c: Celsius = REFERENCE_TEMPERATURE_C) -> Ratio:
    """Copper's resistance over that at the reference temperature, (234.5 + θ) / (234.5 + θ₀).

    FAA AC 43.13-1B par. 11-66; good for the temperatures a cable meets.

    >>> round(temperature_ratio(75.0), 4)
    1.2161
    """
    zero_c = ZERO_RESISTANCE_TEMPERATURE.value
    return (temperature_c - zero_c) / (reference_c - zero_c)


def resistance_at(ohm_20: Ohm, temperature_c: Celsius) -> Ohm:
    """A copper resistance known at 20 °C, at another temperature."""
    return ohm_20 * temperature_ratio(temperature_c)


def conductor_resistance(
    length_m: Metre, ohm_per_m: OhmPerMetre, temperature_c: Celsius = REFERENCE_TEMPERATURE_C
) -> Ohm:
    """Resistance of one copper conductor from its tabulated resistance at 20 °C.

    A run there and back is two conductors.
    """
    return resistance_at(length_m * ohm_per_m, temperature_c)


def pure_copper_ohm_per_m(area_mm2: SquareMillimetre) -> OhmPerMetre:
    """Solid annealed copper of this area at 20 °C, ρ / A (IEC 60028): less than any real cable.

    >>> round(pure_copper_ohm_per_m(10.0) * 1000, 4)
    1.7241
    """
    return RESISTIVITY_20.value / area_mm2


def iec_60228_factor_to_20(temperature_c: Celsius) -> Ratio:
    """Factor from a resistance measured at a temperature to 20 °C, 1 / (1 + 0.004 (θ - 20)).

    IEC 60228 Annex B, meant for correcting measurements.
    """
    return 1 / (1 + IEC_60228_COEFFICIENT.value * (temperature_c - REFERENCE_TEMPERATURE_C))

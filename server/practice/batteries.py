"""Batteries: rest voltage, internal resistance, and what cold and age do to it."""

from __future__ import annotations

import math
from bisect import bisect_right
from functools import cache
from itertools import pairwise
from typing import Literal

from server.practice.assumptions import default
from server.practice.sourced import Assumption, Sourced
from server.practice.tables import figure, rows
from server.units import Ampere, AmpereHour, Celsius, Ohm, Ratio, Volt

Chemistry = Literal["flooded", "agm", "gel", "lifepo4"]
CrankingDefinition = Literal["sae-cca", "marine-ca", "en", "iec", "din"]

TABLE_VOLTAGE_V: Volt = 12.0
"""The rest-voltage table and the resistance defaults are for batteries of this nominal voltage."""
RATED_TEMPERATURE_C: Celsius = 25.0
CRANKING_REST_VOLTAGE_V: Volt = 12.6
"""Rest voltage of a new, full 12 V battery at the start of a cranking test."""

_FULL_PERCENT = 100.0
_MIDWAY_12_OR_12_8_V: Volt = 12.4
_LITHIUM_BLOCK_V: Volt = 12.8


@cache
def rest_voltage_table(chemistry: Chemistry) -> tuple[tuple[float, Sourced], ...]:
    """State of charge in per cent and rest voltage of a 12 V battery at 25 °C, from empty to full."""
    points = [row for row in rows("battery_rest_voltage") if row["chemistry"] == chemistry]
    table = [(float(row["soc_percent"]), figure(row, "voltage_v", "V")) for row in points]
    return tuple(sorted(table, key=lambda point: point[0]))


def open_circuit_voltage(chemistry: Chemistry, soc_percent: float, nominal_v: Volt = 12.0) -> Sourced:
    """Rest voltage at a state of charge, by straight lines between the table's points.

    Scaled by the number of 12 V batteries in series that make up the nominal voltage.

    Raises:
        ValueError: the state of charge is not between 0 and 100 %.

    >>> round(open_circuit_voltage("flooded", 50, 24).value, 2)
    24.48
    """
    if not 0 <= soc_percent <= _FULL_PERCENT:
        raise ValueError(f"a state of charge lies between 0 and 100 %, got {soc_percent}")
    table = rest_voltage_table(chemistry)
    segments = list(pairwise(table))
    index = min(bisect_right([soc for soc, _ in table], soc_percent), len(segments)) - 1
    (soc_0, low), (soc_1, high) = segments[index]
    share = (soc_percent - soc_0) / (soc_1 - soc_0)
    voltage = low.value + share * (high.value - low.value)
    return low.model_copy(update={"value": voltage * series_count(chemistry, nominal_v)})


def series_count(chemistry: Chemistry, nominal_v: Volt) -> float:
    """How many 12 V batteries in series make a nominal voltage; a 6 V battery is half a one.

    A lithium pack is called 12 V or 12.8 V, 48 V or 51.2 V alike and is made of whole blocks.

    >>> series_count("lifepo4", 51.2), series_count("lifepo4", 48), series_count("agm", 6)
    (4, 4, 0.5)
    """
    if chemistry != "lifepo4":
        return nominal_v / TABLE_VOLTAGE_V
    if nominal_v < TABLE_VOLTAGE_V:
        return nominal_v / _LITHIUM_BLOCK_V
    return round(nominal_v / _MIDWAY_12_OR_12_8_V)


def cranking_resistance_bound(
    cranking_a: Ampere, definition: CrankingDefinition = "sae-cca", nominal_v: Volt = 12.0
) -> Sourced:
    """Highest resistance a new, full battery can have and still pass its cranking test.

    (U₀ - U_test) / I with U₀ = 12.6 V: the test temperature and polarisation are in it.
    Never use it for a fault current, which it would state too low.

    Raises:
        ValueError: the rating is not positive.

    >>> round(cranking_resistance_bound(800).value * 1000, 2)
    6.75
    """
    if cranking_a <= 0:
        raise ValueError(f"a cranking rating is more than zero, got {cranking_a}")
    row = next(row for row in rows("cranking_definitions") if row["definition"] == definition)
    bound = (CRANKING_REST_VOLTAGE_V - float(row["least_voltage_v"])) / cranking_a
    return Sourced(
        value=bound * nominal_v / TABLE_VOLTAGE_V,
        unit="Ω",
        source=f"bound from {row['source']}",
        status="derived",
        note=row["note"],
    )


def resistance_from_cranking(
    cranking_a: Ampere, definition: CrankingDefinition = "sae-cca", nominal_v: Volt = 12.0
) -> Assumption:
    """Internal resistance of a new, full lead-acid battery at 25 °C, from its cranking rating.

    Raises:
        ValueError: the rating is not positive.
    """
    bound = cranking_resistance_bound(cranking_a, definition, nominal_v)
    share = default("battery_resistance_cranking_ratio").scaled(bound.value, "Ω")
    return share.model_copy(
        update={"title": "Battery internal resistance", "source": f"{bound.source}; {share.source}"}
    )


def resistance_from_capacity(
    chemistry: Chemistry, capacity_ah: AmpereHour, nominal_v: Volt = 12.0
) -> Assumption:
    """Internal resistance of a new, full battery at 25 °C when only its capacity is known.

    Raises:
        ValueError: the capacity is not positive.
    """
    if capacity_ah <= 0:
        raise ValueError(f"a capacity is more than zero, got {capacity_ah}")
    per_ah = default(f"battery_resistance_{chemistry}")
    resistance = per_ah.scaled(series_count(chemistry, nominal_v) / capacity_ah, "Ω")
    return resistance.model_copy(update={"title": "Battery internal resistance"})


def temperature_factor(chemistry: Chemistry, temperature_c: Celsius) -> Ratio:
    """Resistance at a temperature over that at 25 °C, exp(b (25 - θ)), b from the assumptions.

    Common practice, no source; from memory, confirm. About -20 °C to 45 °C.
    """
    kind = "lifepo4" if chemistry == "lifepo4" else "lead_acid"
    rise = default(f"battery_resistance_cooling_{kind}").value
    return math.exp(rise * (RATED_TEMPERATURE_C - temperature_c))


def aged_resistance(
    rated: Assumption, chemistry: Chemistry, temperature_c: Celsius, age_factor: Ratio
) -> Assumption:
    """A resistance at 25 °C when new, brought to a temperature and an age factor (1 is new)."""
    return rated.scaled(temperature_factor(chemistry, temperature_c) * age_factor, rated.unit)


def short_circuit_from_cranking(cca: Ampere) -> Assumption:
    """Short-circuit current of a battery by the figures E-11's table implies; the maker's goes first."""
    return default("battery_short_circuit_per_cca").scaled(cca, "A")


def short_circuit_current(rest_voltage: Volt, resistance: Ohm) -> Ampere:
    """Current into a dead short at the posts, U₀ / R."""
    return rest_voltage / resistance

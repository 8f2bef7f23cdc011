"""Batteries as sources: a rest voltage behind an internal resistance, in the conditions that hold."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from server.boat.modes import Conditions
from server.boat.parts import Battery
from server.engine.figures import Figures, Level
from server.practice.batteries import (
    RATED_TEMPERATURE_C,
    Chemistry,
    CrankingDefinition,
    open_circuit_voltage,
    resistance_from_capacity,
    resistance_from_cranking,
)
from server.practice.sourced import Assumption
from server.units import AmpereHour, Celsius, Ohm, Ratio, Volt

_DEFINITIONS: dict[str, CrankingDefinition] = {
    "sae": "sae-cca",
    "en": "en",
    "din": "din",
    "iec": "iec",
    "marine": "marine-ca",
}
UNKNOWN_CAPACITY_AH: AmpereHour = 100.0
"""Taken where a battery gives neither resistance, cranking rating nor capacity; the result says so."""
_BATTERIES_KEPT = 512
_by_cranking = lru_cache(_BATTERIES_KEPT)(resistance_from_cranking)
_by_capacity = lru_cache(_BATTERIES_KEPT)(resistance_from_capacity)
UNKNOWN_RESISTANCE = "internal resistance of this battery cannot be told: taken as one of 100 Ah"


@dataclass(frozen=True)
class BatterySource:
    """A battery's rest voltage, and the factors whose product is its resistance."""

    rest: Level
    inner: tuple[Level, ...]

    @classmethod
    def of(cls, figures: Figures, part: Battery, conditions: Sequence[Conditions]) -> "BatterySource":
        """A battery in the conditions that hold, those that go before others first."""
        return cls(rest_voltage(figures, part, conditions), internal_resistance(figures, part, conditions))

    @property
    def ohm(self) -> Ohm:
        """The internal resistance."""
        return math.prod(level.value for level in self.inner)

    @property
    def bands(self) -> tuple[tuple[str, Level], ...]:
        """What is uncertain."""
        ohm = self.ohm
        found = ("emf_v", self.rest), *(("ohm", level.scaled(ohm / level.value)) for level in self.inner)
        return tuple((figure, level) for figure, level in found if level.low < level.high)


def is_unknown(part: Battery) -> bool:
    """Whether nothing tells a battery's internal resistance."""
    return part.internal_resistance_ohm is None and not _has_cranking(part) and part.capacity_ah is None


def rest_voltage(figures: Figures, part: Battery, conditions: Sequence[Conditions]) -> Level:
    """The rest voltage given, unless the conditions state a charge; else by the state of charge."""
    stated = next((c.state_of_charge for c in conditions if c.state_of_charge is not None), None)
    if stated is None and part.rest_voltage_v is not None:
        return _fixed(part.rest_voltage_v)
    charge = part.state_of_charge if stated is None else stated
    if charge is not None:
        return _fixed(_rest(part, charge * 100))
    percent = figures.level("battery_state_of_charge", part.id)
    low, value, high = (_rest(part, soc) for soc in (percent.low, percent.value, percent.high))
    return Level(low, value, high, percent.number)


def _rest(part: Battery, percent: float) -> Volt:
    return _rest_v(part.chemistry, percent, part.nominal_voltage_v)


@lru_cache(_BATTERIES_KEPT)
def _rest_v(chemistry: Chemistry, percent: float, nominal_v: Volt) -> Volt:
    return open_circuit_voltage(chemistry, percent, nominal_v).value


def internal_resistance(
    figures: Figures, part: Battery, conditions: Sequence[Conditions]
) -> tuple[Level, ...]:
    """Factors of the internal resistance: when new and warm, for temperature, for age.

    A resistance that was given is taken as it is, except for conditions that are stated.
    """
    stated_c = next((c.temperature_c for c in conditions if c.temperature_c is not None), None)
    stated_age = next((c.age_factor for c in conditions if c.age_factor is not None), None)
    if part.internal_resistance_ohm is not None:
        given = figures.given(part.internal_resistance_ohm, part.id, "internal resistance")
        cold = _cooling(figures, part, RATED_TEMPERATURE_C if stated_c is None else stated_c)
        return given, _fixed(cold), _fixed(stated_age or 1.0)
    age = stated_age if stated_age is not None else part.age_factor
    worn = _fixed(age) if age is not None else figures.level("battery_age_factor", part.id)
    return _when_new(figures, part), _temperature_level(figures, part, stated_c), worn


def _fixed(value: float) -> Level:
    return Level(value, value, value)


def _temperature_level(figures: Figures, part: Battery, stated_c: Celsius | None) -> Level:
    temperature = stated_c if stated_c is not None else part.temperature_c
    if temperature is not None:
        return _fixed(_cooling(figures, part, temperature))
    taken = figures.level("battery_temperature", part.id)
    high, value, low = (_cooling(figures, part, t) for t in (taken.low, taken.value, taken.high))
    return Level(low, value, high, taken.number)


def _cooling(figures: Figures, part: Battery, temperature_c: Celsius) -> Ratio:
    """Resistance at a temperature over that at 25 °C, exp(b (25 - θ))."""
    kind = "lifepo4" if part.chemistry == "lifepo4" else "lead_acid"
    rise = figures.level(f"battery_resistance_cooling_{kind}", part.id).value
    return math.exp(rise * (RATED_TEMPERATURE_C - temperature_c))


def _has_cranking(part: Battery) -> bool:
    return part.cranking_a is not None and part.chemistry != "lifepo4"


def _when_new(figures: Figures, part: Battery) -> Level:
    """Resistance at 25 °C when new and full: from the cranking rating, else from the capacity."""
    if part.cranking_a is not None and _has_cranking(part):
        definition = _DEFINITIONS[part.cranking_standard or "sae"]
        rated = _by_cranking(part.cranking_a, definition, part.nominal_voltage_v)
        return _rescaled(figures, part, "battery_resistance_cranking_ratio", rated)
    capacity = part.capacity_ah or UNKNOWN_CAPACITY_AH
    rated = _by_capacity(part.chemistry, capacity, part.nominal_voltage_v)
    return _rescaled(figures, part, f"battery_resistance_{part.chemistry}", rated)


def _rescaled(figures: Figures, part: Battery, key: str, by_default: Assumption) -> Level:
    """A resistance worked out with the default of a factor, with the boat's own factor in its place."""
    own, default = figures.level(key, part.id), figures.default(key)
    factor = by_default.value / default.value
    return own.scaled(factor)

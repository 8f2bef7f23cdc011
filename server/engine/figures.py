"""Which value stands for what nobody gave: part, then override of the part, of the boat, then the default."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np

from server.boat.boat import Boat, Override
from server.boat.value import Known, Span
from server.engine.answer import AssumedValue
from server.engine.arrays import Floats, Indices
from server.practice.assumptions import all_defaults
from server.practice.materials import temperature_ratio
from server.practice.sourced import Assumption
from server.units import Ratio

GIVEN = 0
"""Number of the figure that never varies: what a person gave."""


@dataclass(frozen=True, slots=True)
class Level:
    """A figure with its band, and the number of the assumption it moves with."""

    low: float
    value: float
    high: float
    number: int = GIVEN

    def scaled(self, factor: float) -> "Level":
        """The band times a positive factor."""
        return Level(self.low * factor, self.value * factor, self.high * factor, self.number)


ONE = Level(1.0, 1.0, 1.0)


@dataclass(slots=True)
class Figures:
    """Resolves assumptions for one boat and keeps the list of those used, numbered from 1."""

    overrides: Mapping[tuple[str, str | None], Override]
    levels: list[Level] = field(default_factory=lambda: [ONE])
    used: list[AssumedValue | None] = field(default_factory=lambda: [None])
    numbers: dict[tuple[str, str | None], int] = field(default_factory=dict)
    with_subject: frozenset[str] = frozenset()
    everywhere: dict[str, int] = field(default_factory=dict)
    """Of ``numbers``, those of assumptions that are the same for all parts and conductors."""
    outright: set[int] = field(default_factory=lambda: {GIVEN})
    """Numbers of those taken by themselves; the others hold only with the resistors made of them."""

    @classmethod
    def of(cls, boat: Boat) -> "Figures":
        """The resolver of a boat."""
        return cls.with_overrides(boat.assumptions)

    @classmethod
    def with_overrides(cls, assumptions: Sequence[Override]) -> "Figures":
        """The resolver of a boat's own assumptions."""
        overrides = {(one.key, one.subject): one for one in assumptions}
        subjects = frozenset(one.key for one in assumptions if one.subject is not None)
        return cls(overrides, with_subject=subjects)

    @property
    def subjects(self) -> frozenset[str]:
        """The parts and conductors that have assumptions of their own."""
        return frozenset(subject for _, subject in self.overrides if subject is not None)

    @property
    def values(self) -> Floats:
        """The value of every figure, by its number."""
        return np.array([level.value for level in self.levels])

    def copy(self) -> "Figures":
        """The same, to go on from."""
        return replace(
            self,
            levels=self.levels.copy(),
            used=self.used.copy(),
            numbers=self.numbers.copy(),
            everywhere=self.everywhere.copy(),
            outright=self.outright.copy(),
        )

    def holding(self, numbers: Indices) -> "Figures":
        """A copy in which only those taken by themselves and some others count as used."""
        holds = np.zeros(len(self.levels), bool)
        holds[list(self.outright)] = True
        holds[numbers] = True
        copy = self.copy()
        for own, number in self.numbers.items():
            if not holds[number]:
                copy.used[number] = None
                del copy.numbers[own]
                copy.everywhere.pop(own[0], None)
        return copy

    def number(self, key: str, subject: str) -> int:
        """The number of the figure that holds for a key and a part or conductor."""
        found = self.everywhere.get(key)
        if found is not None:
            return found
        own = (key, subject) if (key, subject) in self.overrides else (key, None)
        found = self.numbers.get(own)
        number = self._enter(own) if found is None else found
        if key not in self.with_subject:
            self.everywhere[key] = number
        return number

    def level(self, key: str, subject: str) -> Level:
        """The figure that holds for a key and a part or conductor, taken by itself."""
        number = self.number(key, subject)
        self.outright.add(number)
        return self.levels[number]

    @staticmethod
    def default(key: str) -> Assumption:
        """The built-in assumption."""
        return all_defaults()[key]

    def given(self, figure: Known, subject: str, what: str) -> Level:
        """A figure that a person gave; one given as a range moves by itself."""
        if not isinstance(figure, Span):
            return Level(figure, figure, figure)
        return self._range(figure, subject, what)

    def given_number(self, figure: Known, subject: str, what: str) -> tuple[int, float]:
        """A given figure as a number and a coefficient."""
        if not isinstance(figure, Span):
            return GIVEN, figure
        return self._range(figure, subject, what).number, 1.0

    def _range(self, span: Span, subject: str, what: str) -> Level:
        own = (f"range of {what}", subject)
        number = self.numbers.get(own)
        if number is None:
            number = self._add(own, Level(span.low, span.nominal, span.high, len(self.levels)), None)
            self.outright.add(number)
        return self.levels[number]

    def _enter(self, own: tuple[str, str | None]) -> int:
        override, number = self.overrides.get(own), len(self.levels)
        used, (low, value, high) = _taken(own[0]) if override is None else _overridden(*own, override)
        return self._add(own, Level(low, value, high, number), used)

    def _add(self, own: tuple[str, str | None], level: Level, used: AssumedValue | None) -> int:
        self.numbers[own] = len(self.levels)
        self.levels.append(level)
        self.used.append(used)
        return self.numbers[own]


@cache
def _taken(key: str) -> tuple[AssumedValue, tuple[float, float, float]]:
    """A built-in assumption as it is told, and its band as it is counted with."""
    default = all_defaults()[key]
    return _assumed_value(key, None, default, None), _counted(key, default)


def _overridden(
    key: str, subject: str | None, override: Override
) -> tuple[AssumedValue, tuple[float, float, float]]:
    return _assumed_value(key, subject, all_defaults()[key], override), _counted(key, override)


def _counted(key: str, taken: Assumption | Override) -> tuple[float, float, float]:
    """Low, value and high; for a conductor's temperature, its resistance over that at 20 °C."""
    band = taken.low, taken.value, taken.high
    if not key.startswith("conductor_temperature"):
        return band
    low, value, high = map(temperature_ratio, band)
    return low, value, high


def _assumed_value(
    key: str, subject: str | None, default: Assumption, override: Override | None
) -> AssumedValue:
    taken = default if override is None else override
    return AssumedValue(
        key=key,
        title=default.title,
        subject=subject,
        low=taken.low,
        value=taken.value,
        high=taken.high,
        unit=default.unit,
        source=taken.source,
        status=default.status if override is None else "override",
        overridden=override is not None,
    )


def per_twelve_volts(nominal_v: float) -> Ratio:
    """Factor for figures that are stated per 12 V of nominal voltage."""
    return nominal_v / 12.0

"""Which value stands for what nobody gave: part, then override of the part, of the boat, then the default."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from server.boat.boat import Boat, Override
from server.boat.value import Known, Span
from server.engine.answer import AssumedValue
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

    @classmethod
    def of(cls, boat: Boat) -> "Figures":
        """The resolver of a boat."""
        overrides = {(one.key, one.subject): one for one in boat.assumptions}
        subjects = frozenset(one.key for one in boat.assumptions if one.subject is not None)
        return cls(overrides, with_subject=subjects)

    def number(self, key: str, subject: str) -> int:
        """The number of the figure that holds for a key and a part or conductor."""
        found = self.numbers.get((key, None))
        if found is not None and key not in self.with_subject:
            return found
        own = (key, subject) if (key, subject) in self.overrides else (key, None)
        found = self.numbers.get(own)
        return self._enter(own) if found is None else found

    def level(self, key: str, subject: str) -> Level:
        """The figure that holds for a key and a part or conductor."""
        return self.levels[self.number(key, subject)]

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
        return self.levels[number]

    def _enter(self, own: tuple[str, str | None]) -> int:
        key, subject = own
        default, override = all_defaults()[key], self.overrides.get(own)
        taken = default if override is None else override
        used = _assumed_value(key, subject, default, override)
        number = len(self.levels)
        if key.startswith("conductor_temperature"):
            low, value, high = (temperature_ratio(t) for t in (taken.low, taken.value, taken.high))
            level = Level(low, value, high, number)
        else:
            level = Level(taken.low, taken.value, taken.high, number)
        return self._add(own, level, used)

    def _add(self, own: tuple[str, str | None], level: Level, used: AssumedValue | None) -> int:
        self.numbers[own] = len(self.levels)
        self.levels.append(level)
        self.used.append(used)
        return self.numbers[own]


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

"""The time axis of an event: logarithmic after each edge, where the fast things happen, linear between.

After an edge a time ``d`` stands at ``log(1 + d/10 µs)``, so that the edge itself has a place on the axis.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from server.engine.transient.answer import Phase, PhaseName

LOG_FROM_S = 10e-6
"""From here on a logarithmic stretch has equal room for each decade; below it is nearly linear."""

_WEIGHTS: "dict[PhaseName, float]" = {
    "before": 15,
    "start": 42,
    "run": 18,
    "release": 32,
    "after": 8,
    "dip": 46,
    "plateau": 18,
    "recovery": 30,
}
_AFTER_EDGE: "dict[PhaseName, str]" = {
    "start": "after the press",
    "release": "after the release",
    "dip": "into the dip",
    "recovery": "into the recovery",
}
_ROUND = (1.0, 2.0, 5.0)


@dataclass(frozen=True, slots=True)
class Zone:
    """One stretch of the axis; ``after`` says what its times count from where it is logarithmic."""

    name: str
    start_s: float
    end_s: float
    left: float
    right: float
    after: str

    @property
    def _decades(self) -> float:
        return math.log1p((self.end_s - self.start_s) / LOG_FROM_S)

    def x(self, at_s: float) -> float:
        """Where a time stands; times outside stand at the zone's ends."""
        since = min(max(at_s, self.start_s), self.end_s) - self.start_s
        share = (
            math.log1p(since / LOG_FROM_S) / self._decades
            if self.after
            else since / (self.end_s - self.start_s)
        )
        return self.left + share * (self.right - self.left)

    def time_s(self, x: float) -> float:
        """The time that stands at a place of the zone."""
        share = min(max((x - self.left) / (self.right - self.left), 0.0), 1.0)
        length = self.end_s - self.start_s
        return self.start_s + (
            LOG_FROM_S * math.expm1(share * self._decades) if self.after else share * length
        )


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on the axis and its time in words."""

    x: float
    text: str


@dataclass(frozen=True, slots=True)
class TimeAxis:
    """The stretches of an event side by side."""

    zones: tuple[Zone, ...]

    @property
    def left(self) -> float:
        """Where the axis begins."""
        return self.zones[0].left

    @property
    def right(self) -> float:
        """Where it ends."""
        return self.zones[-1].right

    def x(self, at_s: float) -> float:
        """Where a time stands."""
        return next((zone for zone in reversed(self.zones) if at_s >= zone.start_s), self.zones[0]).x(at_s)

    def time_s(self, x: float) -> float:
        """The time that stands at a place; the inverse of ``x``."""
        return next((zone for zone in reversed(self.zones) if x >= zone.left), self.zones[0]).time_s(x)

    def column_times_s(self, columns: int) -> list[float]:
        """The times at the borders of so many columns of equal width: one more than columns."""
        step = (self.right - self.left) / columns
        return [self.time_s(self.left + step * number) for number in range(columns + 1)]

    def told(self, at_s: float) -> str:
        """A time as it is read: since the last press or release, else before the first press."""
        zone = next((one for one in reversed(self.zones) if at_s >= one.start_s and one.after), None)
        if zone is None:
            first = "dip" if any(one.name == "dip" for one in self.zones) else "press"
            return f"{duration(abs(at_s))} before the {first}"
        return f"{duration(at_s - zone.start_s)} {zone.after}"

    def ticks(self) -> Iterator[Tick]:
        """Marks: every decade after an edge; round times where the axis is linear."""
        for zone in self.zones:
            yield from _decades(zone) if zone.after else _round_times(zone)


def time_axis(phases: "Sequence[Phase]", left: float, right: float) -> TimeAxis:
    """The axis of an event's phases between two places; what follows a release counts on from it.

    Phases begin at whole pixels, so that no column holds both sides of an edge.

    Raises:
        ValueError: no phase lasts.
    """
    spans: list[tuple[str, float, float, float, str]] = []
    edge = ""
    for phase in phases:
        if phase.end_s <= phase.start_s:  # an edge alone: what follows counts from it
            edge = _AFTER_EDGE.get(phase.name, edge)
            continue
        weight = _WEIGHTS[phase.name]
        if phase.name == "after" and spans and spans[-1][4] == _AFTER_EDGE["release"]:
            name, start_s, _, before, after = spans.pop()
            spans.append((f"{name} and after", start_s, phase.end_s, before + weight, after))
        else:
            after = _AFTER_EDGE.get(phase.name, edge)
            room = weight + (_WEIGHTS["start"] if edge else 0)
            spans.append((phase.name, phase.start_s, phase.end_s, room, after))
        edge = ""
    if not spans:
        raise ValueError("an event without a phase that lasts has no time axis")
    per_weight = (right - left) / sum(span[3] for span in spans)
    zones, at, weighed = [], left, 0.0
    for name, start_s, end_s, weight, after in spans:
        weighed += weight
        end = round(left + weighed * per_weight)
        if end > at:
            zones.append(Zone(name, start_s, end_s, at, end, after))
        at = end
    return TimeAxis(tuple(zones))


def duration(seconds: float) -> str:
    """A length of time in words, two digits.

    >>> duration(0.00001), duration(0.0124), duration(0.1), duration(2)
    ('10 µs', '12 ms', '0.1 s', '2 s')
    """
    if seconds < 0.5e-6:  # noqa: PLR2004 - half of the smallest step that is shown
        return "0 s"
    for limit, factor, unit in ((0.995e-3, 1e6, "µs"), (99.5e-3, 1e3, "ms"), (math.inf, 1.0, "s")):
        if seconds < limit:
            value = seconds * factor
            digits = max(0, 1 - math.floor(math.log10(value)))
            text = f"{value:.{digits}f}"
            return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {unit}"
    raise AssertionError("every finite time is below one of the limits")


def _decades(zone: Zone) -> Iterator[Tick]:
    power = round(math.log10(LOG_FROM_S))
    while (since := 10.0**power) <= zone.end_s - zone.start_s:
        yield Tick(zone.x(zone.start_s + since), duration(since))
        power += 1


def _round_times(zone: Zone) -> Iterator[Tick]:
    """About two round times inside a linear stretch, counted from the first press."""
    if zone.end_s <= 0:
        return
    step = round_step((zone.end_s - zone.start_s) / 2)
    number = math.floor(zone.start_s / step) + 1
    while (at_s := number * step) < zone.end_s:
        yield Tick(zone.x(at_s), duration(at_s))
        number += 1


def round_step(rough: float) -> float:
    """The next step of 1, 2 or 5 times a power of ten that is not below.

    >>> round_step(0.7), round_step(30.0)
    (1.0, 50.0)
    """
    power = 10.0 ** math.floor(math.log10(rough))
    return next((step * power for step in _ROUND if step * power >= rough * 0.999), 10 * power)

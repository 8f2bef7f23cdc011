"""How every point of an event fares: its bands, what it needs and stands, and whether it rides through."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from server.engine.answer import Band
from server.engine.outcome import Outcome, need_for
from server.engine.transient.answer import Instant
from server.engine.transient.circuit import TransientError
from server.engine.transient.event_bands import AFTER_RELEASE_S, SHORTENED_S, DrawnBand, drawn_bands
from server.engine.transient.event_in_time import EventInTime, Point
from server.engine.transient.spoken import spoken
from server.engine.transient.verdict import Drawn, Judgement, Limits, duration, judged, limits_of
from server.units import Volt


@dataclass(frozen=True, eq=False)
class EventVerdicts:
    """The verdicts of an event's points."""

    event: EventInTime
    draws_bands: bool = False

    def of(self, number: int) -> Judgement:
        """The verdict on a point, with its reason."""
        point, limits, drawn = self.event.points[number], self.limits[number], self.drawn_of(number)
        if limits is None or point.load is None:
            return Judgement("limit-not-known", "Two probes have no need.", 0.0)
        lowest_v = self.event.lowest(number).value
        found = judged(
            self.event.curves[number].longest_below,
            float(self.event.before_v[number]),
            self.lowest_band(number) or Band(lowest_v, lowest_v, lowest_v),
            limits,
            at_best=point.load in self.outcome.unknown,
            stretch=self.event.model.stretch,
            drawn=None if drawn is None else Drawn(drawn.surely_below_s, drawn.perhaps_below_s),
        )
        return replace(found, reason=_reason(found, limits, self.event.highest(number)))

    def drawn_of(self, number: int) -> DrawnBand | None:
        """The drawn bands of a point."""
        return None if self.drawn is None else self.drawn[number]

    def lowest_band(self, number: int) -> Band | None:
        """The band of a point's lowest voltage: drawn, else of the first instant; None for probes."""
        drawn = self.drawn_of(number)
        if drawn is not None:
            found: Band | None = drawn.lowest
        else:
            found = self._static_band(self.event.points[number], self.event.lowest(number).value)
        if found is not None and self.event.is_cut_off(number):
            return Band(0.0, 0.0, max(found.high, 0.0))
        return found

    @property
    def drawn(self) -> tuple[DrawnBand, ...] | None:
        """The bands of every point with all assumptions drawn, where that was asked for and can be done."""
        return self._drawn_or_why[0]

    @property
    def why_not_drawn(self) -> tuple[str, ...]:
        """What stands against drawing the bands, or is not in them, where they were asked for."""
        return self._drawn_or_why[1]

    @cached_property
    def _drawn_or_why(self) -> tuple[tuple[DrawnBand, ...] | None, tuple[str, ...]]:
        """The drawn bands and what is not in them, or what stands against them."""
        if not self.draws_bands:
            return None, ()
        needs = [None if limits is None else limits.need for limits in self.limits]
        extremes = self.event.extremes
        try:
            bands = drawn_bands(self.event.model, self.event.pairs, needs, extremes.low, extremes.high)
        except TransientError as error:
            why = spoken(str(error), self.event.model)
            return None, (f"bands by drawing the assumptions: at an end of one there is no solution, {why}",)
        return bands, tuple(self._not_in_the_bands())

    def _not_in_the_bands(self) -> Iterator[str]:
        """What parts do later than the bands look."""
        releases = [press.release_s for press in self.event.model.schedule.presses]
        late = dict.fromkeys(
            self.event.waves.circuit.switched[change.number].name
            for change in self.event.waves.changes
            if change.at_s > SHORTENED_S
            and not any(0 <= change.at_s - release_s <= AFTER_RELEASE_S for release_s in releases)
        )
        if late:
            yield (
                f"bands are drawn over the first {duration(SHORTENED_S)} of each press and over its release: "
                f"what {', '.join(late)} may do at other times is not in them"
            )

    @cached_property
    def limits(self) -> tuple[Limits | None, ...]:
        """What every point needs and stands; probes need nothing."""
        return tuple(self._limits(point) for point in self.event.points)

    @cached_property
    def outcome(self) -> Outcome:
        """How the loads fare at the first instant, by the steady network."""
        return Outcome.of(self.event.solution, self.event.solved)

    def _limits(self, point: Point) -> Limits | None:
        if point.load is None:
            return None
        solution = self.event.solution
        part, need = solution.parts[point.load[0]], self.outcome.needs.get(point.load)
        need = need_for(solution, self.event.solved, point.load) if need is None else need
        return limits_of(part, point.load[1], need, self.event.model.own)

    def _static_band(self, point: Point, lowest_v: Volt) -> Band | None:
        """The band of the first instant, laid around the lowest voltage."""
        if point.load not in self.event.solved.inputs:
            return None
        static = self.event.solved.lowest[self.event.solved.inputs.index(point.load)]
        return Band(lowest_v - (static.value - static.low), lowest_v, lowest_v + static.high - static.value)


def _reason(judgement: Judgement, limits: Limits, highest: Instant) -> str:
    if limits.maximum_v is None or highest.value <= limits.maximum_v:
        return judgement.reason
    return (
        f"{judgement.reason} It sees {highest.value:.1f} V, more than the {limits.maximum_v:.1f} V "
        "that it stands."
    )

"""What an event does to each of its points, with the verdict on it."""

from dataclasses import dataclass

from server.engine.transient.answer import PointAnswer
from server.engine.transient.event_causes import EventCauses
from server.engine.transient.event_in_time import EventInTime
from server.engine.transient.event_verdicts import EventVerdicts


@dataclass(frozen=True, eq=False)
class PointAnswers:
    """The answers of an event's points; without ``causes`` nobody asked what dips and kicks are made of."""

    event: EventInTime
    verdicts: EventVerdicts
    causes: EventCauses | None = None

    def all(self) -> tuple[PointAnswer, ...]:
        """Every point, in the event's order."""
        return tuple(self.of(number) for number in range(len(self.event.points)))

    def of(self, number: int) -> PointAnswer:
        """One of them."""
        event, point, lowest = self.event, self.event.points[number], self.event.lowest(number)
        released, drawn = event.released(number), self.verdicts.drawn_of(number)
        limits, band = self.verdicts.limits[number], self.verdicts.lowest_band(number)
        judgement = self.verdicts.of(number)
        return PointAnswer(
            key=point.key,
            name=point.name,
            before_v=float(event.before_v[number]),
            lowest=lowest,
            highest=event.highest(number),
            release_highest=released,
            average_v=float(event.averages[number]),
            lowest_band=band,
            highest_band=None if drawn is None else drawn.highest,
            need_v=None if limits is None else limits.need.value_v,
            need_source="" if limits is None else limits.need.source,
            need_assumed=limits is not None and limits.need.assumed,
            maximum_v=None if limits is None else limits.maximum_v,
            maximum_source="" if limits is None else limits.maximum_source,
            hold_up_s=None if limits is None or limits.hold_up is None else limits.hold_up.value,
            hold_up_assumed=limits is not None and limits.hold_up_assumed,
            below_need_s=judgement.below_need_s,
            perhaps_below_s=judgement.perhaps_below_s,
            surely_below_s=judgement.surely_below_s,
            verdict=judgement.verdict,
            reason=judgement.reason,
            dip_causes=() if self.causes is None else self.causes.of(number, lowest, of_rise=False),
            kick_causes=() if self.causes is None else self.causes.of(number, released, of_rise=True),
            band_basis="drawn" if drawn is not None else "none" if band is None else "first-instant",
            matters_most=None if drawn is None else drawn.matters_most,
        )

"""Why a point of an event dips and kicks: the shares of every element, adding up."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.answer import CauseShare, Instant
from server.engine.transient.causes import Accounts, BranchVolts, Moment, unit_flows
from server.engine.transient.event_in_time import EventInTime


@dataclass(frozen=True, eq=False)
class EventCauses:
    """The causes of an event's dips and kicks."""

    event: EventInTime

    def of(self, number: int, at: Instant | None, *, of_rise: bool) -> tuple[CauseShare, ...]:
        """The shares of a point's fall, or with ``of_rise`` of its rise, at an extreme."""
        flow = self.flows[:, number]
        if at is None or np.isnan(flow).any() or (not of_rise and self.event.is_cut_off(number)):
            return ()
        return self.accounts.shares(flow, self.event.moment(number, at), of_rise=of_rise)

    @cached_property
    def flows(self) -> Floats:
        """Unit currents of every point, for its causes."""
        tails, heads = (
            [point.tail for point in self.event.points],
            [point.head for point in self.event.points],
        )
        return unit_flows(self.event.model.before, tails, heads)

    @cached_property
    def accounts(self) -> Accounts:
        """Splits dips and kicks."""
        before = Moment(0, self.event.waves.start_s)
        extremes = [
            self.event.moment(number, instant)
            for number in range(len(self.event.points))
            for instant in (self.event.lowest(number), self.event.released(number))
            if instant is not None
        ]
        volts = BranchVolts.of(self.event.waves, [before, *extremes])
        return Accounts(
            self.event.solved.net, self.event.names, self.event.waves.circuit.branch_element, volts, before
        )

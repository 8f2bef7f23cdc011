"""Cable runs: named stretches between waypoints, along which conductors are laid; and room left for more."""

from typing import Annotated, Self

from pydantic import Field, model_validator

from server.boat.value import Fraction, Id, Name, NonNegative, Place, Positive, Text, Value, refuse


class Waypoint(Value):
    """A place aboard where runs meet or parts are reached from; where it lies on the plan may be unknown.

    Without a deck it is on that of its height.
    """

    id: Id
    name: Name
    place: Place | None = None
    deck: Id | None = None


class Run(Value):
    """A stretch between two waypoints.

    ``length_m`` is along the run without its drop; left out, it is the straight line between the waypoints
    on the plan. ``vertical_drop_m`` comes on top. ``trunking_mm2`` is the inside section of its trunking.
    """

    id: Id
    name: Name
    start: Id
    end: Id
    length_m: Positive | None = None
    vertical_drop_m: NonNegative | None = None
    zone: Id | None = None
    trunking_mm2: Positive | None = None
    notes: Text | None = None

    @model_validator(mode="after")
    def _joins_two(self) -> Self:
        if self.start == self.end:
            refuse("a run joins two waypoints; this one begins and ends at the same")
        return self


class Margin(Value):
    """What is left for later: a share by which what lies in a run may grow, and spare ways in a panel."""

    growth: Fraction | None = None
    spare_ways: Annotated[int, Field(ge=0, le=50)] | None = None

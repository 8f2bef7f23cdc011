"""A drawing under the plan: one of the boat's photos, laid down by two points whose places are known."""

from typing import Self

from pydantic import model_validator

from server.boat.value import Fraction, Id, NonNegative, Value, refuse


class Fix(Value):
    """One point of a drawing, as shares of its width and height, and where it lies on the plan."""

    x: Fraction
    y: Fraction
    from_bow_m: NonNegative
    from_centreline_m: float = 0.0


class Underlay(Value):
    """A photo that lies under the plan; its two points give scale, turn and place."""

    photo: Id
    first: Fix
    second: Fix

    @model_validator(mode="after")
    def _points_differ(self) -> Self:
        one, other = self.first, self.second
        if (one.x, one.y) == (other.x, other.y):
            refuse("the two points of a drawing are one; choose two that lie apart")
        if (one.from_bow_m, one.from_centreline_m) == (other.from_bow_m, other.from_centreline_m):
            refuse("the two points lie at one place on the plan; choose two that lie apart")
        return self

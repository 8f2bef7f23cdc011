"""Published numbers and assumptions: values that say where they come from."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, model_validator

Status = Literal["verified", "derived", "office", "memory"]
"""How far a figure was confirmed; ``office``: entered from its own copy or a maker's sheet."""

_STRONGEST_FIRST: tuple[Status, ...] = ("verified", "derived", "office", "memory")
_SHIPPED: tuple[Status, ...] = ("verified", "derived", "memory")
_STRICT = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


def status_of(text: str) -> Status:
    """Read a status word of a shipped row; raise ValueError for any other word."""
    for status in _SHIPPED:
        if text == status:
            return status
    raise ValueError(f"{text!r} is not a status; expected one of {', '.join(_SHIPPED)}")


def weakest(*statuses: Status) -> Status:
    """The least confirmed of some statuses: what a result computed from all of them inherits."""
    return max(statuses, key=_STRONGEST_FIRST.index)


def mark(status: Status) -> str:
    """Words to print beside a figure of this status; empty when none are needed."""
    return "from memory, confirm" if status == "memory" else ""


class Sourced(BaseModel):
    """A published number with its unit, origin and how far that origin was confirmed."""

    model_config = _STRICT

    value: float
    unit: str
    source: str
    status: Status
    note: str = ""

    @property
    def may_decide(self) -> bool:
        """True when this figure may decide pass or fail; one from memory may only derate or pre-fill."""
        return self.status != "memory"

    def times(self, factor: Sourced) -> Sourced:
        """This figure multiplied by a published pure factor, with both sources and the weaker status."""
        return Sourced(
            value=self.value * factor.value,
            unit=self.unit,
            source=f"{self.source}; {factor.source}",
            status=weakest("derived", self.status, factor.status),
            note="; ".join(note for note in (self.note, factor.note) if note),
        )


class NoFigure(BaseModel):
    """Says why there is no published figure to judge by, so that "cannot tell" can be explained."""

    model_config = _STRICT

    reason: str


class Assumption(BaseModel):
    """A value taken when nobody gave one: the value used, and the band it plausibly lies in."""

    model_config = _STRICT

    low: float
    value: float
    high: float
    unit: str
    source: str
    status: Status
    title: str = ""
    note: str = ""

    @model_validator(mode="after")
    def _is_ordered(self) -> Self:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"expected low <= value <= high, got {self.low}, {self.value}, {self.high}")
        return self

    def scaled(self, factor: float, unit: str) -> Assumption:
        """The same band multiplied by a positive factor, in the unit of the product.

        Raises:
            ValueError: the factor is not positive, which would turn the band around.
        """
        if factor <= 0:
            raise ValueError(f"a band can only be scaled by a positive factor, got {factor}")
        scaled = {"low": self.low * factor, "value": self.value * factor, "high": self.high * factor}
        return self.model_copy(update={**scaled, "unit": unit})

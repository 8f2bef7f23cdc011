"""What every value of the document shares: frozen, strict, closed, named by short ids."""

from typing import Annotated, Literal, NoReturn, Self

from pydantic import BaseModel, ConfigDict, Discriminator, Field, StringConstraints, Tag, model_validator

Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]{0,31}$")]
"""Short, stable, unique in the boat, never reused and never shown as a name."""

TerminalName = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]{0,79}$")]

_PRINTABLE = r"^[^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*$"
Name = Annotated[str, StringConstraints(min_length=1, max_length=120, pattern=_PRINTABLE)]
Text = Annotated[str, StringConstraints(max_length=2000, pattern=_PRINTABLE)]

NonNegative = Annotated[float, Field(ge=0)]
Positive = Annotated[float, Field(gt=0)]
Fraction = Annotated[float, Field(ge=0, le=1)]
Temperature = Annotated[float, Field(ge=-60, le=250)]

Trace = Literal["seen", "assumed", "not-found"]
"""Whether a person saw the thing, takes it for granted, or looked for it in vain."""

YesNo = Literal["yes", "no"]
"""A yes or a no; left out means unknown."""


class Value(BaseModel):
    """A frozen value; unknown keys, NaN and infinities are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def refuse(message: str) -> NoReturn:
    """Say within a validator why a value cannot stand."""
    raise ValueError(message)


class Span(Value):
    """A figure known only as a range, with the likeliest value where there is one."""

    low: NonNegative
    high: NonNegative
    value: NonNegative | None = None

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.nominal <= self.high:
            refuse("a range runs from low to high with its value between them")
        return self

    @property
    def nominal(self) -> float:
        """The likeliest value, else the middle of the range."""
        return (self.low + self.high) / 2 if self.value is None else self.value


def _shape(figure: object) -> str:
    return "range" if isinstance(figure, dict | Span) else "figure"


Known = Annotated[
    Annotated[NonNegative, Tag("figure")] | Annotated[Span, Tag("range")], Discriminator(_shape)
]
"""A figure that may be known or known as a range; ``None`` beside it says unknown."""


def nominal(figure: Known) -> float:
    """The likeliest value of a figure."""
    return figure.nominal if isinstance(figure, Span) else figure


def bounds(figure: Known) -> tuple[float, float]:
    """The lowest and highest value of a figure."""
    return (figure.low, figure.high) if isinstance(figure, Span) else (figure, figure)


class TerminalRef(Value):
    """One terminal of one part."""

    part: Id
    terminal: TerminalName


class Place(Value):
    """Where a part sits: from the bow, from the centreline (starboard positive), above the waterline."""

    from_bow_m: NonNegative
    from_centreline_m: float = 0.0
    height_m: float = 0.0

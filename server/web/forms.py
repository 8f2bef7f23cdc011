"""Text as typed → a number with a unit, or a message that belongs beside the field."""

import math
from dataclasses import dataclass

MOST_CHARACTERS = 40


@dataclass(frozen=True)
class Wrong:
    """What is wrong with a text, and what to do."""

    message: str


def number(text: str, unit: str, example: str, *, at_most: float, above: float = 0.0) -> float | Wrong:
    """A number above a bound and up to another; a comma may stand for the point, the unit may be typed along.

    >>> number(" 4,5 m ", "m", "4.5", at_most=200)
    4.5
    >>> number("-1", "m", "4.5", at_most=200)
    Wrong(message='Enter more than 0 m, for example 4.5.')
    """
    plain = text.strip().removesuffix(unit).strip().replace(",", ".").replace("−", "-")
    try:
        value = float(plain) if len(plain) <= MOST_CHARACTERS and plain.isascii() else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        return Wrong(f"Enter a number in {unit}, for example {example}.")
    if value <= above:
        return Wrong(f"Enter more than {above:g} {unit}, for example {example}.")
    if value > at_most:
        return Wrong(f"Enter {at_most:g} {unit} at most.")
    return value

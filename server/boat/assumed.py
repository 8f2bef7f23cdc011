"""What is assumed for a whole boat: its own figure, else the built-in one."""

from collections.abc import Iterable

from server.boat.boat import Override
from server.practice.assumptions import default


def assumed(assumptions: Iterable[Override], key: str) -> tuple[float, float, float]:
    """Low, likeliest and high of what is assumed, in the unit of its key.

    >>> assumed((), "length_end_allowance")
    (0.1, 0.2, 0.5)
    """
    own = next((one for one in assumptions if one.key == key and one.subject is None), None)
    one = default(key) if own is None else own
    return one.low, one.value, one.high

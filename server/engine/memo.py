"""What a pure function made of frozen values, kept by the values' identity.

An edit shares everything it does not change, so after it only what changed is worked out anew. What is kept
stays alive, so that no other value takes its identity.
"""

from collections.abc import Callable
from typing import Generic, TypeVar

V = TypeVar("V")
R = TypeVar("R")

MOST_KEPT = 20_000
"""Beyond this a memo starts afresh; a kept value stays alive, so its identity stays its own."""


class Memo(Generic[V, R]):
    """A function of one frozen value that remembers."""

    def __init__(self, work: Callable[[V], R]) -> None:
        """Remember what ``work`` makes."""
        self._work = work
        self._kept: dict[int, tuple[V, R]] = {}

    def __call__(self, value: V) -> R:
        """What the function makes of a value."""
        found = self._kept.get(id(value))
        if found is None:
            if len(self._kept) >= MOST_KEPT:
                self._kept = {}
            found = self._kept[id(value)] = (value, self._work(value))
        return found[1]

"""What a pure function made of frozen values, kept by the values' identity.

An edit shares everything it does not change, so after it only what changed is worked out anew. What is kept
stays alive, so that no other value takes its identity.
"""

from collections import deque
from collections.abc import Callable
from operator import is_
from typing import Generic, TypeVar, TypeVarTuple

V = TypeVar("V")
R = TypeVar("R")
Vs = TypeVarTuple("Vs")

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


class Latest(Generic[*Vs, R]):
    """A function of several frozen values that remembers its latest few results."""

    def __init__(self, work: Callable[[*Vs], R], kept: int) -> None:
        """Remember the latest ``kept`` results of ``work``."""
        self._work = work
        self._kept: deque[tuple[tuple[*Vs], R]] = deque(maxlen=kept)

    def __call__(self, *values: *Vs) -> R:
        """What the function makes of some values."""
        for known, result in tuple(self._kept):
            if all(map(is_, known, values)):
                return result
        result = self._work(*values)
        self._kept.appendleft((values, result))
        return result

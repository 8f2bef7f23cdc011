"""Taking times: several runs, the best and the middle one."""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")
V = TypeVar("V")
LONGEST_S = 3.0
"""A measurement stops after about so long."""


@dataclass(frozen=True)
class Timed(Generic[T]):
    """What was worked out, and how long it took; the best run is the one least disturbed."""

    result: T
    best_s: float
    median_s: float

    @property
    def best_ms(self) -> float:
        """The best run in milliseconds."""
        return self.best_s * 1e3


def timed(work: Callable[[], T], runs: int = 9) -> Timed[T]:
    """Run some work several times, once before it counts."""
    begun = time.perf_counter()
    result = work()
    took: list[float] = []
    while len(took) < runs and (not took or time.perf_counter() - begun < LONGEST_S):
        start = time.perf_counter()
        result = work()
        took.append(time.perf_counter() - start)
    return Timed(result, min(took), statistics.median(took))


def timed_anew(made: Callable[[], V], work: Callable[[V], T], runs: int = 9) -> Timed[T]:
    """Run some work on a thing made anew each time; making it does not count."""
    begun = time.perf_counter()
    took: list[float] = []
    while not took or (len(took) < runs and time.perf_counter() - begun < LONGEST_S):
        thing = made()
        start = time.perf_counter()
        result = work(thing)
        took.append(time.perf_counter() - start)
    return Timed(result, min(took), statistics.median(took))

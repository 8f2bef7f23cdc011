"""All checks of a mode, against one operating point of the same boat."""

import math
import time
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.document import boat_bytes, read_boat
from server.checks.judge import BOAT_CHECKS, EVENT_CHECKS, MODE_CHECKS, findings
from server.engine.analysis import analyse_mode
from server.engine.answer import ModeAnswer
from server.engine.netlist import netlist
from server.engine.operating_point import OperatingPoint, operating_point
from tests.bench.boats import MODE, boat_of_conductors
from tests.bench.clock import timed_anew

CHECKED = (200, 1000)


@dataclass(frozen=True)
class ChecksRow:
    """All checks on one size of boat just read, its mode being answered; times in milliseconds."""

    conductors: int
    checks_ms: float
    operating_point_ms: float
    operating_points: float
    slowest: str
    slowest_ms: float
    found: int


def checks_row(size: int) -> ChecksRow:
    """Time all checks of one size of boat."""
    body = boat_bytes(boat_of_conductors(size))
    checks = timed_anew(lambda: _answered(body), lambda one: findings(*one), runs=3)
    point = timed_anew(lambda: read_boat(body), _solved, runs=5)
    slowest_s, slowest = _slowest(*_answered(body))
    return ChecksRow(
        conductors=size,
        checks_ms=checks.best_ms,
        operating_point_ms=point.best_ms,
        operating_points=checks.best_s / point.best_s,
        slowest=slowest,
        slowest_ms=slowest_s * 1e3,
        found=len(checks.result),
    )


def checks_growth(rows: list[ChecksRow]) -> float:
    """Slope of log time over log conductors between the two largest sizes; 1 is linear."""
    first, last = rows[-2:]
    return math.log(last.checks_ms / first.checks_ms) / math.log(last.conductors / first.conductors)


def _answered(body: bytes) -> tuple[Boat, ModeAnswer]:
    boat = read_boat(body)
    return boat, analyse_mode(boat, MODE, explained=())


def _solved(boat: Boat) -> OperatingPoint:
    net = netlist(boat, boat.modes[0])
    return operating_point(net.network, net.off)


def _slowest(boat: Boat, answer: ModeAnswer) -> tuple[float, str]:
    """The check that takes longest, each run once in its turn, and how long that is."""
    took = list[tuple[float, str]]()
    for check in (*EVENT_CHECKS, *MODE_CHECKS):
        begun = time.perf_counter()
        tuple(check(boat, answer))
        took.append((time.perf_counter() - begun, check.__name__))
    for alone in BOAT_CHECKS:
        begun = time.perf_counter()
        tuple(alone(boat))
        took.append((time.perf_counter() - begun, alone.__name__))
    return max(took)

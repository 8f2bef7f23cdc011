"""One conductor opened by the compensation theorem, against the same network solved without it."""

import numpy as np
import pytest

from server.boat.boat import Boat
from server.engine.one_lost import lost_ways
from server.engine.operating_point import operating_point
from server.engine.solution import EventSolution, Solution
from tests.engine.boats import Json, boat, wire

THIN = {"label": "16 AWG", "area_mm2": 1.31, "resistance_ohm_per_m": 0.0134}


def bonded() -> Boat:
    """A bonding wire from the block, and a link from it to the negative bar: a way beside the strap."""
    bonding: Json = {
        "kind": "bonding",
        "id": "bond",
        "name": "Bonding bus",
        "role": "bonding-bus",
        "studs": 4,
    }
    ways = [
        wire("w-bond", "block.stud-2", "bond.stud-1", size=THIN, insulation_c=105.0),
        wire("w-link", "bond.stud-2", "bar.stud-3"),
    ]
    return boat(parts=[bonding], conductors=ways)


def started(one: Boat) -> EventSolution:
    solution = Solution.of(one, "starting")
    return solution.event(solution.events[0].id)


def names(solved: EventSolution, rows: np.ndarray) -> list[str]:
    return [solved.net.labels[row].element for row in rows]


def test_where_no_other_way_is_left_nothing_runs_at_all() -> None:
    solved = started(bonded())
    ways = lost_ways(solved)
    opened = names(solved, ways.opened)
    (start,) = solved.net.rows_of["w-start"]

    assert {"w-strap", "w-bond", "w-link", "w-battery"} <= set(opened)
    assert abs(ways.current_a[start, opened.index("w-battery")]) < 1e-6
    assert abs(ways.current_a[start, opened.index("w-bond")]) > 200


def test_the_currents_are_those_of_the_network_without_it() -> None:
    """Loads of constant power bend, so the answer is the linear one: within 1 % here."""
    solved = started(bonded())
    ways = lost_ways(solved)
    strap = names(solved, ways.opened).index("w-strap")
    absent = (
        np.zeros(solved.net.network.size, bool)
        if solved.present.absent is None
        else solved.present.absent.copy()
    )
    absent[ways.opened[strap]] = True

    exact = operating_point(solved.net.network, absent)

    for name in ("w-bond", "w-link", "w-start", "w-battery"):
        (row,) = solved.net.rows_of[name]
        assert ways.current_a[row, strap] == pytest.approx(exact.current_a[row], rel=0.01)
    (bond,) = solved.net.rows_of["w-bond"]
    assert abs(ways.current_a[bond, strap]) > 100
    assert ways.current_a[ways.opened[strap], strap] == 0.0

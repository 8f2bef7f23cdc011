"""Lengths that follow: an edit of the plan of a boat with runs, beside one solution of that boat."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count, pairwise

from server.boat.boat import Boat
from server.boat.edits import PlacePart, PutRun, PutWaypoint, Several, apply
from server.boat.runs import Run, Waypoint
from server.boat.value import Place
from server.engine.netlist import netlist
from server.engine.operating_point import operating_point
from server.engine.solution import Solution, event_states
from tests.bench.boats import EVENT, MODE
from tests.bench.events import processor_ms

SIDES_M = (-1.2, 0.0, 1.2)
FRAMES = 13


@dataclass(frozen=True)
class FollowingRow:
    """Moving one waypoint, and one part, until every length has followed; processor times."""

    conductors: int
    routed: int
    waypoint_ms: float
    part_ms: float
    solve_ms: float

    @property
    def waypoint_solves(self) -> float:
        """How many solutions moving a waypoint takes as long as."""
        return self.waypoint_ms / self.solve_ms

    @property
    def part_solves(self) -> float:
        """How many solutions moving a part takes as long as."""
        return self.part_ms / self.solve_ms


def following_row(boat: Boat) -> FollowingRow:
    """Lay runs into a boat whose lengths are estimates, and move things to and fro."""
    estimated = tuple(
        one if one.kind == "link" else one.model_copy(update={"length_basis": "estimated"})
        for one in boat.conductors
    )
    edits = tuple(_grid())
    laid = apply(boat.model_copy(update={"conductors": estimated}), Several(edits=edits, label="Runs"))
    turns = count()

    def waypoint() -> object:
        place = Place(from_bow_m=6.0 + 0.01 * (next(turns) % 50))
        return apply(laid, PutWaypoint(waypoint=Waypoint(id="way-1-6", name="Middle", place=place)))

    def part() -> object:
        place = Place(from_bow_m=4.0 + 0.01 * (next(turns) % 50), height_m=0.5)
        return apply(laid, PlacePart(part="load-0", place=place))

    event = Solution.of(laid, MODE).event(EVENT)

    def solve() -> object:
        net = netlist(laid, laid.modes[0], event.event.conditions)
        return operating_point(net.network, event_states(net, event.heavy)[1])

    return FollowingRow(
        len(laid.conductors),
        sum(one.length_basis == "routed" for one in laid.conductors),
        processor_ms(waypoint, runs=5),
        processor_ms(part, runs=5),
        processor_ms(solve, runs=5),
    )


def _grid() -> Iterator[PutWaypoint | PutRun]:
    """Three runs along the boat and one across at every frame."""
    names = [[f"way-{side}-{frame}" for frame in range(FRAMES)] for side in range(len(SIDES_M))]
    for side, along in enumerate(names):
        for frame, name in enumerate(along):
            place = Place(from_bow_m=float(frame), from_centreline_m=SIDES_M[side])
            yield PutWaypoint(waypoint=Waypoint(id=name, name=name, place=place))
    lines = [*names, *map(list, zip(*names, strict=True))]
    pairs = [pair for line in lines for pair in pairwise(line)]
    for number, (start, end) in enumerate(pairs):
        yield PutRun(run=Run(id=f"run-{number}", name=f"Run {number}", start=start, end=end))

"""A place answers with the very boat that the move makes, its way through the runs included (law 16)."""

import pytest

from server.boat.edits import MoveLead, PlacePart, PutRun, PutWaypoint, apply
from server.boat.runs import Run, Waypoint
from server.engine.analysis import analyse_mode
from server.engine.taps import pick_up
from tests.checks.small import read, small


def test_a_place_across_the_boat_costs_the_drop_of_its_run() -> None:
    boat = read(small())
    for name in ("aft", "fore"):
        boat = apply(boat, PutWaypoint(waypoint=Waypoint(id=name, name=name)))
    boat = apply(boat, PutRun(run=Run(id="run", name="Run", start="aft", end="fore", length_m=8.0)))
    for part, where in (("radio", "aft"), ("minus", "aft"), ("engine", "fore"), ("shunt", "aft")):
        boat = apply(boat, PlacePart(part=part, waypoint=where, from_waypoint_m=0.5))
    found = pick_up(boat, "radio", "negative", "sailing", None)
    engine = next(one for one in found.taps if one.terminal.part == "engine")
    moved = apply(boat, MoveLead(part="radio", terminal="negative", to=engine.terminal))
    answer = analyse_mode(moved, "sailing")

    assert engine.length_basis == "routed"
    assert engine.length_m == pytest.approx(0.5 + 8.0 + 0.5 + 2 * 0.2)
    assert answer.loads[0].voltage_v is not None
    assert engine.steady_v == pytest.approx(answer.loads[0].voltage_v, rel=1e-9)

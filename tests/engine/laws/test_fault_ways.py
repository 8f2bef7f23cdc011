"""Laws of the ways of faults on random boats."""

import numpy as np
import pytest
from hypothesis import given, settings

from server.boat.boat import Boat
from server.boat.leads import lead
from server.engine.fault_ways import FaultWays
from server.engine.faults import lowest_fault_a
from tests.boat.strategies import boats

EXACT = 1e-9


@settings(max_examples=50)
@given(boats())
def test_the_first_wire_of_a_lead_sees_the_fault_of_its_own_load(boat: Boat) -> None:
    """Two ways to the same number: pairs of nodes along a way, and the terminals of the load."""
    for mode in boat.modes:
        lowest = lowest_fault_a(boat, mode)
        seen = {(one.conductor, one.load): one.fault_a for one in FaultWays(boat, mode).ways()}
        for (part, terminal), amps in lowest.items():
            wires = lead(boat, part, terminal).conductors
            if wires and (wires[0], (part, terminal)) in seen:
                assert seen[wires[0], (part, terminal)] == pytest.approx(amps, rel=EXACT)


@settings(max_examples=50)
@given(boats())
def test_what_goes_out_comes_back(boat: Boat) -> None:
    """Kirchhoff at the load: all of its unit current runs in by its positive lead and out by its negative."""
    for mode in boat.modes:
        ways = FaultWays(boat, mode)
        labels = [ways.faults.net.labels[row].element for row in ways.rows]
        for column, (part, terminal) in enumerate(ways.inputs):
            for end in (terminal, "negative"):
                for name in lead(boat, part, end).conductors:
                    shares = [ways.share[row, column] for row, label in enumerate(labels) if label == name]
                    assert np.abs(shares) == pytest.approx([1.0] * len(shares), rel=1e-6)
        assert all(one.is_return == (one.fault_a == 0) for one in ways.ways())

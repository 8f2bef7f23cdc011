"""Unit currents by way of dead-end branches, against a full solution for each input."""

import numpy as np
import pytest
from hypothesis import assume, given

from server.engine.network import Network
from server.engine.operating_point import operating_point
from server.engine.shared_path import SourceNetwork
from server.engine.solution import Solution
from server.engine.unit_ways import UnitWays
from tests.bench.boats import MODE, boat_of_conductors
from tests.engine.demo import DEMO_BOATS, demo_boat
from tests.engine.laws.test_shared_path import victims
from tests.engine.strategies import networks


def agree(source: SourceNetwork, ways: UnitWays) -> None:
    """Every unit current, and every sum of squares, to rounding."""
    full = source.unit_currents(ways.elements)
    weights = np.stack([np.linspace(0.1, 1.0, len(full)), np.ones(len(full))])

    found = np.stack([ways.unit(at) for at in range(len(ways.elements))], axis=1)
    assert found == pytest.approx(full, abs=1e-9)
    assert ways.at(slice(0, 5)) == pytest.approx(full[:5], abs=1e-9)
    assert ways.squares_over(weights) == pytest.approx(weights @ full**2, abs=1e-8)
    some = list(range(0, len(full), 3))
    assert ways.squares_among(weights, some, 0) == pytest.approx(
        weights[:, some] @ full[some, 0] ** 2, abs=1e-8
    )


@given(networks())
def test_an_ampere_flows_whole_through_a_branch_in_every_network(network: Network) -> None:
    """Kirchhoff's current law, in meshes and in trees; loads anywhere."""
    source = SourceNetwork(operating_point(network))
    elements = victims(network)
    elements = elements[source.reaches(elements)]
    assume(len(elements))

    agree(source, UnitWays(source, elements))


@pytest.mark.parametrize("name", DEMO_BOATS)
def test_and_on_every_demo_boat(name: str) -> None:
    """Kirchhoff's current law in every mode."""
    for mode in demo_boat(name).modes:
        solution = Solution.of(demo_boat(name), mode.id)
        fed = solution.elements[solution.source_network.reaches(solution.elements)]
        agree(solution.source_network, UnitWays(solution.source_network, fed))


def test_the_loads_of_a_panel_draw_on_the_network_alike() -> None:
    """Far fewer solutions than loads: a panel's loads end on the same two nodes."""
    solution = Solution.of(boat_of_conductors(200), MODE)
    ways = UnitWays(solution.source_network, solution.elements)

    assert ways.core.shape[1] * 4 < len(solution.elements)

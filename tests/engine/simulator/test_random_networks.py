"""Second opinion: random networks solved by us and by an independent general circuit simulator (ngspice)."""

import numpy as np
import pytest

from server.engine.network import Network
from server.engine.operating_point import operating_point
from server.papers.spice import deck
from tests.engine.simulator.opinion import second_opinion
from tests.engine.strategies import random_network

NOMINAL_V = 12.0
AGREEMENT = 1e-6
"""Largest difference of a node voltage over the nominal voltage."""


@pytest.mark.parametrize("seed", range(40))
def test_the_simulator_finds_the_same_voltages(seed: int) -> None:
    """Node by node; nodes that no source reaches are nan on our side and left out of the deck's islands."""
    network = random_network(seed)

    ours = operating_point(network)

    assert not len(ours.unsettled)
    assert worst_difference(network, f"random-{seed}") < AGREEMENT


@pytest.mark.parametrize("seed", range(40, 50))
def test_they_agree_with_the_heavy_load_taken_out(seed: int) -> None:
    """The heavy load is the last resistive element of a random network."""
    network = random_network(seed)
    absent = np.zeros(network.size, bool)
    absent[network.spans["resistive"].stop - 1] = True

    assert worst_difference(network, f"random-{seed}-absent", absent) < AGREEMENT


def worst_difference(network: Network, name: str, absent: np.ndarray | None = None) -> float:
    """Largest |Δv| over nodes that are fed, over the nominal voltage, islands compared by differences."""
    ours = operating_point(network, absent)
    text = deck(
        network, name, absent=absent, relays=ours.states.relays, guess_v=np.round(ours.node_v, 3).tolist()
    )
    theirs = second_opinion(name, text, network.nodes)
    fed = np.flatnonzero(~np.isnan(ours.node_v) & ~np.isnan(theirs))
    assert len(fed) > 2
    return float(np.abs(ours.node_v[fed] - theirs[fed]).max() / NOMINAL_V)

"""Second opinion on the fault currents of demo boats and random ones: the short in the deck, and its current.

A deck holds the network once for each place looked at, with the short as a milliohm there: what flows is then
V / (R + 1 mΩ) of our equivalent source, and the voltage across the milliohm tells it exactly.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.engine.faults import End, FaultNetwork
from tests.engine.random_boats import random_boat
from tests.engine.simulator.opinion import second_opinion

SEED_BOATS = Path(__file__).parents[3] / "seed_boats"
SHORT_OHM = 1e-3
PLACES = 5
AGREEMENT = 1e-6


def places_of(faults: FaultNetwork) -> list[tuple[int, int]]:
    """Pairs of nodes spread over the boat: to the negative side, or across the terminals of loads."""
    if faults.end == "lowest":
        network = faults.net.network
        rows = list(faults.net.inputs.values())
        pairs = [(int(network.tail[row]), int(network.head[row])) for row in rows]
    else:
        ground = int(faults.ground[0])
        live = sorted({node for node in faults.net.nodes.values() if not faults.negative[node]})
        pairs = [(node, ground) for node in live]
    plus, minus = np.array(pairs).T
    fed = [pair for pair, amps in zip(pairs, faults.currents(plus, minus), strict=True) if amps > 0]
    return fed[:: max(1, len(fed) // PLACES)][:PLACES]


def copy_of(faults: FaultNetwork, offset: int, short: tuple[int, int]) -> Iterator[str]:
    """The lines of one copy of the network with its short; merged elements are sources of no voltage."""
    net, network = faults.net, faults.net.network

    def name(node: int) -> str:
        return "0" if faults.node_of[node] in faults.ground else f"n{node + offset}"

    joined = [row for row in range(network.size) if faults.conductance[row] > 0]
    spans = network.spans
    for row in joined:
        tail, head = name(network.tail[row]), name(network.head[row])
        ohm = 1 / float(faults.conductance[row])
        if spans["sources"].start <= row < spans["sources"].stop:
            emf_v = float(network.sources.emf_v[row - spans["sources"].start])
            yield f"V{offset}x{row} i{offset}x{row} {tail} {emf_v!r}"
            yield f"Rs{offset}x{row} i{offset}x{row} {head} {ohm!r}"
        elif tail != head:
            yield f"R{offset}x{row} {tail} {head} {ohm!r}"
    for row in np.flatnonzero(network.merged).tolist():
        tail, head = name(network.tail[row]), name(network.head[row])
        if tail != head:
            yield f"Rm{offset}x{row} {tail} {head} 1e-9"
    if faults.end == "highest":
        for row, limit_a in enumerate(network.limited.limit_a.tolist()):
            tail, head = name(network.limited.tail[row]), name(network.limited.head[row])
            if tail != head and not net.off[spans["limited"].start + row]:
                yield f"I{offset}x{row} {tail} {head} {limit_a!r}"
    yield f"Rfault{offset} {name(short[0])} {name(short[1])} {SHORT_OHM!r}"


RANDOM = 8


@pytest.mark.parametrize("end", ["highest", "lowest"])
@pytest.mark.parametrize("boat", [path.stem for path in sorted(SEED_BOATS.glob("*.json"))])
def test_the_simulator_finds_the_same_fault_currents(boat: str, end: End) -> None:
    one = read_boat((SEED_BOATS / f"{boat}.json").read_bytes())
    assert assert_agreed(boat, one, end) == PLACES


@pytest.mark.parametrize("end", ["highest", "lowest"])
@pytest.mark.parametrize("seed", range(RANDOM))
def test_and_on_boats_wired_at_random(seed: int, end: End) -> None:
    assert assert_agreed(f"random-{seed}", random_boat(seed), end) > 2


def assert_agreed(name: str, one: Boat, end: End) -> int:
    """Both find the same current at every place that is looked at; how many places that are."""
    faults = FaultNetwork(one, one.modes[-1], end)
    places, nodes = places_of(faults), faults.net.network.nodes
    lines = [line for n, short in enumerate(places) for line in copy_of(faults, n * nodes, short)]
    deck = "\n".join([f"* {name}, {end} fault currents", *lines, ".op", ".end", ""])

    shorts = np.array([[n * nodes + node for node in short] for n, short in enumerate(places)])
    volts = second_opinion(f"faults/{name}-{end}", deck, nodes * len(places), np.unique(shorts))

    volts = np.where(np.isnan(volts), 0.0, volts)
    for short, (plus, minus) in zip(places, shorts, strict=True):
        seen = faults.thevenin(*(np.array([node]) for node in short))
        ohm, open_v = (float(one[0]) for one in seen)
        at_ground = [faults.node_of[node] in faults.ground for node in short]
        across = (0.0 if at_ground[0] else volts[plus]) - (0.0 if at_ground[1] else volts[minus])
        assert across / SHORT_OHM == pytest.approx(open_v / (ohm + SHORT_OHM), rel=AGREEMENT)
    return len(places)

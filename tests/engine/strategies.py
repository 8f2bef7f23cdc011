"""Random networks, solvable by construction: what people build, loops and batteries in series included."""

import numpy as np
from hypothesis import strategies as st

from server.engine.network import (
    Converters,
    Diodes,
    LimitedSources,
    Loads,
    Network,
    Relays,
    Resistors,
    Sources,
)


def networks(*, power: bool = True, piecewise: bool = True) -> st.SearchStrategy[Network]:
    """Random networks by seed."""
    seeds = st.integers(0, 2**32 - 1)
    return seeds.map(lambda seed: random_network(seed, power=power, piecewise=piecewise))


def random_network(  # noqa: PLR0912 - what people build has many kinds
    seed: int, *, power: bool = True, piecewise: bool = True
) -> Network:
    """A positive and a negative side, each a random tree with extra loops, batteries and loads between them.

    Node 0 is the first battery's negative post, node 1 its positive one. The heavy load is the last resistive
    one.
    """
    rng = np.random.default_rng(seed)
    nodes = 2
    sides: list[list[int]] = [[0], [1]]
    resistors: list[tuple[float, ...]] = []
    for side in sides:
        for _ in range(int(rng.integers(3, 12))):
            resistors.append((float(rng.choice(side)), nodes, _ohm(rng)))
            side.append(nodes)
            nodes += 1
        for _ in range(int(rng.integers(0, 4))):
            a, b = rng.choice(side, 2, replace=False)
            resistors.append((float(a), float(b), _ohm(rng)))
    negative, positive = sides
    sources: list[tuple[float, ...]] = [(0, 1, 12.6, 0.004)]
    for _ in range(int(rng.integers(0, 3))):
        sources.append(
            (_pick(rng, negative), _pick(rng, positive), rng.uniform(12.2, 12.8), rng.uniform(0.003, 0.01))
        )
    if rng.random() < 0.4:  # two six-volt batteries in series
        sources += [(_pick(rng, negative), nodes, 6.3, 0.002), (nodes, _pick(rng, positive), 6.2, 0.002)]
        nodes += 1
    loads: list[tuple[float, ...]] = []
    resistive: list[tuple[float, ...]] = []
    for _ in range(int(rng.integers(2, 9))):
        tail, head = nodes, nodes + 1
        nodes += 2
        resistors += [
            (_pick(rng, positive), tail, 3 * _ohm(rng)),
            (head, _pick(rng, negative), 3 * _ohm(rng)),
        ]
        match int(rng.integers(0, 3)) if power else int(rng.integers(0, 2)):
            case 0:
                resistive.append((tail, head, rng.uniform(2, 20)))
            case 1:
                loads.append((tail, head, rng.uniform(0.5, 8), 0, 0))
            case _:
                loads.append((tail, head, rng.uniform(5, 60), 1, 5.0))
    limited: list[tuple[float, ...]] = []
    diodes: list[tuple[float, ...]] = []
    converters = Converters()
    if piecewise:
        for _ in range(int(rng.integers(0, 3))):
            ends = _pick(rng, negative), _pick(rng, positive)
            limited.append((*ends, rng.uniform(12.0, 14.6), rng.uniform(0.005, 0.05), rng.uniform(5, 60)))
        for _ in range(int(rng.integers(0, 3))):
            diodes.append((_pick(rng, positive), _pick(rng, positive), 0.4, 0.01))
        if rng.random() < 0.4:
            loads.append((_pick(rng, positive), _pick(rng, negative), 0.0, 1, 9.0))
            limited.append((_pick(rng, negative), nodes, 13.5, 0.02, 20.0))
            loads.append((nodes, _pick(rng, negative), rng.uniform(1, 5), 0, 0))
            nodes += 1
            converters = Converters(
                np.array([len(loads) - 2]), np.array([len(limited) - 1]), np.array([0.85]), np.array([1.5])
            )
    resistive.append((_pick(rng, positive), _pick(rng, negative), rng.uniform(0.03, 0.2)))
    return Network(
        nodes=nodes,
        resistors=Resistors.of(resistors),
        sources=Sources.of(sources),
        limited=LimitedSources.of(limited),
        diodes=Diodes.of(diodes),
        relays=Relays.of([]),
        resistive=Resistors.of(resistive),
        loads=Loads.of(loads),
        converters=converters,
    )


def _ohm(rng: np.random.Generator) -> float:
    return float(10 ** rng.uniform(-3.7, -1.7))


def _pick(rng: np.random.Generator, side: list[int]) -> float:
    return float(rng.choice(side))

"""Currents through elements too short to be solved, by Kirchhoff's current law."""

import numpy as np

from server.engine.arrays import Floats
from server.engine.network import Network


def merged_currents(network: Network, current: Floats) -> Floats:
    """The currents with those of merged elements filled in.

    On a tree of short elements the law alone decides. Around a loop of them nothing does, so equal
    resistances are taken. What a short across a source carries is the source's own current.
    """
    rows = np.flatnonzero(network.merged)
    nodes, place = np.unique(np.concatenate([network.tail[rows], network.head[rows]]), return_inverse=True)
    ends = place.reshape(2, -1)
    incidence = np.zeros((len(nodes), len(rows)))
    np.add.at(incidence, (ends[0], np.arange(len(rows))), 1.0)
    np.add.at(incidence, (ends[1], np.arange(len(rows))), -1.0)
    leaving = np.bincount(network.tail, current, network.nodes) - np.bincount(
        network.head, current, network.nodes
    )
    filled = current.copy()
    filled[rows] = np.linalg.lstsq(incidence, -leaving[nodes], rcond=None)[0]
    return filled

"""Which side of a loop an element lies on."""

from typing import Literal

from server.engine.topology import Topology

Side = Literal["positive", "negative", "battery"]


def side_of(topology: Topology, row: int, kind: str) -> Side:
    """Positive or negative side, by what copper joins the element to; batteries by themselves."""
    if kind == "battery":
        return "battery"
    return "negative" if topology.negative_nodes[topology.net.network.tail[row]] else "positive"

"""What a battery monitor does not see: currents that enter its bank's negative beside the measuring shunt.

By Kirchhoff's law at the copper between the bank's negative posts and the shunt: what the posts carry less
what the shunt carries is what all else brings there.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from server.boat.boat import Boat
from server.boat.parts import Battery, MeasuringShunt
from server.engine.solution import Solution
from server.units import Ampere

LEAST_A: Ampere = 1e-6
"""Less than this is rounding, not a current."""


@dataclass(frozen=True, slots=True)
class Uncounted:
    """A part's current that the shunt misses: positive where it discharges the bank, else negative.

    ``input`` is the input of a load; None for all else.
    """

    part: str
    input: str | None
    current_a: Ampere


def banked(boat: Boat, shunt: MeasuringShunt) -> frozenset[str]:
    """The batteries that a measuring shunt counts for."""
    return frozenset(
        part.id
        for part in boat.parts
        if isinstance(part, Battery)
        and (part.bank == shunt.bank or (shunt.bank is None and part.use == "house"))
    )


def uncounted_currents(boat: Boat, mode_id: str, shunt: MeasuringShunt) -> Iterator[Uncounted]:
    """The steady currents of a mode that a shunt misses, in the order of the network.

    Raises:
        UnknownModeError: the boat has no such mode.
    """
    solution = Solution.of(boat, mode_id)
    net, network = solution.net, solution.net.network
    bank, pieces = banked(boat, shunt), solution.topology.without_shunts
    positives = {pieces[net.node(name, "positive")] for name in bank}
    between = {pieces[net.node(name, "negative")] for name in bank} - positives
    enters = np.isin(pieces[network.head], list(between))
    leaves = np.isin(pieces[network.tail], list(between))
    brought = solution.steady.current_a * (enters.astype(float) - leaves.astype(float))
    inputs = {element: name for name, element in net.inputs.items()}
    for row in np.flatnonzero(np.abs(brought) > LEAST_A).tolist():
        label = net.labels[row]
        if label.kind != "measuring-shunt" and label.element not in bank:
            part, name = inputs.get(row, (label.element, None))
            yield Uncounted(part, name, float(brought[row]))

"""Objects to voltages, against one sparse factorisation and against a simulator's whole process."""

import math
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from scipy.sparse import csc_array

from server.boat.boat import Boat
from server.boat.document import boat_bytes, read_boat
from server.engine.netlist import netlist
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.solution import Solution
from server.engine.system import factorise, grounding
from server.papers.boat_deck import boat_deck
from tests.bench.boats import MODE, boat_of_conductors
from tests.bench.clock import timed, timed_anew
from tests.engine.simulator.run import node_voltages, simulator

SIZES = (50, 200, 1000, 5000)


@dataclass(frozen=True)
class OperatingRow:
    """The operating point of one size of boat; times in milliseconds.

    ``first`` is a boat just read, of which nothing is kept but the columns that reading made, and reading is
    timed with them. ``edited`` has one conductor changed against a boat that was solved before. The others
    are of a boat that was solved before, in a mode filled in anew.
    """

    conductors: int
    nodes: int
    document_to_objects_ms: float
    objects_to_network_ms: float
    network_to_voltages_ms: float
    objects_to_voltages_ms: float
    first_network_ms: float
    first_voltages_ms: float
    edited_voltages_ms: float
    factorisation_ms: float
    factorisations: float
    simulator_ms: float | None
    faster_than_simulator: float | None
    first_faster_than_simulator: float | None
    difference: float | None


def operating_rows(sizes: tuple[int, ...] = SIZES) -> Iterator[OperatingRow]:
    """A row for each size."""
    return (_row(boat_of_conductors(size)) for size in sizes)


def growth_exponent(rows: list[OperatingRow]) -> float:
    """Slope of log time over log conductors between the two largest sizes; 1 is linear."""
    first, last = rows[-2:]
    times = last.objects_to_voltages_ms / first.objects_to_voltages_ms
    return math.log(times) / math.log(last.conductors / first.conductors)


def _row(boat: Boat) -> OperatingRow:
    mode = boat.modes[0]
    body = boat_bytes(boat)
    reading = timed(lambda: read_boat(body), runs=5)
    drawing = timed(lambda: netlist(boat, mode))
    whole = timed(lambda: _voltages(boat))
    first_network = timed_anew(lambda: read_boat(body), lambda one: netlist(one, one.modes[0]))
    first = timed_anew(lambda: read_boat(body), _voltages)
    edited = timed_anew(lambda: _with_a_longer_lead(boat), _voltages)
    point = whole.result
    matrix, ones = _matrix(point), np.ones(point.network.nodes)
    factoring = timed(lambda: factorise(matrix).solve(ones))
    simulated_s, difference = _simulated(boat)
    return OperatingRow(
        conductors=len(boat.conductors),
        nodes=point.network.nodes,
        document_to_objects_ms=reading.best_ms,
        objects_to_network_ms=drawing.best_ms,
        network_to_voltages_ms=whole.best_ms - drawing.best_ms,
        objects_to_voltages_ms=whole.best_ms,
        first_network_ms=first_network.best_ms,
        first_voltages_ms=first.best_ms,
        edited_voltages_ms=edited.best_ms,
        factorisation_ms=factoring.best_ms,
        factorisations=whole.best_s / factoring.best_s,
        simulator_ms=None if simulated_s is None else simulated_s * 1e3,
        faster_than_simulator=None if simulated_s is None else simulated_s / whole.best_s,
        first_faster_than_simulator=None if simulated_s is None else simulated_s / first.best_s,
        difference=difference,
    )


def _voltages(boat: Boat) -> OperatingPoint:
    net = netlist(boat, boat.modes[0])
    return operating_point(net.network, net.off)


def _with_a_longer_lead(boat: Boat) -> Boat:
    """The boat with the conductor in the middle of its list another one: a value never seen before."""
    middle = len(boat.conductors) // 2
    longer = boat.conductors[middle].model_copy(update={"length_m": 9.0})
    conductors = (*boat.conductors[:middle], longer, *boat.conductors[middle + 1 :])
    return boat.model_copy(update={"conductors": conductors})


def _matrix(point: OperatingPoint) -> csc_array:
    """The stamped matrix: to factorise it and solve once is the floor for any nodal solution."""
    pattern, g = point.network.pattern, point.conductance
    return pattern.matrix(g, grounding(pattern, g, point.islands.ground))


def _simulated(boat: Boat) -> tuple[float | None, float | None]:
    """Seconds of the simulator's whole process, and its largest difference over the nominal voltage."""
    if simulator() is None:
        return None, None
    written = boat_deck(boat, MODE)
    ours = Solution.of(boat, MODE).steady.node_v
    process = timed(lambda: node_voltages(written.text, len(ours)), runs=3)
    both = ~np.isnan(ours) & ~np.isnan(process.result)
    return process.best_s, float(np.abs(ours - process.result)[both].max() / boat.nominal_voltage_v)


def as_json(rows: list[OperatingRow]) -> list[dict[str, Any]]:
    """The rows for a file."""
    return [asdict(row) for row in rows]

"""Why something has no answer, in the boat's own names."""

from collections.abc import Iterator, Sequence

import numpy as np

from server.boat.parts import Combiner
from server.engine.answer import LoadState, Trouble
from server.engine.naming import Names
from server.engine.netlist_rows import Terminal
from server.engine.operating_point import OperatingPoint
from server.engine.solution import EventSolution, Solution


def input_state(solution: Solution, key: Terminal, column: int) -> tuple[LoadState, str]:
    """The state of a load's input, and the reason where it is not simply fed."""
    net, steady, topology = solution.net, solution.steady, solution.topology
    element = net.inputs[key]
    tail, head = int(net.network.tail[element]), int(net.network.head[element])
    if topology.metal[tail] == topology.metal[head]:
        return "shorted", "Its positive and negative are joined by copper."
    reached = bool(solution.source_network.reaches(solution.elements[column : column + 1])[0])
    if not reached and not steady.current_a[element]:
        return _unreached(solution, tail, head)
    if element in steady.unsettled:
        return "not-solved", "No steady voltage was found for it."
    loads = net.network.spans["loads"]
    if loads.start <= element < loads.stop and steady.states.starved[element - loads.start]:
        volts = float(steady.element_v[element])
        return "cannot-run", f"It is left with {volts:.1f} V, too little to run."
    return "fed", ""


def _unreached(solution: Solution, tail: int, head: int) -> tuple[LoadState, str]:
    topology = solution.topology
    network = solution.net.network
    sources = [network.spans[kind] for kind in ("sources", "limited")]
    plus = np.concatenate([network.head[span] for span in sources])
    minus = np.concatenate([network.tail[span] for span in sources])
    positive = topology.among(topology.could_join, tail, plus)
    negative = topology.among(topology.could_join, head, minus)
    if positive and negative:
        return "switched-off", "A switch or breaker on its way is off, or no source on its way is on."
    if not positive and not negative:
        return "not-connected", "Neither its positive nor its negative side leads to a source."
    return "not-connected", f"Its {'negative' if positive else 'positive'} side leads to no source."


def diagnosed(solution: Solution, events: Sequence[EventSolution], names: Names) -> Iterator[Trouble]:
    """Everything that could not be solved, or is no part of the circuit."""
    yield from _loose_ends(solution, names)
    yield from _shorted(solution, names)
    yield from _relays_without_ground(solution, names)
    told = set[str]()
    for point, when in (
        (solution.steady, ""),
        *((e.present, f" when {e.event.name} begins") for e in events),
    ):
        yield from _unsettled(solution, point, names, when, told)


def _loose_ends(solution: Solution, names: Names) -> Iterator[Trouble]:
    for conductor in solution.boat.conductors:
        if conductor.tail is None or conductor.head is None:
            message = f"An end of {names.element(conductor.id)} lands on nothing: connect it or take it out."
            yield Trouble("loose-end", (conductor.id,), message)


def _shorted(solution: Solution, names: Names) -> Iterator[Trouble]:
    network, metal = solution.net.network, solution.topology.metal
    for kind in ("sources", "limited"):
        for row in range(network.spans[kind].start, network.spans[kind].stop):
            if metal[network.tail[row]] == metal[network.head[row]]:
                part = solution.net.labels[row].element
                amps = solution.steady.current_a[row]
                message = (
                    f"Copper joins the positive and negative of {names.element(part)}: a short of about "
                    f"{amps:.0f} A. Take one of the conductors off."
                )
                yield Trouble("shorted", (part,), message)


def _relays_without_ground(solution: Solution, names: Names) -> Iterator[Trouble]:
    net = solution.net
    landed = {(end.part, end.terminal) for c in solution.boat.conductors for end in (c.tail, c.head) if end}
    relays = {
        net.labels[row].element for row in range(*net.network.spans["relays"].indices(net.network.size))
    }
    for part in solution.boat.parts:
        if isinstance(part, Combiner) and part.id in relays and (part.id, "ground") not in landed:
            message = f"{names.element(part.id)} has no ground and so cannot measure: taken as open."
            yield Trouble("not-connected", (part.id,), message)


def _unsettled(
    solution: Solution, point: OperatingPoint, names: Names, when: str, told: set[str]
) -> Iterator[Trouble]:
    for row in point.unsettled:
        part = solution.net.labels[row].element
        if part in told:
            continue
        told.add(part)
        is_load = row >= solution.net.network.spans["loads"].start
        if is_load:
            message = (
                f"No steady voltage was found for {names.element(part)}{when}: it may be about to collapse; "
                "measure what it gets there."
            )
            yield Trouble("no-convergence", (part,), message)
        else:
            message = (
                f"{names.element(part)} does not settle{when}: each of its states calls for another; read "
                "off the voltages at which it closes and opens."
            )
            yield Trouble("does-not-settle", (part,), message)

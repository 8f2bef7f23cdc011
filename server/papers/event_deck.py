"""A boat's event in time as a transient deck, with the boat's own names in its comments."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from server.boat.boat import Boat
from server.boat.value import TerminalRef
from server.engine.naming import Names
from server.engine.netlist_rows import Terminal
from server.engine.solution import Solution
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.fed_model import FedModel, FedSolution
from server.engine.transient.model import NOWHERE, BoatModel
from server.engine.transient.solver import solve
from server.papers.boat_deck import boat_deck
from server.papers.switched_deck import with_plain_converters
from server.papers.transient_deck import NORMAL, stepping_for, transient_deck
from server.practice.supply import StartingLevel

STEPS = 10_000
"""No fewer than so many steps from beginning to end, however little happens."""


def event_deck(boat: Boat, mode: str, event: str) -> str:
    """The deck of an event in time; ``mode`` and ``event`` are ids.

    Raises:
        UnknownModeError: there is no such mode, or no such event in it; the message names those there are.
        TransientError: a heavy load is not fed, or what was entered for it contradicts itself.
    """
    boat_deck(boat, mode, event)  # its refusal names what there is
    solution = Solution.of(boat, mode)
    solved = solution.event(event)
    told = (
        f"Mode: {solution.mode.name} ({mode})",
        f"Event: {solved.event.name} ({event}), solved by Tapchart on the same circuit.",
    )
    return _deck(BoatModel(solution, solved), f"{boat.name}: {solved.event.name}, in time", told)


def fed_deck(boat: Boat, mode: str, level: StartingLevel) -> str:
    """The deck of a mode fed by a starting profile; ``mode`` is an id.

    Raises:
        UnknownModeError: there is no such mode.
        TransientError: a battery has no verified profile of this level.
    """
    solution = Solution.of(boat, mode)
    solved = FedSolution.of(solution, level)
    told = (
        f"Mode: {solution.mode.name} ({mode})",
        f"{solved.event.name}, in the place of every battery: a test wave, not this boat's batteries.",
    )
    return _deck(FedModel(solution, solved), f"{boat.name}: {solved.event.name}", told)


def _deck(model: BoatModel, title: str, told: tuple[str, ...]) -> str:
    circuit, names = model.circuit(), Names(model.solution.boat)
    changes = solve(circuit).changes
    if circuit.converters:
        circuit = with_plain_converters(circuit, changes)
    # Where nothing moves, no law's corner is passed: tight tolerances and long steps do, and do not stop.
    stepping = stepping_for(circuit) if changes else NORMAL
    if stepping is NORMAL:
        stepping = replace(NORMAL, longest_step_s=max(NORMAL.longest_step_s, circuit.end_s / STEPS))
    probes = dict(_probes(model, circuit, names))
    labels = [model.net.labels[row] if row >= 0 else None for row in circuit.branch_element.tolist()]
    return transient_deck(
        circuit,
        title,
        stepping=stepping,
        probes={node: ends for node, (_, ends) in probes.items()},
        labels=[f"{names.element(one.element)} ({one.kind})" if one else "no element" for one in labels],
        comments=[
            *told,
            "Run it with `ngspice -b FILE`, which prints each load's lowest and highest voltage, or with",
            "  `ngspice -b -r WAVES FILE`, which writes the waveforms into WAVES.",
            "Each load is a node, whose voltage is that across the load:",
            *(f"  {node}: {name}" for node, (name, _) in probes.items()),
            "Other nodes are against one node of each piece: read differences between them.",
            "A planning aid: the standards' full text, local codes and licensed practice decide.",
            *_nodes(model.nodes, names),
        ],
    )


def _probes(
    model: BoatModel, circuit: TransientCircuit, names: Names
) -> Iterator[tuple[str, tuple[str, tuple[int, int]]]]:
    """The loads that are on and fed, and what is pressed: probe, name, and the two nodes."""
    network, inputs = model.network, model.net.inputs
    pressed = {press.key: motor for press, motor in zip(model.schedule.presses, circuit.motors, strict=True)}
    found = [(names.input(*key), (motor.tail, motor.head)) for key, motor in pressed.items()]
    for key in model.solved.inputs:
        row = inputs[key]
        ends = int(model.numbers[network.tail[row]]), int(model.numbers[network.head[row]])
        if key not in pressed and NOWHERE not in ends:
            found.append((names.input(*key), ends))
    yield from zip(_node_names(name for name, _ in found), found, strict=True)


def _node_names(names: Iterable[str]) -> Iterator[str]:
    """Names as nodes, each once: ``at_`` and their letters and digits."""
    taken = set[str]()
    for name in names:
        plain = "at_" + re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")
        node, number = plain, 1
        while node in taken:
            number += 1
            node = f"{plain}_{number}"
        taken.add(node)
        yield node


def _nodes(nodes: Mapping[Terminal, int], names: Names) -> Iterator[str]:
    """Which terminals each node is."""
    yield "Nodes:"
    called: dict[int, list[str]] = {}
    for (part, terminal), node in nodes.items():
        called.setdefault(node, []).append(names.terminal(TerminalRef(part=part, terminal=terminal)))
    for node, terminals in sorted(called.items()):
        yield f"  n{node}: {'; '.join(dict.fromkeys(terminals))}"

"""A boat's event in time as a transient deck, with the boat's own names in its comments."""

from collections.abc import Iterator, Mapping

from server.boat.boat import Boat
from server.boat.value import TerminalRef
from server.engine.naming import Names
from server.engine.netlist_rows import Terminal
from server.engine.solution import Solution
from server.engine.transient.model import BoatModel
from server.papers.boat_deck import boat_deck
from server.papers.transient_deck import NORMAL, ROUGH, transient_deck

MANY_BRANCHES = 120
"""From here on a simulator is stopped by its own rounding unless it is asked for less (found by trial)."""


def event_deck(boat: Boat, mode: str, event: str) -> str:
    """The deck of an event in time; ``mode`` and ``event`` are ids.

    Raises:
        UnknownModeError: there is no such mode, or no such event in it; the message names those there are.
        TransientError: a heavy load is not fed, or what was entered for it contradicts itself.
    """
    steady = boat_deck(boat, mode, event)
    solution = Solution.of(boat, mode)
    solved = solution.event(event)
    model = BoatModel(solution, solved)
    circuit, names = model.circuit(), Names(boat)
    labels = [steady.net.labels[row] if row >= 0 else None for row in circuit.branch_element.tolist()]
    return transient_deck(
        circuit,
        f"{boat.name}: {solved.event.name}, in time",
        stepping=ROUGH if len(circuit.branches) > MANY_BRANCHES else NORMAL,
        labels=[f"{names.element(one.element)} ({one.kind})" if one else "preheat" for one in labels],
        comments=[
            f"Mode: {solution.mode.name} ({mode})",
            f"Event: {solved.event.name} ({event}), solved by Tapchart on the same circuit.",
            "Node voltages are against one node of each piece and mean nothing alone: read differences.",
            "A planning aid: the standards' full text, local codes and licensed practice decide.",
            *_nodes(model.nodes, names),
        ],
    )


def _nodes(nodes: Mapping[Terminal, int], names: Names) -> Iterator[str]:
    """Which terminals each node is."""
    yield "Nodes:"
    called: dict[int, list[str]] = {}
    for (part, terminal), node in nodes.items():
        called.setdefault(node, []).append(names.terminal(TerminalRef(part=part, terminal=terminal)))
    for node, terminals in sorted(called.items()):
        yield f"  n{node}: {'; '.join(dict.fromkeys(terminals))}"

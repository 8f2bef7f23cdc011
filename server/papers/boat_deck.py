"""A boat in one mode as a deck for a general circuit simulator, with the boat's own names in its comments."""

from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.modes import Conditions
from server.boat.value import TerminalRef
from server.engine.naming import Names
from server.engine.netlist import Netlist
from server.engine.operating_point import OperatingPoint
from server.engine.solution import Solution, UnknownModeError
from server.papers.spice import deck


@dataclass(frozen=True, eq=False)
class BoatDeck:
    """A deck, with the netlist it was written from and our own solution of it."""

    text: str
    net: Netlist
    point: OperatingPoint


def boat_deck(boat: Boat, mode: str, event: str | None = None) -> BoatDeck:
    """The deck of a mode's steady state, or of the first instant of an event.

    At the first instant the heavy load stands still, the event's conditions hold, and combining relays stand
    as they stood before. ``mode`` and ``event`` are ids.

    Raises:
        UnknownModeError: there is no such mode, or no such event in it; the message names those there are.
    """
    if mode not in {one.id for one in boat.modes}:
        raise UnknownModeError(f"no mode “{mode}” on this boat; it has {_listed([m.id for m in boat.modes])}")
    solution = Solution.of(boat, mode)
    if event is None:
        net, point = solution.net, solution.steady
    else:
        known = [one.id for one in events_of(boat) if one.mode == mode]
        if event not in known:
            raise UnknownModeError(f"no event “{event}” in mode “{mode}”; it has {_listed(known)}")
        solved = solution.event(event)
        net, point = solved.net, solved.present
    names = Names(boat)
    text = deck(
        net.network,
        f"{boat.name}: {solution.mode.name}",
        absent=point.absent,
        relays=point.states.relays,
        labels=[f"{names.element(label.element)} ({label.kind})" for label in net.labels],
        guess_v=[round(v, 6) for v in point.node_v.tolist()],
        comments=[*_what(solution, event), *_assumed(net), *_nodes(net, names)],
    )
    return BoatDeck(text, net, point)


def _listed(ids: list[str]) -> str:
    return ", ".join(ids) or "none"


def _what(solution: Solution, event: str | None) -> Iterator[str]:
    """What the deck is of, and on what basis."""
    mode = solution.mode
    yield f"Mode: {mode.name} ({mode.id})"
    if event is None:
        yield "Steady state: what the mode lists as on is on; every heavy load as it runs."
        conditions = mode.conditions
    else:
        found = next(one for one in solution.events if one.id == event)
        heavy = f"{found.heavy.part}.{found.heavy.input}"
        yield f"Event: {found.name} ({found.id}), first instant: {heavy} stalled, relays as before."
        conditions = found.conditions or mode.conditions
    yield f"Conditions: {_stated(conditions)}"
    yield "Node voltages are against one node of each piece and mean nothing alone: read differences."
    yield "A planning aid: the standards' full text, local codes and licensed practice decide."


def _stated(conditions: Conditions | None) -> str:
    stated = {} if conditions is None else conditions.model_dump(exclude_none=True)
    return (
        ", ".join(f"{name} {value}" for name, value in stated.items()) or "none stated; see what is assumed"
    )


def _assumed(net: Netlist) -> Iterator[str]:
    """What was taken for what nobody gave."""
    yield "Assumed:"
    for one in net.figures.used:
        if one is not None:
            subject = f" of {one.subject}" if one.subject else ""
            basis = "override" if one.overridden else one.status
            yield f"  {one.title}{subject}: {one.value:g} {one.unit} ({basis}: {one.source})"
    for subject, why in net.unknown:
        yield f"  {subject}: {why}"


def _nodes(net: Netlist, names: Names) -> Iterator[str]:
    """Which terminals each node is."""
    found: dict[int, list[str]] = {}
    for (part, terminal), node in net.nodes.items():
        called = names.terminal(TerminalRef(part=part, terminal=terminal))
        listed = found.setdefault(int(net.network.node_of[node]), [])
        if called not in listed:
            listed.append(called)
    yield "Nodes:"
    for node, called_so in sorted(found.items()):
        yield f"  n{node}: {'; '.join(called_so)}"

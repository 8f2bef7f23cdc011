"""Circuits fed twice, feeds that may meet inside a load, and returns that run through a heavy one."""

from collections.abc import Iterator

import networkx as nx

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.boat.leads import Landings, lead
from server.boat.parts import Battery, Combiner, Contact, EngineBlock, Isolator, Load
from server.boat.terminals import terminals
from server.checks.feeders import SENSITIVE
from server.checks.feeds import Device
from server.checks.paths import Node, Paths, source_posts
from server.checks.shorts import Shorts
from server.checks.words import the
from server.engine.answer import ModeAnswer

COMMON = "common practice, no source"


def fed_twice(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Circuits that two devices feed side by side: opening one leaves them alive, and both add up.

    Copper with a source, a selector, a relay or an isolator on it is left out: there two feeds are meant.
    """
    shorts = Shorts.of(boat, answer)
    meant = {
        shorts.piece[part.id, name]
        for part in boat.parts
        if isinstance(part, (Contact, Combiner, Isolator)) and _joins_banks(part)
        for name in terminals(part)
    }
    feeders: dict[int, list[Device]] = {}
    for device, here, _ in shorts.feeds:
        feeders.setdefault(here, []).append(device)
    for part in boat.parts:
        if isinstance(part, Load):
            for one in part.inputs:
                at = shorts.piece[part.id, one.id]
                both = feeders.get(at, [])
                if len(both) > 1 and at not in meant:
                    yield _twice(part, one.id, both)


def _joins_banks(part: Contact | Combiner | Isolator) -> bool:
    """Whether a part is there to join or choose feeds: any but a plain switch in a lead."""
    return not isinstance(part, Contact) or part.is_battery_switch or len(part.terminals) > 2  # noqa: PLR2004


def _twice(part: Load, name: str, devices: list[Device]) -> Finding:
    told = " and ".join(f"“{device.name}”" for device in devices)
    return Finding(
        code="fed-twice",
        severity="fault",
        subjects=(part.id, name, *(device.element for device in devices)),
        message=f"{told} feed {the(part.name)} side by side: with one of them open it stays alive, and a "
        "fault is fed by both. Take one feed off.",
        source=COMMON,
        source_status="common-practice",
    )


def feeds_that_may_meet(boat: Boat) -> tuple[str, ...]:
    """Which loads have two inputs of which only one is off with the battery switches; one line for all.

    Where such inputs meet inside, one feeds the other's panel back, and whatever is on there.
    """
    switched = any(isinstance(part, Contact) and part.is_battery_switch for part in boat.parts)
    if not boat.modes or not switched:
        return ()
    piece = Paths.of(boat, boat.modes[0]).pieces_without_switches
    live = {piece[post] for part, post in source_posts(boat, "positive") if isinstance(part, Battery)}
    names = []
    for part in boat.parts:
        if isinstance(part, Load) and len(part.inputs) > 1 and part.role != "starter":
            are_live = {piece[part.id, one.id] in live for one in part.inputs}
            if len(are_live) > 1:
                names.append(part.name)
    if not names:
        return ()
    return (
        "whether two feeds meet inside a load, so that one feeds the other's panel back with the battery "
        f"switch off: read in the manual how the inputs are separated of {', '.join(names)}",
    )


def returns_through_heavy(boat: Boat) -> Iterator[Finding]:
    """Devices that restart and whose only way back runs through an engine block or a heavy load's post.

    Their own lead lands elsewhere: what they land on is what hangs there.
    """
    if not boat.modes:
        return
    graph = Paths.of(boat, boat.modes[0]).closed
    posts = {(part.id, "negative") for part in boat.parts if isinstance(part, Battery)}
    asked = [
        (part, (part.id, name))
        for part in boat.parts
        if isinstance(part, Load) and part.role in SENSITIVE and not part.heavy
        for name in part.negatives
    ]
    reached = _joined_to(graph, posts, set())
    landings = Landings.of(boat)
    for heavy, nodes in _heavy_nodes(boat, landings):
        left = _joined_to(graph, posts, nodes)
        for part, negative in asked:
            tap = lead(boat, *negative, landings).tap
            direct = tap is not None and (tap.part, tap.terminal) in nodes
            if negative in reached and negative not in left and not direct:
                yield Finding(
                    code="return-through-heavy",
                    severity="advice",
                    subjects=(part.id, negative[1], heavy.id),
                    message=f"The only way back of {the(part.name)} runs through {the(heavy.name)}: its "
                    "current shifts it at every start. Lead it back to the main negative bus by itself.",
                    source=COMMON,
                    source_status="common-practice",
                )


def _heavy_nodes(boat: Boat, landings: Landings) -> Iterator[tuple[EngineBlock | Load, set[Node]]]:
    """Engine blocks, and the negative posts of heavy loads on which something else lands too."""
    for part in boat.parts:
        if isinstance(part, EngineBlock):
            yield part, {(part.id, name) for name in terminals(part)}
        elif isinstance(part, Load) and part.heavy:
            crowded = {(part.id, name) for name in part.negatives if len(landings.at(part.id, name)) > 1}
            if crowded:
                yield part, crowded


def _joined_to(graph: "nx.Graph[Node]", posts: set[Node], without: set[Node]) -> set[Node]:
    """Everything that copper joins to one of these terminals, some nodes taken out."""
    waiting = [post for post in posts if post in graph]
    reached = set(waiting)
    while waiting:
        for beyond in graph[waiting.pop()]:
            if beyond not in reached and beyond not in without:
                reached.add(beyond)
                waiting.append(beyond)
    return reached

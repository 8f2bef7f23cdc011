"""Where each lead is tapped in: protected, switched, counted, and kept off the engine's return."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.boat.leads import leads
from server.boat.own_switches import joins_most, own_switches
from server.boat.parts import Battery, Contact, Converter, EngineBlock, Inverter, Load, MeasuringShunt
from server.checks.feeders import SENSITIVE, midpoint_loads
from server.checks.paths import Node, Paths, Pieces, source_posts
from server.checks.protection import oversized_devices
from server.checks.spoken import rule_kind
from server.checks.words import the
from server.engine.answer import ModeAnswer
from server.engine.uncounted import banked
from server.practice.rules import rule


def lead_findings(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Everything that can be said of leads in this mode."""
    mode = next(mode for mode in boat.modes if mode.id == answer.mode)
    paths = Paths.of(boat, mode)
    yield from unprotected(boat, paths)
    yield from alive_when_off(boat, paths)
    yield from uncounted(boat, paths)
    yield from returned_to_block(boat)
    yield from oversized_devices(boat, paths)
    yield from midpoint_loads(boat, paths)


def _inputs(boat: Boat) -> Iterator[tuple[Load | Inverter, str, str]]:
    """Every load with each of its inputs and the terminal by which that returns."""
    for part in boat.parts:
        if isinstance(part, Load):
            yield from ((part, one.id, one.returns_to) for one in part.inputs)
        elif isinstance(part, Inverter):
            yield part, "positive", "negative"


def _reached(pieces: Pieces, posts: set[Node]) -> set[int]:
    """The pieces that hold one of these terminals."""
    return {pieces[post] for post in posts}


def unprotected(boat: Boat, paths: Paths) -> Iterator[Finding]:
    """Positive leads that a source feeds without any fuse or breaker between; cranking motors are exempt."""
    posts = {post for _, post in source_posts(boat, "positive")}
    piece = paths.pieces_without_devices
    reached = _reached(piece, posts)
    spoken = rule("e11-7in")
    for part, name, _ in _inputs(boat):
        exempt = isinstance(part, Load) and part.role == "starter"
        if not exempt and piece[part.id, name] in reached:
            yield Finding(
                code="unprotected-lead",
                severity="danger",
                subjects=(part.id, name),
                message=f"No fuse or breaker stands between a source and {the(part.name)}: a short on its "
                "positive lead burns until something else gives way.",
                source=spoken.source,
                source_status=spoken.status,
                rule_kind=rule_kind(boat, spoken),
            )


def alive_when_off(boat: Boat, paths: Paths) -> Iterator[Finding]:
    """Loads that stay alive with every battery switch off and give no reason for it.

    A switch in the load's own lead, such as a float switch, does not count as off.
    """
    if not any(isinstance(part, Contact) and part.is_battery_switch for part in boat.parts):
        return
    posts = {post for part, post in source_posts(boat, "positive") if isinstance(part, Battery)}
    piece = paths.pieces_without_switches
    reached = _across_own_switches(boat, piece, _reached(piece, posts))
    spoken = rule("e11-switch-cca")
    for part, name, _ in _inputs(boat):
        excused = isinstance(part, Load) and part.bypasses_switch is not None
        if not excused and piece[part.id, name] in reached:
            yield Finding(
                code="alive-when-off",
                severity="fault",
                subjects=(part.id, name),
                message=f"With every battery switch off, {the(part.name)} stays alive and nobody has said "
                "why: land it behind the switch, or let this stand with the reason.",
                source=spoken.source,
                source_status=spoken.status,
                rule_kind=rule_kind(boat, spoken),
            )


def _across_own_switches(boat: Boat, piece: Pieces, reached: set[int]) -> set[int]:
    """These pieces, those that switches in loads' own leads would join to them, and what converters feed."""
    joins = [
        (piece[switch.id, a], piece[switch.id, b])
        for switch in own_switches(boat)
        for a, b in joins_most(switch).closed
    ]
    ways = [way for pair in joins for way in (pair, pair[::-1])]
    ways += [
        (piece[part.id, "input"], piece[part.id, "output"])
        for part in boat.parts
        if isinstance(part, Converter)
    ]
    found = set(reached)
    while fresh := {far for near, far in ways if near in found and far not in found}:
        found |= fresh
    return found


def uncounted(boat: Boat, paths: Paths) -> Iterator[Finding]:
    """Loads whose current comes back to the bank past its measuring shunt."""
    for shunt in boat.parts:
        if isinstance(shunt, MeasuringShunt):
            yield from _past(boat, paths, shunt)


def monitored_negatives(boat: Boat, shunt: MeasuringShunt) -> set[Node]:
    """Negative posts of the batteries that a measuring shunt counts for."""
    return {(name, "negative") for name in banked(boat, shunt)}


def _past(boat: Boat, paths: Paths, shunt: MeasuringShunt) -> Iterator[Finding]:
    banked = monitored_negatives(boat, shunt)
    if not banked:
        return
    piece = paths.pieces_without_shunts
    reached = _reached(piece, banked)
    for part, name, returns_to in _inputs(boat):
        starts = isinstance(part, Load) and part.role == "starter"
        if not starts and piece[part.id, returns_to] in reached:
            yield Finding(
                code="uncounted",
                severity="advice",
                subjects=(part.id, name),
                message=f"The current of {the(part.name)} comes back past {the(shunt.name)}: "
                "the battery monitor does not count it.",
                source="common practice, no source",
                source_status="common-practice",
            )


def returned_to_block(boat: Boat) -> Iterator[Finding]:
    """Electronics whose negative lead lands on an engine block, which the starter's return lifts."""
    blocks = {part.id: part for part in boat.parts if isinstance(part, EngineBlock)}
    taps = {(one.part, one.terminal): one.tap for one in leads(boat)}
    for part in boat.parts:
        if not isinstance(part, Load) or part.role not in SENSITIVE:
            continue
        for name in part.negatives:
            tap = taps[part.id, name]
            if tap is not None and tap.part in blocks:
                yield Finding(
                    code="returned-to-block",
                    severity="advice",
                    subjects=(part.id, name),
                    message=f"The negative of {the(part.name)} lands on {the(blocks[tap.part].name)}: "
                    "the starter's return current shifts it at every start.",
                    source="common practice, no source",
                    source_status="common-practice",
                )

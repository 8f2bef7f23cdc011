"""Studs that hold too many lugs, and names that two things share."""

from collections import Counter
from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding
from server.boat.leads import Landings
from server.boat.parts import (
    Alternator,
    AnyPart,
    Battery,
    Bonding,
    Busbar,
    Combiner,
    Contact,
    EngineBlock,
    Fuse,
    Isolator,
    Load,
    MeasuringShunt,
    Post,
)
from server.checks.spoken import rule_kind
from server.checks.words import the
from server.practice.rules import rule, rule_figure

STUDDED = (
    Alternator,
    Battery,
    Bonding,
    Busbar,
    Combiner,
    Contact,
    EngineBlock,
    Isolator,
    MeasuringShunt,
    Post,
)
"""Kinds of part on whose studs lugs are stacked."""
STUDLESS_FUSES = frozenset({"blade", "glass"})


def full_studs(boat: Boat) -> Iterator[Finding]:
    """Studs on which more lugs land than the standard allows."""
    spoken = rule("e11-stud")
    most = rule_figure("e11-stud").value
    landings = Landings.of(boat)
    for (part_id, terminal), ends in landings.ends.items():
        part, count = landings.parts[part_id], len(ends)
        if count > most and _has_studs(part):
            yield Finding(
                code="stud-full",
                severity="fault",
                subjects=(part.id, terminal),
                figure=Figure(value=count, unit="lugs", basis="computed"),
                limit=Figure(value=most, unit="lugs", basis="rule"),
                message=f"{count} lugs sit on “{terminal.replace('-', ' ')}” of {the(part.name)}; "
                f"{most:.0f} is the most. Move some to a bar or to a stud of their own.",
                source=spoken.source,
                source_status=spoken.status,
                rule_kind=rule_kind(boat, spoken),
            )


def _has_studs(part: AnyPart) -> bool:
    """Whether lugs are stacked on a part's terminals; a starter's main terminal is a stud too."""
    match part:
        case Fuse():
            return part.device_class not in STUDLESS_FUSES
        case Load():
            return part.role == "starter"
        case _:
            return isinstance(part, STUDDED)


def repeated_names(boat: Boat) -> Iterator[Finding]:
    """Names of parts and numbers of cables that occur twice, so that a list cannot tell them apart."""
    named = [(part.id, part.name.strip(), "parts") for part in boat.parts]
    numbered = [(cable.id, cable.number.strip(), "cables") for cable in boat.cables if cable.number]
    for things in (named, numbered):
        counts = Counter(name.casefold() for _, name, _ in things)
        for key, count in counts.items():
            if count > 1:
                same = [thing for thing in things if thing[1].casefold() == key]
                yield Finding(
                    code="name-used-twice",
                    severity="advice",
                    subjects=tuple(thing_id for thing_id, _, _ in same),
                    figure=Figure(value=count, unit=same[0][2], basis="computed"),
                    message=f"{count} {same[0][2]} are called “{same[0][1]}”: "
                    "lists and labels cannot tell them apart.",
                    source="common practice, no source",
                    source_status="common-practice",
                )

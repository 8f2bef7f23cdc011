"""Whether each load keeps running while a heavy load starts."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.finding import Basis, Figure, Finding, Severity
from server.boat.parts import Inverter, Load
from server.checks.words import need_words, part_of, the, when
from server.engine.answer import EventAnswer, InputAnswer, ModeAnswer

_CODES = {
    "restarts": "restarts",
    "too-close-to-call": "too-close",
    "limit-not-known": "limit-not-known",
}


def event_findings(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every load that is on and does not surely keep running."""
    events = {event.id: when(boat, event) for event in events_of(boat)}
    for load in answer.loads:
        if load.heavy or not load.on:
            continue
        for seen in load.events:
            if seen.verdict in _CODES and (seen.can_restart or seen.verdict != "limit-not-known"):
                yield _finding(boat, answer.mode, load, seen, events.get(seen.event, "When it starts"))


def _finding(boat: Boat, mode: str, load: InputAnswer, seen: EventAnswer, moment: str) -> Finding:
    basis: Basis = "assumed" if seen.need_assumed else "rule"
    limit = None if seen.need_v is None else Figure(value=seen.need_v, unit="V", basis=basis)
    return Finding(
        code=_CODES[seen.verdict],
        severity=_severity(boat, load, seen),
        subjects=(load.part, load.input),
        mode=mode,
        event=seen.event,
        figure=Figure(value=seen.lowest.value, unit="V", basis="computed"),
        limit=limit,
        message=_message(boat, load, seen, moment),
        source=seen.need_source,
        source_status="common-practice" if seen.need_assumed else "document",
    )


def _severity(boat: Boat, load: InputAnswer, seen: EventAnswer) -> Severity:
    if seen.verdict == "limit-not-known":
        return "cannot-tell"
    if seen.verdict == "too-close-to-call":
        return "advice"
    part = part_of(boat, load.part)
    return "danger" if isinstance(part, (Load, Inverter)) and part.consequence == "safety" else "fault"


def _message(boat: Boat, load: InputAnswer, seen: EventAnswer, moment: str) -> str:
    lowest, band = f"{seen.lowest.value:.1f} V", f"{seen.lowest.low:.1f} to {seen.lowest.high:.1f} V"
    name = the(load.name)
    needs = "" if seen.need_v is None else need_words(boat, load.part, load.input, seen.need_v)
    match seen.verdict:
        case "restarts":
            need = f" and needs {needs}" if needs else ""
            return f"{moment}, {name} restarts: it is left with {lowest}{need}."
        case "too-close-to-call":
            need = f"needs {needs}" if needs else "has a limit near it"
            return f"{moment}, {name} is left with {band} and {need}: too close to call."
        case _:
            return (
                f"{moment}, {name} is left with {lowest}; nobody has said what it needs. "
                "Look it up in its manual and enter it."
            )

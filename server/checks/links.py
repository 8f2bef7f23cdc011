"""Data links between parts whose negatives are pulled apart by a start.

Judged by the event in time where that is known; else by its first instant, and the finding says which.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat, DataLink
from server.boat.events import events_of
from server.boat.finding import Figure, Finding
from server.checks.events import AT_FIRST
from server.checks.words import part_of, the, when
from server.engine.answer import EventInfo, ModeAnswer
from server.engine.link_offsets import link_offsets
from server.engine.transient.verdict import duration
from server.practice.supply import GROUND_OFFSET
from server.units import Ampere, Volt


@dataclass(frozen=True, slots=True)
class _Apart:
    """An offset as it is told: of a link, between two parts, ``moment`` says at what instant."""

    link: str
    high: str
    low: str
    offset_v: Volt
    screen_a: Ampere | None
    moment: str
    ending: str


def links_pulled_apart(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Links not known to be isolated whose ends a start pulls farther apart than equipment is tried for."""
    links = {link.id: link for link in boat.links if link.isolated != "yes"}
    if not links:
        return
    events = {event.id: event for event in events_of(boat)}
    for info in answer.events:
        for apart in _offsets(boat, answer.mode, info):
            if apart.link in links and apart.offset_v > GROUND_OFFSET.value:
                moment = when(boat, events[info.event])
                yield _finding(boat, (answer.mode, info.event), links[apart.link], apart, moment)


def _offsets(boat: Boat, mode: str, info: EventInfo) -> Iterator[_Apart]:
    """The worst of the event in time; those of its first instant where it was not followed."""
    if info.links is None:
        for at_first in link_offsets(boat, mode, info.event):
            ends = at_first.high, at_first.low
            yield _Apart(at_first.link, *ends, at_first.offset_v, at_first.screen_a, "", AT_FIRST)
        return
    for worst in info.links:
        moment = f" at the worst, {duration(worst.offset.at_s)} after the press"
        yield _Apart(worst.link, worst.high, worst.low, worst.offset.value, worst.current_a, moment, "")


def _finding(boat: Boat, of: tuple[str, str], link: DataLink, apart: _Apart, moment: str) -> Finding:
    isolation = "is not isolated" if link.isolated == "no" else "may not be isolated: look that up"
    ends = f"{the(part_of(boat, apart.high).name)} and {the(part_of(boat, apart.low).name)}"
    return Finding(
        code="link-offset",
        severity="fault" if link.isolated == "no" else "cannot-tell",
        subjects=(link.id, apart.high, apart.low),
        mode=of[0],
        event=of[1],
        figure=Figure(value=apart.offset_v, unit="V", basis="computed"),
        limit=Figure(value=GROUND_OFFSET.value, unit="V", basis="rule"),
        message=f"{moment}, the negatives of {ends} stand {apart.offset_v:.1f} V apart{apart.moment}"
        f"{_through(apart)}; “{link.name}” {isolation}.{apart.ending}",
        source=GROUND_OFFSET.source,
        source_status=GROUND_OFFSET.status,
    )


def _through(apart: _Apart) -> str:
    return "" if apart.screen_a is None else f" and drive {apart.screen_a:.1f} A through the screen"

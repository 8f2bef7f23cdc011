"""Data links between parts whose negatives are pulled apart by a start."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.finding import Figure, Finding
from server.checks.words import part_of, the, when
from server.engine.answer import ModeAnswer
from server.engine.link_offsets import LinkOffset, link_offsets
from server.practice.supply import GROUND_OFFSET


def links_pulled_apart(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Links not known to be isolated whose ends a start pulls farther apart than equipment is tried for."""
    links = {link.id: link for link in boat.links if link.isolated != "yes"}
    if not links:
        return
    events = {event.id: event for event in events_of(boat)}
    for info in answer.events:
        for offset in link_offsets(boat, answer.mode, info.event):
            if offset.link in links and offset.offset_v > GROUND_OFFSET.value:
                link = links[offset.link]
                isolation = (
                    "is not isolated" if link.isolated == "no" else "may not be isolated: look that up"
                )
                yield Finding(
                    code="link-offset",
                    severity="fault" if link.isolated == "no" else "cannot-tell",
                    subjects=(link.id, offset.high, offset.low),
                    mode=answer.mode,
                    event=info.event,
                    figure=Figure(value=offset.offset_v, unit="V", basis="computed"),
                    limit=Figure(value=GROUND_OFFSET.value, unit="V", basis="rule"),
                    message=f"{when(boat, events[info.event])}, the negatives of "
                    f"{the(part_of(boat, offset.high).name)} and {the(part_of(boat, offset.low).name)} stand "
                    f"{offset.offset_v:.1f} V apart{_through(offset)}; “{link.name}” {isolation}.",
                    source=GROUND_OFFSET.source,
                    source_status=GROUND_OFFSET.status,
                )


def _through(offset: LinkOffset) -> str:
    return "" if offset.screen_a is None else f" and drive {offset.screen_a:.1f} A through the screen"

"""Relays, contactors and packs that an event itself opens: what they feed goes with them."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.finding import Finding
from server.boat.parts import Combiner
from server.checks.words import part_of, when
from server.engine.answer import ModeAnswer

CODE = "drops-out"
SOURCE = "its volts, amperes and times as entered; where none are, assumed"


def parts_that_drop_out(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every part that opens in an event solved in time; a combining relay's is advice.

    A combining relay is made to open when voltage falls; the others leave something without supply.
    """
    events = {event.id: event for event in events_of(boat)}
    for info in answer.events:
        for what in info.happens:
            if what.code == CODE:
                is_combiner = isinstance(part_of(boat, what.subjects[0]), Combiner)
                yield Finding(
                    code=CODE,
                    severity="advice" if is_combiner else "fault",
                    subjects=what.subjects,
                    mode=answer.mode,
                    event=info.event,
                    message=f"{when(boat, events[info.event])}: {what.message}",
                    source=SOURCE,
                    source_status="common-practice",
                )

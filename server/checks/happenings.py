"""Relays, contactors, packs and converters that an event itself turns off: what they feed goes with them."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.finding import Finding
from server.boat.parts import AnyPart, Combiner, Converter
from server.checks.words import part_of, when
from server.engine.answer import ModeAnswer

CODE = "drops-out"
SOURCE = "its volts, amperes and times as entered; where none are, assumed"


def parts_that_drop_out(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every part that opens in an event solved in time.

    A combining relay and a charging converter are made to let go when voltage falls: theirs is advice. The
    others leave something without supply.
    """
    events = {event.id: event for event in events_of(boat)}
    for info in answer.events:
        for what in info.happens:
            if what.code == CODE:
                yield Finding(
                    code=CODE,
                    severity="advice" if _is_made_to(part_of(boat, what.subjects[0])) else "fault",
                    subjects=what.subjects,
                    mode=answer.mode,
                    event=info.event,
                    message=f"{when(boat, events[info.event])}: {what.message}",
                    source=SOURCE,
                    source_status="common-practice",
                )


def _is_made_to(part: AnyPart) -> bool:
    """Whether a part is made to let go when voltage falls."""
    return isinstance(part, Combiner) or (isinstance(part, Converter) and part.role != "supply")

"""An event at every place a lead could lie: what one load would see of it there.

By definition the event of the boat after that very move; only what one load needs is computed.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.edit_error import EditError
from server.boat.edit_values import MoveLead
from server.boat.edit_wiring import move_lead
from server.boat.value import TerminalRef
from server.engine.answer import Verdict
from server.engine.netlist_rows import Terminal
from server.engine.solution import Solution
from server.engine.transient.answer import Instant
from server.engine.transient.circuit import TransientError
from server.engine.transient.event_in_time import EventInTime
from server.engine.transient.event_verdicts import EventVerdicts
from server.units import Second, Volt


@dataclass(frozen=True, slots=True)
class EventAtTap:
    """What a load sees of an event with a lead at a place.

    ``below_need_s`` and ``reason`` are those of the verdict. Where the moved boat has no answer, figures are
    None, the verdict is ``limit-not-known`` and ``trouble`` says why.
    """

    place: TerminalRef
    before_v: Volt | None
    lowest: Instant | None
    highest: Instant | None
    below_need_s: Second | None
    verdict: Verdict
    reason: str
    trouble: str = ""


def event_at_taps(  # noqa: PLR0913, PLR0917 - each names one thing of the question
    boat: Boat, mode_id: str, event_id: str, load: Terminal, lead: Terminal, places: Sequence[TerminalRef]
) -> tuple[EventAtTap, ...]:
    """What an input sees of an event with a lead at each of some places, in their order.

    ``load`` is the input whose volts are read, ``lead`` the terminal at which the lead begins.

    Raises:
        UnknownModeError: the boat has no such mode, or the mode no such event.
    """
    Solution.of(boat, mode_id).event(event_id)
    return tuple(_at_tap(boat, mode_id, event_id, load, lead, place) for place in places)


def _at_tap(  # noqa: PLR0913, PLR0917 - each names one thing of the question
    boat: Boat, mode_id: str, event_id: str, load: Terminal, lead: Terminal, place: TerminalRef
) -> EventAtTap:
    try:
        moved = move_lead(boat, MoveLead(part=lead[0], terminal=lead[1], to=place))
        solution = Solution.of(moved, mode_id)
        event = EventInTime(solution, solution.event(event_id), only=frozenset({load}))
        return _read(event, place)
    except (EditError, TransientError) as error:
        return _unanswered(place, str(error))


def _read(event: EventInTime, place: TerminalRef) -> EventAtTap:
    if not event.points:
        return _unanswered(place, "It is off, or no source reaches it here.")
    judgement = EventVerdicts(event).of(0)
    return EventAtTap(
        place=place,
        before_v=float(event.before_v[0]),
        lowest=event.lowest(0),
        highest=event.highest(0),
        below_need_s=judgement.below_need_s,
        verdict=judgement.verdict,
        reason=judgement.reason,
    )


def _unanswered(place: TerminalRef, trouble: str) -> EventAtTap:
    return EventAtTap(place, None, None, None, None, "limit-not-known", "", trouble)

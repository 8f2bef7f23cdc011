"""The places of a held lead by the event in time: the same answers, with its own figures, ranked anew."""

from dataclasses import replace

from server.boat.boat import Boat
from server.engine.answer import Band, PickUp, TapAnswer, Verdict
from server.engine.ranking import ranked, sign
from server.engine.solution import Solution
from server.engine.transient.at_taps import EventAtTap, event_at_taps
from server.units import Volt


def refined(boat: Boat, held: PickUp) -> PickUp:
    """What a held lead would meet at each place in the event in time; what becomes of the others stays.

    Places whose event cannot be followed keep the figures of the first instant and say so (``exact``). Where
    nothing is observed, or the event cannot be followed with the lead where it lies, all of them do.
    """
    if held.event is None or held.observed is None:
        return held
    lead, places = (held.part, held.terminal), [tap.terminal for tap in held.taps]
    seen = event_at_taps(boat, held.mode, held.event, held.observed, lead, places)
    now = next((one for one, tap in zip(seen, held.taps, strict=True) if tap.present), None)
    if now is not None and now.lowest is None:
        return replace(held, taps=tuple(replace(tap, exact=False) for tap in held.taps))
    taps = [_refined(tap, one, now) for tap, one in zip(held.taps, seen, strict=True)]
    found = ranked(taps, Solution.of(boat, held.mode).places.bars)
    return replace(held, taps=tuple(found), present=next((tap for tap in found if tap.present), None))


def _refined(tap: TapAnswer, seen: EventAtTap, now: EventAtTap | None) -> TapAnswer:
    if seen.lowest is None or tap.lowest is None:
        return replace(tap, exact=False)
    value, first, mark = seen.lowest.value, tap.lowest, tap.mark
    if now is not None and not tap.present and not tap.breaks:
        restarts = (tap.others.restarts_before, tap.others.restarts_after)
        mark = sign(_told(now), _told(seen), restarts)
    lowest = Band(value - (first.value - first.low), value, value + (first.high - first.value))
    return replace(tap, lowest=lowest, verdict=seen.verdict, mark=mark)


def _told(seen: EventAtTap) -> tuple[Volt | None, Verdict]:
    return None if seen.lowest is None else seen.lowest.value, seen.verdict

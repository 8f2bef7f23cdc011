"""Before and after a change: who is better off, who is worse off, in one mode and event."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from server.actions import in_time
from server.actions.answers import answer
from server.actions.choices import Chosen, UnknownChoiceError, choose
from server.actions.findings import all_findings, found_at_once
from server.actions.yard import OpenBoat, Yard, document
from server.store.values import Revision

if TYPE_CHECKING:
    from server.boat.finding import Finding
    from server.engine.answer import EventAnswer, InputAnswer, ModeAnswer

NOTICEABLE_V = 0.05
"""Half of the 0.1 V to which sag is shown: a smaller change is none (our own threshold)."""

Direction = Literal["worse", "better", "unchanged"]
_GOOD = {"keeps-running": 3, "limit-not-known": 2, "too-close-to-call": 1, "restarts": 0}


@dataclass(frozen=True)
class Pair:
    """One load before and after: its lowest volts in the event, else its steady volts, and its verdict."""

    part: str
    input: str
    name: str
    before_v: float | None
    after_v: float | None
    before_verdict: str | None
    after_verdict: str | None
    direction: Direction

    @property
    def gain_v(self) -> float:
        """Volts gained; 0 where one of the two is not known."""
        return 0.0 if self.before_v is None or self.after_v is None else self.after_v - self.before_v


@dataclass(frozen=True)
class Comparison:
    """All loads before and after, the worse off first, and the findings that came and went.

    ``unjudged`` are findings that only went because nothing can be said of them any more;
    ``is_in_time`` tells whether the chosen event was compared in time.
    """

    pairs: tuple[Pair, ...]
    added: tuple[str, ...]
    removed: tuple[str, ...]
    unjudged: tuple[str, ...] = ()
    is_in_time: bool = False

    def count(self, direction: Direction) -> int:
        """How many loads went this way."""
        return sum(pair.direction == direction for pair in self.pairs)


def compare(before: "ModeAnswer", after: "ModeAnswer", event: str | None) -> tuple[Pair, ...]:
    """The loads of two answers side by side, the worse off first; the heavy loads themselves are left out."""
    earlier = {load.id: load for load in before.loads}
    pairs = [_pair(earlier.get(load.id), load, event) for load in after.loads if load.on and not load.heavy]
    order: tuple[Direction, ...] = ("worse", "better", "unchanged")
    return tuple(sorted(pairs, key=lambda pair: (order.index(pair.direction), -abs(pair.gain_v), pair.name)))


def _pair(before: "InputAnswer | None", after: "InputAnswer", event: str | None) -> Pair:
    old_v, old = _seen(before, event)
    new_v, new = _seen(after, event)
    return Pair(
        after.part, after.input, after.name, old_v, new_v, old, new, _direction(old_v, new_v, old, new)
    )


def _seen(load: "InputAnswer | None", event: str | None) -> tuple[float | None, str | None]:
    if load is None:
        return None, None
    seen = _event_answer(load, event)
    return (load.voltage_v, None) if seen is None else (seen.lowest.value, seen.verdict)


def _event_answer(load: "InputAnswer", event: str | None) -> "EventAnswer | None":
    return next((seen for seen in load.events if seen.event == event), None)


def _direction(old_v: float | None, new_v: float | None, old: str | None, new: str | None) -> Direction:
    if old in _GOOD and new in _GOOD and old != new:
        return "better" if _GOOD[str(new)] > _GOOD[str(old)] else "worse"
    if old_v is None or new_v is None:
        return "unchanged" if old_v == new_v else "worse" if new_v is None else "better"
    if abs(new_v - old_v) < NOTICEABLE_V:
        return "unchanged"
    return "better" if new_v > old_v else "worse"


def comparison(yard: Yard, earlier: Revision, opened: OpenBoat, chosen: Chosen) -> Comparison:
    """Before and after the changes since an earlier revision, in one mode and event.

    Events are compared in time where they are known so before and after, else at their first instant.
    Where the earlier document had no such mode or event, everything counts as new.
    """
    from server.checks.own_devices import lost_by_change

    before = document(yard, earlier)
    after_answer = answer(yard, opened.sha, opened.boat, chosen.mode, chosen.event)
    try:
        had_it = choose(yard, earlier.sha, before, chosen.mode, chosen.event) is not None
    except UnknownChoiceError:
        had_it = False
    if not had_it:
        return Comparison((), (), ())
    before_answer = answer(yard, earlier.sha, before, chosen.mode, chosen.event)
    mode, event = chosen.mode, chosen.event
    events = tuple(info.event for info in after_answer.events)
    known = in_time.known_in_both(yard, (earlier.sha, before), opened.sha, chosen, events)
    before_answer = in_time.over_known(yard, earlier.sha, before_answer, known)
    after_answer = in_time.over_known(yard, opened.sha, after_answer, known)
    at_first = found_at_once(yard, earlier.sha, before, mode, event, known)
    had = {one.id: one.message for one in at_first}
    has = {one.id: one.message for one in found_at_once(yard, opened.sha, opened.boat, mode, event, known)}
    gone = {key: message for key, message in had.items() if key not in has}
    judged = {one.id for one in at_first if _is_judged(one, after_answer)}
    return Comparison(
        compare(before_answer, after_answer, chosen.event),
        added=(
            *lost_by_change(before, opened.boat),
            *(message for key, message in has.items() if key not in had),
        ),
        removed=tuple(message for key, message in gone.items() if key in judged),
        unjudged=tuple(message for key, message in gone.items() if key not in judged),
        is_in_time=event in known,
    )


def late_comparison(yard: Yard, earlier: Revision, opened: OpenBoat, chosen: Chosen) -> Comparison:
    """The findings that came and went in all modes and by the slower checks, beside those told at once."""
    told = comparison(yard, earlier, opened, chosen)
    known = {*told.added, *told.removed, *told.unjudged}
    had = all_findings(yard, earlier.sha, document(yard, earlier))
    has = all_findings(yard, opened.sha, opened.boat)
    before, after = {one.id for one in had}, {one.id for one in has}
    return Comparison(
        (),
        added=tuple(one.message for one in has if one.id not in before and one.message not in known),
        removed=tuple(one.message for one in had if one.id not in after and one.message not in known),
    )


def _is_judged(finding: "Finding", after: "ModeAnswer") -> bool:
    """Whether the answer still speaks of what a finding of an event is about."""
    if finding.event is None:
        return True
    info = next((one for one in after.events if one.event == finding.event), None)
    if info is None or info.inrush_a is None:
        return False
    running = {load.part for load in after.loads if load.on and load.state in {"fed", "cannot-run"}}
    return finding.subjects[0] in running or finding.code not in _OF_EVENTS


_OF_EVENTS = frozenset({"restarts", "too-close", "limit-not-known", "dips-low", "spike-high"})

"""Two boats side by side in one mode and event: options, a boat and its option, or any two revisions."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from server.actions import in_time
from server.actions.answers import shown_answer
from server.actions.choices import Chosen, UnknownChoiceError, choose
from server.actions.compare import Pair, compare
from server.actions.events_in_time import figures_of
from server.actions.findings import all_findings, found_at_once
from server.actions.in_time import Standing
from server.actions.options import family
from server.actions.yard import OpenBoat, Yard
from server.boat.boat import Boat
from server.boat.events import events_of

if TYPE_CHECKING:
    from server.checks.effects import Effect
    from server.engine.answer import EventInfo, ModeAnswer


@dataclass(frozen=True)
class Compared:
    """What a second boat does that a first one does not, in a mode and event that both have.

    ``chosen`` is None, and there are no loads, where they share no mode. ``standing`` says whether the
    figures of the event are those of the event in time, on both boats or on neither. ``lost`` names the
    loads that run on the first boat alone.
    """

    first: OpenBoat
    second: OpenBoat
    chosen: Chosen | None
    standing: Standing
    pairs: tuple[Pair, ...] = ()
    lost: tuple[str, ...] = ()
    answers: "tuple[ModeAnswer, ModeAnswer] | None" = None

    def info(self, side: Literal[0, 1]) -> "EventInfo | None":
        """The compared event as the first (0) or the second boat (1) has it."""
        if self.answers is None or self.chosen is None:
            return None
        return next((one for one in self.answers[side].events if one.event == self.chosen.event), None)


def shared_events(first: Boat, second: Boat) -> tuple[tuple[str, str], ...]:
    """Mode and event of each event that both boats have."""
    has = {(one.mode, one.id) for one in events_of(second)}
    return tuple((one.mode, one.id) for one in events_of(first) if (one.mode, one.id) in has)


def choose_shared(
    yard: Yard, first: OpenBoat, second: OpenBoat, mode: str | None, event: str | None
) -> Chosen | None:
    """The mode and event asked for, or the worst of the first boat that both have; None without any.

    Raises:
        UnknownChoiceError: not both of them have that mode or event.
    """
    modes = [one.id for one in first.boat.modes if one.id in {other.id for other in second.boat.modes}]
    events = shared_events(first.boat, second.boat)
    if mode is not None and mode not in modes:
        raise UnknownChoiceError(f"Not both boats have a mode “{mode}”. Choose one from the list.")
    known = [(of, one) for of, one in events if event in {None, one} and mode in {None, of}]
    if event is not None and not known and mode is None:
        raise UnknownChoiceError(f"Not both boats have an event “{event}”. Choose one from the list.")
    if event is not None and known:
        return Chosen(*known[0])
    if not modes:
        return None
    worst = choose(yard, first.sha, first.boat, mode, None)
    if worst is not None and worst.event is not None and (worst.mode, worst.event) in events:
        return worst
    here = mode or (events[0][0] if events else modes[0])
    return Chosen(here, next((one for of, one in events if of == here), None))


def compared(  # noqa: PLR0913 - each names one thing of the question
    yard: Yard,
    first: OpenBoat,
    second: OpenBoat,
    mode: str | None = None,
    event: str | None = None,
    *,
    waits: bool = False,
) -> Compared:
    """Both boats in one mode and event; ``waits`` follows the event in time on large boats too.

    Raises:
        UnknownChoiceError: not both of them have that mode or event.
    """
    chosen = choose_shared(yard, first, second, mode, event)
    if chosen is None:
        return Compared(first, second, None, Standing("none"))
    standing = _standing(yard, (first, second), chosen, waits=waits)
    before, after = (side_answer(yard, one, chosen, standing) for one in (first, second))
    runs = {load.id for load in after.loads if load.on}
    return Compared(
        first,
        second,
        chosen,
        standing,
        pairs=compare(before, after, chosen.event),
        lost=tuple(load.name for load in before.loads if load.on and not load.heavy and load.id not in runs),
        answers=(before, after),
    )


def side_answer(
    yard: Yard, one: OpenBoat, chosen: Chosen, standing: Standing, selected: str | None = None
) -> "ModeAnswer":
    """One boat's answer, in time where that is what is compared, with a selected load's sag split."""
    solved = shown_answer(yard, one, chosen, selected, hurried=True)
    if standing.basis != "in-time" or chosen.event is None:
        return solved
    return in_time.over(yard, one.sha, one.boat, solved, (chosen.event,))


def _standing(yard: Yard, sides: tuple[OpenBoat, OpenBoat], chosen: Chosen, *, waits: bool) -> Standing:
    """Like is compared with like: both in time, or both at the first instant."""
    if chosen.event is None:
        return Standing("none")
    most = max(len(one.boat.conductors) for one in sides)
    keys = [(one.sha, chosen.mode, chosen.event) for one in sides]
    if waits or most <= in_time.LARGEST_WAITED:
        found = [figures_of(yard, one.sha, one.boat, chosen.mode, chosen.event) for one in sides]
    else:
        peeked = [yard.figures.peek(key) for key in keys]
        found = [one for one in peeked if one is not None]
    if len(found) < len(keys):
        return Standing("refining")
    why = next((one.why for one in found if one.why), "")
    return Standing("first-instant", why) if why else Standing("in-time")


def findings_between(yard: Yard, first: OpenBoat, second: OpenBoat) -> "Effect":
    """The findings of all modes that go, come and change from the first boat to the second."""
    from server.checks.effects import effect

    return effect(all_findings(yard, first.sha, first.boat), all_findings(yard, second.sha, second.boat))


def findings_at_once(yard: Yard, of: Compared) -> "Effect | None":
    """The same for what is found at once in the compared mode and event; None where no mode is compared."""
    from server.checks.effects import effect

    chosen = of.chosen
    if chosen is None:
        return None
    known = frozenset({chosen.event} if chosen.event and of.standing.basis == "in-time" else ())
    before, after = (
        found_at_once(yard, one.sha, one.boat, chosen.mode, chosen.event, known)
        for one in (of.first, of.second)
    )
    return effect(before, after)


def default_sides(yard: Yard, boat_id: str) -> tuple[tuple[str, int | None], tuple[str, int | None]]:
    """What to compare where nothing was asked: an option with where it came from, a boat with its option.

    A boat without options is compared with its own first revision.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    found = family(yard, boat_id)
    own = next((one for one in found.options if one.row.id == boat_id), None)
    if own is not None:
        return (own.source.id, None), (boat_id, None)
    standing = [one for one in found.options if one.row.aside_us is None]
    if standing:
        return (boat_id, None), (standing[0].row.id, None)
    return (boat_id, 1), (boat_id, None)

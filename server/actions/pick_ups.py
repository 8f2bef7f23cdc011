"""What would come of putting a lead down at each tap, kept by the document's hash."""

from dataclasses import replace
from itertools import count
from typing import TYPE_CHECKING

from server.actions.answers import ground_of
from server.actions.choices import Chosen, UnknownChoiceError
from server.actions.results import Results
from server.actions.yard import OpenBoat, Yard
from server.boat.boat import Boat
from server.boat.leads import Landings, lead, lead_terminals
from server.boat.parts import Load

if TYPE_CHECKING:
    from server.engine.answer import InputAnswer, PickUp


def pick_up(  # noqa: PLR0913 - each names one thing of the question
    yard: Yard, opened: OpenBoat, part: str, terminal: str, chosen: Chosen, *, waits: bool = False
) -> "PickUp":
    """What would come of putting a lead down at each tap, ranked.

    By the event in time where that is known of every tap, or where it is waited for; else by its first
    instant, and no tap is called exact.

    Raises:
        UnknownChoiceError: no lead that could be moved begins there; the message says why.
    """
    landings = Landings.of(opened.boat)
    if part not in landings.parts or terminal not in lead_terminals(landings.parts[part]):
        raise UnknownChoiceError("No lead begins there: choose a terminal of a load or a source.")
    begun = lead(opened.boat, part, terminal, landings)
    if begun.last is None:
        raise UnknownChoiceError(begun.reason or "No lead begins there.")
    return _told(yard, opened, part, terminal, chosen, waits=waits)


def leads_met(
    yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen, *, waits: bool = False
) -> "tuple[PickUp, ...]":
    """What each of a load's leads that can be moved would meet at every tap; see ``pick_up``."""
    landings = Landings.of(opened.boat)
    return tuple(
        _told(yard, opened, load.part, terminal, chosen, waits=waits)
        for terminal in lead_ends(opened.boat, load.part, load.input)
        if lead(opened.boat, load.part, terminal, landings).last is not None
    )


def _told(  # noqa: PLR0913 - each names one thing of the lead
    yard: Yard, opened: OpenBoat, part: str, terminal: str, chosen: Chosen, *, waits: bool
) -> "PickUp":
    if waits:
        return kept_refined(yard, opened.sha, opened.boat, part, terminal, chosen)
    known = yard.refined.peek((opened.sha, part, terminal, chosen.mode, chosen.event))
    return known or _at_first(kept_pick_up(yard, opened.sha, opened.boat, part, terminal, chosen))


def _at_first(held: "PickUp") -> "PickUp":
    """A lead whose taps answer for the first instant, and say so; without an event there is only that."""
    if held.event is None:
        return held
    taps = tuple(replace(tap, exact=False) for tap in held.taps)
    return replace(held, taps=taps, present=next((tap for tap in taps if tap.present), None))


def kept_refined(  # noqa: PLR0913, PLR0917 - each names one thing of the lead
    results: Results, sha: str, boat: Boat, part: str, terminal: str, chosen: Chosen
) -> "PickUp":
    """What a lead would meet at each tap in the event in time, worked out once for a document.

    A tap with which the event cannot be followed is not ranked among those with which it can.
    """
    key = (sha, part, terminal, chosen.mode, chosen.event)
    return results.refined.get(key, lambda: _refined(results, sha, boat, part, terminal, chosen))


def _refined(  # noqa: PLR0913, PLR0917 - each names one thing of the lead
    results: Results, sha: str, boat: Boat, part: str, terminal: str, chosen: Chosen
) -> "PickUp":
    from server.actions.judged_taps import judged
    from server.engine.taps import pick_up as engine_pick_up
    from server.engine.transient.refined_taps import refined

    first = engine_pick_up(boat, part, terminal, chosen.mode, chosen.event)
    if first.event is None or first.observed is None:
        return _at_first(kept_pick_up(results, sha, boat, part, terminal, chosen))
    found = judged(ground_of(results, sha, boat, chosen.mode), refined(boat, first))
    if not any(tap.exact for tap in found.taps):
        return found
    ranks = count(1)
    taps = tuple(
        tap if tap.rank is None else replace(tap, rank=next(ranks) if tap.exact else None)
        for tap in sorted(found.taps, key=lambda tap: not tap.exact)
    )
    return replace(found, taps=taps)


def kept_pick_up(  # noqa: PLR0913, PLR0917 - each names one thing of the lead
    results: Results, sha: str, boat: Boat, part: str, terminal: str, chosen: Chosen
) -> "PickUp":
    """What a lead that can be moved would meet at each tap, worked out once for a document."""
    key = (sha, part, terminal, chosen.mode, chosen.event)
    return results.pick_ups.get(key, lambda: _pick_up(results, sha, boat, part, terminal, chosen))


def _pick_up(  # noqa: PLR0913, PLR0917 - each names one thing of the lead
    results: Results, sha: str, boat: Boat, part: str, terminal: str, chosen: Chosen
) -> "PickUp":
    from server.actions.judged_taps import judged
    from server.engine.taps import pick_up as engine_pick_up

    ground = ground_of(results, sha, boat, chosen.mode)
    return judged(ground, engine_pick_up(boat, part, terminal, chosen.mode, chosen.event))


def lead_ends(boat: Boat, part_id: str, name: str) -> tuple[str, str]:
    """The two terminals on which the leads of an input begin."""
    part = next(part for part in boat.parts if part.id == part_id)
    if isinstance(part, Load):
        return next((one.id, one.returns_to) for one in part.inputs if one.id == name)
    return ("positive", "negative")

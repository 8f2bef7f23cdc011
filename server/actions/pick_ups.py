"""What would come of putting a lead down at each tap, kept by the document's hash."""

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


def pick_up(yard: Yard, opened: OpenBoat, part: str, terminal: str, chosen: Chosen) -> "PickUp":
    """What would come of putting a lead down at each tap, ranked.

    Raises:
        UnknownChoiceError: no lead that could be moved begins there; the message says why.
    """
    landings = Landings.of(opened.boat)
    if part not in landings.parts or terminal not in lead_terminals(landings.parts[part]):
        raise UnknownChoiceError("No lead begins there: choose a terminal of a load or a source.")
    begun = lead(opened.boat, part, terminal, landings)
    if begun.last is None:
        raise UnknownChoiceError(begun.reason or "No lead begins there.")
    return kept_pick_up(yard, opened.sha, opened.boat, part, terminal, chosen)


def leads_met(yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen) -> "tuple[PickUp, ...]":
    """What each of a load's leads that can be moved would meet at every tap."""
    landings = Landings.of(opened.boat)
    return tuple(
        kept_pick_up(yard, opened.sha, opened.boat, load.part, terminal, chosen)
        for terminal in lead_ends(opened.boat, load.part, load.input)
        if lead(opened.boat, load.part, terminal, landings).last is not None
    )


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

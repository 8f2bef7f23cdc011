"""The moves of its leads that clear a load's trouble in an event."""

from dataclasses import replace
from typing import TYPE_CHECKING

from server.actions.answers import answer
from server.actions.choices import Chosen
from server.actions.pick_ups import kept_pick_up, kept_refined, lead_ends
from server.actions.results import Results
from server.actions.yard import OpenBoat, Yard
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.leads import Landings, lead
from server.boat.parts import Busbar, Panel, Post

if TYPE_CHECKING:
    from collections.abc import Iterator

    from server.boat.edits import MoveLead
    from server.boat.finding import Mend
    from server.engine.answer import InputAnswer, PickUp


def mends_of(yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen) -> "tuple[Mend, ...]":
    """The moves of its leads that clear a load's trouble in an event, the better first."""
    return kept_moves(yard, opened.sha, opened.boat, load.part, load.input, chosen)


def known_mends_of(
    yard: Yard, opened: OpenBoat, load: "InputAnswer", chosen: Chosen
) -> "tuple[Mend, ...] | None":
    """The same, where they were worked out already."""
    return yard.moves.peek((opened.sha, load.part, load.input, chosen.mode, chosen.event))


def kept_moves(  # noqa: PLR0913, PLR0917 - each names one thing of the load
    results: Results, sha: str, boat: Boat, part: str, name: str, chosen: Chosen
) -> "tuple[Mend, ...]":
    """The same for an input by its names, worked out once for a document."""
    key = (sha, part, name, chosen.mode, chosen.event)
    return results.moves.get(key, lambda: _moves(results, sha, boat, part, name, chosen))


def _moves(  # noqa: PLR0913, PLR0917 - each names one thing of the load
    results: Results, sha: str, boat: Boat, part: str, name: str, chosen: Chosen
) -> "tuple[Mend, ...]":
    from server.boat.edits import apply
    from server.checks.judge import wiring_findings
    from server.checks.mends import move_mends

    landings = Landings.of(boat)
    held = [
        _followed(kept_refined(results, sha, boat, part, terminal, chosen))
        for terminal in lead_ends(boat, part, name)
        if lead(boat, part, terminal, landings).last is not None
    ]
    solved = answer(results, sha, boat, chosen.mode, chosen.event)
    known = {(one.code, one.subjects) for one in wiring_findings(boat, solved)}

    def is_harmless(move: "MoveLead") -> bool:
        if not isinstance(landings.parts[move.to.part], Busbar | Post | Panel):
            return False
        after = wiring_findings(apply(boat, move), solved)
        return {(one.code, one.subjects) for one in after} <= known

    def elsewhere(one: "PickUp") -> "Iterator[PickUp]":
        for event in events_of(boat):
            if event.mode == chosen.mode and event.id != chosen.event:
                other = Chosen(chosen.mode, event.id)
                yield kept_pick_up(results, sha, boat, one.part, one.terminal, other)

    return move_mends(held, elsewhere, is_harmless)


def _followed(held: "PickUp") -> "PickUp":
    """A lead with only the taps that the event in time was followed with, where it was with any."""
    taps = tuple(tap for tap in held.taps if tap.exact)
    return replace(held, taps=taps) if taps else held

"""The workbench while a lead, or both leads of a load, are in the hand."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions import pick_ups
from server.actions.both_leads import both_places
from server.actions.choices import Chosen, UnknownChoiceError
from server.actions.yard import OpenBoat, Yard
from server.web.picture import earlier_revision, scene
from server.web.render import Part
from server.web.views.bench import DiagramView, OverlayView
from server.web.views.both import BothView, both_view, part_answers
from server.web.views.state import ViewState
from server.web.views.taps import OPENS_OPTION, TapsView, taps_view

if TYPE_CHECKING:
    from server.engine.answer import PickUp


@dataclass(frozen=True)
class Held:
    """The lead in the hand."""

    part: str
    terminal: str


def tap_parts(
    yard: Yard, opened: OpenBoat, asked: ViewState, held: Held, *, waits: bool = False
) -> tuple[Part, ...]:
    """The ranked list and the overlay for a held lead; the drawing only where it turns to the lead's side.

    What comes late, by the event in time (``waits``), leaves the drawing as it is.

    Raises:
        UnknownChoiceError: the boat has no such mode, event or lead.
    """
    now = scene(yard, opened, asked)
    if now.answer is None:
        raise UnknownChoiceError("This boat has no mode yet, so no tap can answer.")
    chosen = Chosen(now.answer.mode, now.state.event)
    pick_up = pick_ups.pick_up(yard, opened, held.part, held.terminal, chosen, waits=waits)
    parts: list[Part] = [
        ("workbench/taps", taps_of(opened, now.state, pick_up, refines=not waits)),
        ("workbench/overlay", now.overlay(pick_up)),
    ]
    if not waits and now.side(pick_up) != now.side():  # a narrow picture turns to the side of the lead
        parts.append(("workbench/diagram", now.diagram(pick_up, earlier_revision(yard, opened, now.state))))
    return tuple(parts)


def taps_of(opened: OpenBoat, state: ViewState, held: "PickUp", *, refines: bool = False) -> TapsView:
    """The places of a held lead; on a boat as surveyed it says that putting down opens an option."""
    view = taps_view(opened.boat, state, opened.rev, held, refines=refines)
    return replace(view, notice=OPENS_OPTION) if opened.row.role == "surveyed" else view


@dataclass(frozen=True)
class BothHeld:
    """Both leads in the hand: the panels for them, and the picture with what each panel answers."""

    list: BothView
    overlay: OverlayView
    diagram: DiagramView
    is_turned: bool

    def parts(self) -> tuple[Part, ...]:
        """What is swapped when they are picked up; the drawing only where it turns to the panels' side."""
        turned = (("workbench/diagram", self.diagram),) if self.is_turned else ()
        return (("workbench/both", self.list), ("workbench/overlay", self.overlay), *turned)


def both(yard: Yard, opened: OpenBoat, asked: ViewState) -> BothHeld:
    """The panels for both leads of the selected load.

    Raises:
        UnknownChoiceError: no load is selected, or the boat has no such mode or event.
    """
    now = scene(yard, opened, asked)
    load = now.load
    if now.answer is None or load is None:
        raise UnknownChoiceError("Select a load first, then move both of its leads.")
    found = both_places(yard, opened, load, Chosen(now.answer.mode, now.state.event))
    notice = OPENS_OPTION if opened.row.role == "surveyed" else ""
    held = part_answers(now.state, found.places)
    return BothHeld(
        list=both_view(now.state, opened.rev, found, notice),
        overlay=now.overlay(held),
        diagram=now.diagram(held, earlier_revision(yard, opened, now.state)),
        is_turned=now.side(held) != now.side(),
    )

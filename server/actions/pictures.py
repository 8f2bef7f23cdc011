"""Drawings of a boat, each made once for a body and a view."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.yard import OpenBoat, Yard, document
from server.boat.boat import Boat
from server.boat.leads import lead_terminals, leads

if TYPE_CHECKING:
    from server.boat.finding import Finding
    from server.drawing.circuit import Polarity
    from server.drawing.diagram import ConductorGhost
    from server.drawing.part_overlay import PartAnswer
    from server.drawing.shapes import Layout, Portrait
    from server.drawing.svg import Svg
    from server.engine.answer import InputAnswer, ModeAnswer, PickUp
    from server.engine.transient.instant import InstantAnswer
    from server.store.values import Revision


FEW_PLATES = 24
"""A picture of so few rows needs no overview to move about in it."""


def drawn_side(portrait: bool, wished: "Polarity | None", held: "Polarity | None") -> "Portrait":
    """The one polarity that a narrow picture shows: that of what is in the hand, else the wished one.

    The negative side comes first, as the one that people overlook; the wide picture (None) shows both.
    """
    if not portrait:
        return None
    return held or wished or "negative"


def diagram(  # noqa: PLR0913 - each names one thing of the picture
    yard: Yard,
    opened: OpenBoat,
    answer: "ModeAnswer | None",
    *,
    event: str | None,
    selected: "InputAnswer | None",
    earlier: "Revision | None",
    folds: "Folds | None" = None,
    portrait: "Portrait" = None,
    instant: "InstantAnswer | None" = None,
    chosen: str | None = None,
) -> "Svg":
    """The wiring diagram of the mode, with the selected load's path lit and the moved lead's ghost.

    ``portrait`` is the one side that a narrow picture shows, ``chosen`` the part or conductor whose card is
    open. With an ``instant`` of the event its figures are those of then; such a picture is not kept.
    """
    from server.drawing.diagram import diagram_of

    view = _View(
        None if answer is None else answer.mode,
        event,
        None if selected is None else selected.part,
        folds or Folds(),
        portrait,
    )

    def drawn() -> "Svg":
        return diagram_of(
            opened.boat,
            _layout(yard, opened, view),
            answer=answer,
            event_id=event,
            selected=view.selected,
            ghost=None if earlier is None else _ghost(yard, opened.boat, earlier),
            findings=_findings(yard, opened, view),
            instant=instant,
            chosen=chosen,
        )

    if instant is not None:
        return drawn()
    before = None if earlier is None else earlier.sha
    return yard.diagrams.get((opened.sha, before, view, chosen, _in_time(answer)), drawn)


def _in_time(answer: "ModeAnswer | None") -> frozenset[str]:
    """The events of an answer whose figures are those in time."""
    loads = () if answer is None else answer.loads
    return frozenset(seen.event for load in loads for seen in load.events if seen.in_time is not None)


@dataclass(frozen=True, slots=True)
class Folds:
    """Which bars and panels show their loads one by one, and which in one row; ``seen`` is shown in any case.

    Bars, panels and whatever is seen are named by the ids of their parts or conductors.
    """

    opened: frozenset[str] = frozenset()
    shut: frozenset[str] = frozenset()
    seen: str | None = None


@dataclass(frozen=True, slots=True)
class _View:
    """What decides where everything stands."""

    mode: str | None
    event: str | None
    selected: str | None
    folds: Folds
    portrait: "Portrait"


def _shown_one_by_one(boat: Boat, folds: Folds) -> frozenset[str]:
    """The loads whose leads land on an opened bar or panel, and what is to be seen in any case."""
    seen = frozenset() if folds.seen is None else frozenset({folds.seen})
    bars = folds.opened | (seen - folds.shut)
    if not bars:
        return seen
    return seen | {one.part for one in leads(boat) if one.tap is not None and one.tap.part in bars}


def _ghost(yard: Yard, now: Boat, earlier: "Revision") -> "ConductorGhost | None":
    """Where the one conductor end lay that the changes since an earlier revision moved."""
    from server.drawing.diagram import ConductorGhost

    before = {conductor.id: conductor for conductor in document(yard, earlier).conductors}
    for conductor in now.conductors:
        old = before.get(conductor.id)
        if old is None:
            continue
        for was, is_now, stays in (
            (old.tail, conductor.tail, conductor.head),
            (old.head, conductor.head, conductor.tail),
        ):
            if was is not None and was != is_now and stays is not None:
                return ConductorGhost(conductor.id, was, stays)
    return None


def side_of_thing(boat: Boat, name: str | None) -> "Polarity | None":
    """The side of the picture that a touched part or conductor is on; none for what has a row of its own."""
    from server.actions.things import polarity_at, thing_named

    thing = thing_named(boat, name)
    if thing is None:
        return None
    if thing.conductor is not None:
        end = thing.conductor.tail or thing.conductor.head
        return None if end is None else polarity_at(boat, end)
    if thing.part is None or thing.terminal is None or lead_terminals(thing.part):
        return None
    return polarity_at(boat, thing.terminal)


def side_of_change(yard: Yard, boat: Boat, earlier: "Revision | None") -> "Polarity | None":
    """The side of the one conductor end that the changes since an earlier revision moved."""
    from server.actions.things import polarity_at

    ghost = None if earlier is None else _ghost(yard, boat, earlier)
    return None if ghost is None else polarity_at(boat, ghost.stays)


def overlay(  # noqa: PLR0913 - each names one thing of the picture
    yard: Yard,
    opened: OpenBoat,
    answer: "ModeAnswer | None",
    *,
    event: str | None,
    selected: "InputAnswer | None",
    held: "PickUp | tuple[PartAnswer, ...] | None",
    folds: "Folds | None" = None,
    portrait: "Portrait" = None,
) -> "Svg":
    """What every tap or part answers, on the very layout of the diagram; empty while nothing is held."""
    from server.drawing.overlay import tap_overlay
    from server.drawing.part_overlay import part_overlay
    from server.drawing.svg import finished, root

    if held is None or answer is None:
        return finished(root(1, 1, id="tap-answers", class_="tap-answers", aria_hidden="true"), 1, 1)
    part = None if selected is None else selected.part
    layout = _layout(yard, opened, _View(answer.mode, event, part, folds or Folds(), portrait))
    return part_overlay(layout, part or "", held) if isinstance(held, tuple) else tap_overlay(layout, held)


def overview(  # noqa: PLR0913 - the same as of the picture
    yard: Yard,
    opened: OpenBoat,
    answer: "ModeAnswer | None",
    *,
    event: str | None,
    selected: "InputAnswer | None",
    folds: Folds,
    portrait: "Portrait" = None,
) -> "Svg | None":
    """The whole picture in small, on the diagram's own layout; none where the picture itself is small."""
    from server.drawing.card import overview as drawn

    mode, part = (None if answer is None else answer.mode), (None if selected is None else selected.part)
    layout = _layout(yard, opened, _View(mode, event, part, folds, portrait))
    return drawn(layout) if len(layout.plates) > FEW_PLATES else None


def _layout(yard: Yard, opened: OpenBoat, view: _View) -> "Layout":
    """The layout of a view, which its diagram and its overlay share."""
    from server.drawing.diagram import picture_layout

    return yard.layouts.get(
        (opened.sha, view),
        lambda: picture_layout(
            opened.boat,
            mode_id=view.mode,
            selected=view.selected,
            unfolded=_shown_one_by_one(opened.boat, view.folds),
            shut=view.folds.shut,
            findings=_findings(yard, opened, view),
            portrait=view.portrait,
        ),
    )


def _findings(yard: Yard, opened: OpenBoat, view: _View) -> "tuple[Finding, ...]":
    """What is marked in the picture: open findings, and dangers whoever accepted them."""
    from server.actions.findings import found_at_once

    if view.mode is None:
        return ()
    found = found_at_once(yard, opened.sha, opened.boat, view.mode, view.event)
    return tuple(one for one in found if one.accepted is None or one.severity == "danger")


def card(boat: Boat) -> "Svg":
    """The small picture of a boat's wiring."""
    from server.drawing.card import card_picture

    return card_picture(boat)


def kept_picture(markup: str) -> "Svg":
    """A picture that this program drew before and kept in its own store."""
    from server.drawing.svg import Svg

    return Svg(markup, 0, 0)

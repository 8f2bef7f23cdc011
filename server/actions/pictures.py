"""Drawings of a boat, each made once for a body and a view."""

from typing import TYPE_CHECKING

from server.actions.yard import OpenBoat, Yard, document
from server.boat.boat import Boat
from server.boat.leads import leads

if TYPE_CHECKING:
    from server.drawing.diagram import ConductorGhost
    from server.drawing.shapes import Layout
    from server.drawing.svg import Svg
    from server.engine.answer import InputAnswer, ModeAnswer, PickUp
    from server.store.values import Revision


def diagram(  # noqa: PLR0913 - each names one thing of the picture
    yard: Yard,
    opened: OpenBoat,
    answer: "ModeAnswer | None",
    *,
    event: str | None,
    selected: "InputAnswer | None",
    earlier: "Revision | None",
    unfolded: str | None = None,
) -> "Svg":
    """The wiring diagram of the mode, with the selected load's path lit and the moved lead's ghost.

    ``unfolded`` is a bar or panel whose loads are to be seen one by one on a boat of many loads.
    """
    key = (
        opened.sha,
        None if answer is None else answer.mode,
        event,
        None if selected is None else selected.part,
        None if earlier is None else earlier.sha,
        unfolded,
    )
    return yard.diagrams.get(key, lambda: _drawn(yard, opened, answer, event, key[3], earlier, unfolded))


def _drawn(  # noqa: PLR0913, PLR0917 - each names one thing of the picture
    yard: Yard,
    opened: OpenBoat,
    answer: "ModeAnswer | None",
    event: str | None,
    selected: str | None,
    earlier: "Revision | None",
    unfolded: str | None,
) -> "Svg":
    from server.actions.answers import found
    from server.drawing.diagram import wiring_diagram

    return wiring_diagram(
        opened.boat,
        mode_id=None if answer is None else answer.mode,
        answer=answer,
        event_id=event,
        selected=selected,
        unfolded=_loads_on(opened.boat, unfolded),
        ghost=None if earlier is None else _ghost(yard, opened.boat, earlier),
        findings=() if answer is None else found(yard, opened.sha, opened.boat, answer.mode, event),
    )


def _loads_on(boat: Boat, part: str | None) -> frozenset[str]:
    """The loads whose leads land on a bar or panel; none where no part is named."""
    if part is None:
        return frozenset()
    return frozenset(one.part for one in leads(boat) if one.tap is not None and one.tap.part == part)


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


def overlay(  # noqa: PLR0913 - each names one thing of the picture
    yard: Yard,
    opened: OpenBoat,
    answer: "ModeAnswer | None",
    *,
    event: str | None,
    selected: "InputAnswer | None",
    held: "PickUp | None",
    unfolded: str | None = None,
) -> "Svg":
    """What every tap answers, on the very layout of the diagram; empty while no lead is held."""
    from server.drawing.overlay import tap_overlay
    from server.drawing.svg import finished, root

    if held is None or answer is None:
        return finished(root(1, 1, id="tap-answers", class_="tap-answers", aria_hidden="true"), 1, 1)
    part = None if selected is None else selected.part
    return tap_overlay(_layout(yard, opened, answer, event, part, unfolded), held)


def _layout(  # noqa: PLR0913, PLR0917 - each names one thing of the picture
    yard: Yard,
    opened: OpenBoat,
    answer: "ModeAnswer",
    event: str | None,
    selected: str | None,
    unfolded: str | None,
) -> "Layout":
    from server.actions.answers import found
    from server.drawing.diagram import picture_layout

    return yard.layouts.get(
        (opened.sha, answer.mode, event, selected, unfolded),
        lambda: picture_layout(
            opened.boat,
            mode_id=answer.mode,
            selected=selected,
            unfolded=_loads_on(opened.boat, unfolded),
            findings=found(yard, opened.sha, opened.boat, answer.mode, event),
        ),
    )


def card(boat: Boat) -> "Svg":
    """The small picture of a boat's wiring."""
    from server.drawing.card import card_picture

    return card_picture(boat)


def kept_picture(markup: str) -> "Svg":
    """A picture that this program drew before and kept in its own store."""
    from server.drawing.svg import Svg

    return Svg(markup, 0, 0)

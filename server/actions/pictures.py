"""Drawings of a boat, each made once for a body and a view."""

from typing import TYPE_CHECKING

from server.actions.yard import OpenBoat, Yard

if TYPE_CHECKING:
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
) -> "Svg":
    """The wiring diagram of the mode, with the selected load's path lit and the moved lead's ghost."""
    from server.drawing.svg import finished, root

    return finished(root(100, 100, id="diagram"), 100, 100)


def overlay(yard: Yard, opened: OpenBoat, answer: "ModeAnswer | None", held: "PickUp | None") -> "Svg":
    """What every tap answers, over the diagram; empty while no lead is held."""
    from server.drawing.svg import finished, root

    return finished(root(100, 100, id="tap-answers"), 100, 100)


def card(yard: Yard, opened: OpenBoat) -> "Svg":
    """The small picture of a boat's wiring."""
    from server.drawing.svg import finished, root

    return finished(root(320, 180), 320, 180)


def kept_picture(markup: str) -> "Svg":
    """A picture that this program drew before and kept in its own store."""
    from server.drawing.svg import Svg

    return Svg(markup, 0, 0)

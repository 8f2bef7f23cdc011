"""The way of the selected load through the boat, and what its leads would meet."""

from dataclasses import replace
from typing import TYPE_CHECKING

from server.actions import answers
from server.actions.choices import Chosen, UnknownChoiceError
from server.actions.pick_ups import leads_met
from server.actions.yard import OpenBoat, Yard
from server.web.picture import scene
from server.web.views.loads import seen_in
from server.web.views.state import ViewState
from server.web.views.strip import LoopView, Strip, loop_view

if TYPE_CHECKING:
    from server.engine.answer import InputAnswer


def strip_of(  # noqa: PLR0913 - each names one thing of the way
    yard: Yard,
    opened: OpenBoat,
    state: ViewState,
    load: "InputAnswer",
    chosen: Chosen,
    *,
    waits: bool = False,
) -> Strip:
    """The way of a load; on an upright screen with what its leads would meet, so that it can be walked."""
    strip = loop_of(yard, opened, state, load, chosen)
    if not _is_walked(state, load):
        return strip
    return replace(strip, held=leads_met(yard, opened, load, chosen, waits=waits))


def loop_of(  # noqa: PLR0913 - each names one thing of the way
    yard: Yard,
    opened: OpenBoat,
    state: ViewState,
    load: "InputAnswer",
    chosen: Chosen,
    *,
    is_late: bool = False,
) -> Strip:
    """The way of a load without what its leads would meet; ``is_late`` asks for that where it is wanted."""
    loop, seen = answers.loop(yard, opened, load, chosen), seen_in(load, state.event)
    return Strip(opened.boat, state, opened.rev, loop, seen, is_late=is_late and _is_walked(state, load))


def _is_walked(state: ViewState, load: "InputAnswer") -> bool:
    return state.portrait and load.state == "fed"


def way_of(yard: Yard, opened: OpenBoat, asked: ViewState) -> LoopView:
    """The way of the selected load with what its leads would meet, which a put-down left to follow.

    Raises:
        UnknownChoiceError: no load is selected, or the boat has no such mode or event.
    """
    now = scene(yard, opened, asked)
    if now.answer is None or now.load is None:
        raise UnknownChoiceError("No load is selected. Select one, then walk its way.")
    chosen = Chosen(now.answer.mode, now.state.event)
    return loop_view(strip_of(yard, opened, now.state, now.load, chosen, waits=True))

"""Puts the page of a boat fed by a starting profile together."""

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from server.actions.choices import UnknownChoiceError, choose
from server.actions.events_in_time import UnsolvedEventError
from server.actions.fed import fed_deck_of, fed_in_time, levels_of, posts_of
from server.actions.yard import OpenBoat, Yard
from server.web.dependencies import is_whole_number
from server.web.views.controls import head_view
from server.web.views.event_chart import draw
from server.web.views.fed import (
    NONE_PUBLISHED,
    FedView,
    count_words,
    fed_chart,
    fed_rows,
    level_choices,
    ordered,
    wave_words,
)
from server.web.views.forms import ChoiceView
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.practice.supply import StartingLevel


def fed_view(yard: Yard, opened: OpenBoat, wanted: ViewState, values: Mapping[str, str]) -> FedView:
    """A mode of a boat fed by a profile; without a level by the first that there is.

    Raises:
        UnknownChoiceError: the boat has no such mode or level.
    """
    boat = opened.boat
    chosen = choose(yard, opened.sha, boat, wanted.mode, wanted.event)
    mode = "" if chosen is None else chosen.mode
    state = replace(wanted, mode=mode or None, event=None)
    levels = levels_of(boat)
    level = _level(levels, values.get("level", ""))
    view = FedView(
        title=f"{opened.row.name} fed by a test wave",
        head=head_view(opened, "event"),
        back_url=wanted.url(),
        action=state.path("/supply"),
        hidden=tuple(pair for pair in state.pairs if pair[0] != "mode"),
        levels=level_choices(levels, level or ""),
        modes=tuple(ChoiceView(one.id, one.name, one.id == mode) for one in boat.modes),
    )
    if level is None or not mode:
        return replace(view, trouble=NONE_PUBLISHED if mode else "This boat has no mode yet.")
    try:
        run = fed_in_time(yard, opened.sha, boat, mode, level)
    except UnsolvedEventError as error:
        return replace(view, trouble=str(error))
    view = replace(view, told=wave_words(posts_of(boat, mode, level)))
    points = ordered(run, state.selected)
    if not points:
        return replace(view, trouble="Nothing is on in this mode.")
    at = values.get("at", "")
    drawn, cursor = draw(fed_chart(run, points), int(at) if is_whole_number(at) else None, None)
    return replace(
        view,
        counts=count_words(points),
        drawing=drawn.svg,
        cursor=cursor,
        rows=fed_rows(points, points[0].key),
        happens=tuple(one.message for one in run.troubles),
        not_assessed=run.not_assessed,
        deck_url=state.url("/supply/deck", level=level),
    )


def fed_deck_named(
    yard: Yard, opened: OpenBoat, wanted: ViewState, values: Mapping[str, str]
) -> tuple[str, str]:
    """A file name and the fed boat as a deck for a circuit simulator.

    Raises:
        UnknownChoiceError: the boat has no such mode or level, or it cannot be fed.
    """
    chosen = choose(yard, opened.sha, opened.boat, wanted.mode, wanted.event)
    level = _level(levels_of(opened.boat), values.get("level", ""))
    if chosen is None or level is None:
        raise UnknownChoiceError(NONE_PUBLISHED)
    return f"starting-profile-{level.lower()}.cir", fed_deck_of(opened.boat, chosen.mode, level)


def _level(levels: "tuple[StartingLevel, ...]", asked: str) -> "StartingLevel | None":
    found = next((one for one in levels if one == asked), None)
    if asked and found is None:
        raise UnknownChoiceError(
            f"There is no starting profile of level “{asked}” for this boat's batteries."
        )
    return found or next(iter(levels), None)

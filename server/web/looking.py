"""A boat to be looked at only: one revision in a mode and event, with its picture."""

from dataclasses import replace
from typing import Literal

from fastapi import Request

from server.actions import in_time
from server.actions.choices import Chosen
from server.actions.in_time import Standing
from server.actions.yard import OpenBoat, Yard
from server.web.dependencies import SIDES, state_of
from server.web.picture import Scene, scene
from server.web.views.state import ViewState


def looking_state(request: Request, boat: str) -> ViewState:
    """The view that an address asks for; the side of a narrow picture by the address, else by its cookie."""
    state = state_of(request, boat, request.query_params)
    asked = request.query_params.get("side")
    side: Literal["positive", "negative"] | None = next((one for one in SIDES if one == asked), state.side)
    return replace(state, side=side, sort=None, descending=False, since=None, unfolded=None)


def looked_at(yard: Yard, opened: OpenBoat, state: ViewState) -> tuple[Scene, Standing]:
    """One revision in the mode and event asked for, or in its worst, and what its figures are.

    Raises:
        UnknownChoiceError: the boat had no such mode or event.
    """
    now = scene(yard, opened, state)
    chosen = None if now.answer is None else Chosen(now.answer.mode, now.state.event)
    return now, in_time.standing(yard, opened.sha, chosen, now.answer)

"""What the battery switches of a boat do, position by position and turn by turn."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.actions.yard import open_boat
from server.web.dependencies import BoatId, Yard, state_of
from server.web.render import page
from server.web.views.controls import head_view
from server.web.views.switching import ModeLinkView, empty_view, problem_view, switching_view

router = APIRouter()


@router.get("/boats/{boat_id}/switching")
def switching(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The table of positions, the turns from where the switches stand, and the way to all off."""
    from server.actions.switching import switching_facts
    from server.actions.troubles import UnknownChoiceError
    from server.engine.switching import TooManySwitchesError

    opened = open_boat(yard, boat_id)
    boat, asked = opened.boat, state_of(request, boat_id, request.query_params).mode
    title, head = f"Switching of {opened.row.name}", head_view(opened, "lists")
    if not boat.modes:
        return page(request, "switching/page", empty_view(title, head, f"/boats/{boat_id}/fitting"))
    modes = tuple(
        ModeLinkView(
            f"mode-{mode.id}",
            mode.name,
            f"/boats/{boat_id}/switching?mode={mode.id}",
            mode.id == (asked or boat.modes[0].id),
        )
        for mode in boat.modes
    )
    try:
        view = switching_view(title, head, modes, switching_facts(boat, asked))
    except (UnknownChoiceError, TooManySwitchesError) as error:
        view = problem_view(title, head, modes, f"{str(error)[:1].upper()}{str(error)[1:]}.")
    return page(request, "switching/page", view)

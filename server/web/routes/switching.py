"""What the battery switches of a boat do, position by position and turn by turn."""

from fastapi import APIRouter, HTTPException, Request
from pydantic import ValidationError
from starlette.responses import Response

from server.actions import changes
from server.actions.changes import Change
from server.actions.troubles import EditError
from server.actions.yard import open_boat
from server.boat.edits import ChangeValue
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard, state_of
from server.web.render import fragments, page
from server.web.views.controls import head_view
from server.web.views.switching import ModeLinkView, empty_view, problem_view, switching_view

router = APIRouter()


@router.get("/boats/{boat_id}/switching")
def switching(request: Request, boat_id: BoatId, yard: Yard, at: str = "") -> Response:
    """The table of positions, the turns from where the switches stand or from ``at``, the ways."""
    from server.actions.switching import switching_facts
    from server.actions.troubles import UnknownChoiceError
    from server.engine.switching import TooManySwitchesError

    opened, state = open_boat(yard, boat_id), state_of(request, boat_id, request.query_params)
    boat, asked = opened.boat, state.mode
    start = tuple(at.split(".")) if at else None
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
        view = switching_view(title, head, modes, switching_facts(boat, asked, start), state, opened.rev)
    except (UnknownChoiceError, TooManySwitchesError) as error:
        view = problem_view(title, head, modes, f"{str(error)[:1].upper()}{str(error)[1:]}.")
    return page(request, "switching/page", view)


@router.post("/boats/{boat_id}/switching/reason")
def reason(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Why a load stays alive with every battery switch off; left empty, no reason is stated."""
    value = " ".join(fields.get("value", "").split()) or None

    def make(stamp: Stamp) -> Change:
        edit = ChangeValue(id=fields.get("part", ""), field="bypasses_switch", value=value)
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    def after(change: Change) -> Response:
        state = state_of(request, change.after.id, fields)
        return fragments(request, page_url=f"{state.url('/switching')}#stays-title")

    try:
        return conflict_or(request, boat_id, fields, make, after)
    except (EditError, ValidationError):
        raise HTTPException(422, "That reason cannot be kept: go back, and say it in fewer words.") from None

"""Beginning with a complaint: a device restarts when the engine starts."""

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from server.actions import complaint
from server.actions.boats import fresh_request_id
from server.actions.yard import open_boat
from server.web.dependencies import BoatId, Fields, Yard
from server.web.render import page
from server.web.views.complaint import complaint_of, complaint_view
from server.web.views.complaint_answer import answered_view
from server.web.views.controls import head_view

router = APIRouter()


@router.get("/complaint")
def ask(request: Request) -> Response:
    """What is asked: the device, the big copper, and up to four readings."""
    return page(request, "complaint/ask", complaint_view({}, {}))


@router.post("/complaint")
def begin(request: Request, yard: Yard, fields: Fields) -> Response:
    """Make a boat of it and show the answer; what cannot be read is asked again."""
    said, errors = complaint_of(fields)
    if errors:
        return page(request, "complaint/ask", complaint_view(fields, errors), status=422)
    row = complaint.begin(yard, said, fields.get("request_id", "")[:64] or fresh_request_id())
    return RedirectResponse(f"/boats/{row.id}/complaint", status_code=303)


@router.get("/boats/{boat_id}/complaint")
def look(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The answer as the boat stands now."""
    opened = open_boat(yard, boat_id)
    answered = complaint.answer(yard, opened)
    view = answered_view(opened.boat, answered, head_view(opened, "complaint"), f"/boats/{boat_id}")
    return page(request, "complaint/answer", view)

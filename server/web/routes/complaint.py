"""Beginning with a complaint: a device restarts when the engine starts."""

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from server.actions import changes, complaint
from server.actions.boats import fresh_request_id
from server.actions.changes import Change
from server.actions.complaint_states import rest_volts
from server.actions.yard import open_boat
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard
from server.web.render import page
from server.web.views.complaint import complaint_of, complaint_view, readings_of
from server.web.views.complaint_answer import answered_view

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
    return page(request, "complaint/answer", answered_view(opened, complaint.answer(yard, opened)))


@router.post("/boats/{boat_id}/complaint")
def put_readings(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Keep other readings and answer by them."""
    opened = open_boat(yard, boat_id)
    got, errors = readings_of(fields, rest_volts(opened.boat))
    if errors:
        view = answered_view(opened, complaint.answer(yard, opened), fields, errors)
        return page(request, "complaint/answer", view, status=422)
    there = RedirectResponse(f"/boats/{boat_id}/complaint", status_code=303)
    edit = complaint.new_readings(opened, got)
    if edit is None:
        return there

    def make(stamp: Stamp) -> Change:
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    return conflict_or(request, boat_id, fields, make, lambda _: there)

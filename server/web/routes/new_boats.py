"""Beginning a new boat, blank or from a pattern."""

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from server.actions import new_boats
from server.actions.boats import fresh_request_id
from server.web.dependencies import Fields, Yard
from server.web.render import page
from server.web.views.new_boat import NewBoatView, new_boat_view, wish_of

router = APIRouter()


@router.get("/new-boat")
def ask(request: Request) -> Response:
    """What is asked before a boat is begun."""
    return page(request, "boats/new", new_boat_view({}))


@router.post("/new-boat")
def begin(request: Request, yard: Yard, fields: Fields) -> Response:
    """Draw the boat up and open it; what cannot be read is asked again."""
    wish = wish_of(fields)
    if isinstance(wish, NewBoatView):
        return page(request, "boats/new", wish, status=422)
    row = new_boats.start(yard, wish, fields.get("request_id", "")[:64] or fresh_request_id())
    return RedirectResponse(f"/boats/{row.id}", status_code=303)

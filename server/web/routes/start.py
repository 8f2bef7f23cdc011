"""The first page: the teaching boat on a first visit, the boats afterwards."""

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from server.actions import boats
from server.web.dependencies import Yard
from server.web.routes.boats import list_page

SEEN_COOKIE = "tapchart_seen"
YEAR_S = 365 * 24 * 3600

router = APIRouter()


@router.get("/")
def start(request: Request, yard: Yard) -> Response:
    """The teaching boat in its worst event, once; else all boats."""
    first = boats.teaching_boat(yard)
    if first is None or SEEN_COOKIE in request.cookies:
        return list_page(request, yard)
    response = RedirectResponse(f"/boats/{first}", status_code=303)
    response.set_cookie(SEEN_COOKIE, "yes", max_age=YEAR_S, httponly=True, samesite="lax")
    return response

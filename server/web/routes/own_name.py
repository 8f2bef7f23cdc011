"""The name that a device goes by in the histories of boats."""

from typing import Annotated

from fastapi import APIRouter, Form
from starlette.responses import RedirectResponse, Response

from server.web.own_name import NAME_COOKIE, as_cookie, cleaned
from server.web.routes.look import YEAR_S

router = APIRouter()


@router.post("/own-name")
def choose_name(
    name: Annotated[str, Form(max_length=500)] = "",
    back: Annotated[str, Form(pattern=r"^/([^/\\].*)?$", max_length=2000)] = "/",
) -> Response:
    """Keep the name, or forget it where it is empty, and go back to the page it was given on."""
    response = RedirectResponse(back, status_code=303)
    if kept := cleaned(name):
        response.set_cookie(NAME_COOKIE, as_cookie(kept), max_age=YEAR_S, httponly=True, samesite="lax")
    else:
        response.delete_cookie(NAME_COOKIE, httponly=True, samesite="lax")
    return response

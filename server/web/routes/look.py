"""How the pages look for one reader: kept in a cookie, never in a boat."""

from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request
from starlette.responses import RedirectResponse, Response

from server.web.render import THEME_COOKIE

YEAR_S = 365 * 24 * 3600

router = APIRouter()


@router.post("/look")
def choose_look(
    request: Request,
    theme: Annotated[Literal["auto", "light", "dark", "night"], Form()],
    back: Annotated[str, Form(pattern=r"^/([^/\\].*)?$", max_length=2000)] = "/",
) -> Response:
    """Keep the theme and go back to the page it was chosen on."""
    response = RedirectResponse(back, status_code=303)
    response.set_cookie(THEME_COOKIE, theme, max_age=YEAR_S, httponly=True, samesite="lax")
    return response

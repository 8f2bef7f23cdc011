"""Joining from another device; these routes exist only with ``--lan``."""

from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import RedirectResponse, Response

from server.web.lan import COOKIE, JOIN_PATH, SESSION_LIFE_S, JoinDesk
from server.web.render import page
from server.web.views.house import JoinView

router = APIRouter()


@router.get(JOIN_PATH)
def ask(request: Request) -> Response:
    """The form that asks for the code."""
    return page(request, "join/page", JoinView())


@router.post(JOIN_PATH)
async def join(request: Request, code: Annotated[str, Form(max_length=100)] = "") -> Response:
    """Open a session for the right code; count a wrong one, and refuse who has guessed too often."""
    desk: JoinDesk = request.app.state.join_desk
    address = request.client.host if request.client else "unknown"
    if wait_s := desk.wait_s(address):
        view = JoinView(code, f"Too many wrong codes. Wait {wait_s} s, then try again.")
        refused = page(request, "join/page", view, status=429)
        refused.headers["Retry-After"] = str(wait_s)
        return refused
    session = desk.join(address, code)
    if session is None:
        error = "That is not the code. It stands where Tapchart was started: 8 letters and digits."
        return page(request, "join/page", JoinView(code, error), status=422)
    response = RedirectResponse("/", status_code=303)
    response.set_cookie(COOKIE, session, max_age=int(SESSION_LIFE_S), httponly=True, samesite="lax")
    return response

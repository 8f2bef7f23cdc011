"""The first page."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.web.render import page
from server.web.views.house import StartView

router = APIRouter()


@router.get("/")
def start(request: Request) -> Response:
    """The boats."""
    return page(request, "start/page", StartView())
